"""The kinds of value that a job or shop file holds, each read into the program's own units.

Bare numbers are in the file's units, which reach the validators through pydantic's context
(`{"units": "in"}`); a string may carry its own.
"""

import math
import re
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StrictInt, ValidationInfo, WithJsonSchema

from signplan.units import parse_length


class Table(BaseModel):
    """A table of a job or shop file: unknown keys are errors, values do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


def _units(info: ValidationInfo) -> Any:
    return (info.context or {}).get("units", "mm")


_MOST_MM = 1e9
"""Beyond anything that a sign or a machine has; keeps a slip of the finger out of the arithmetic."""


def _length(value: Any, info: ValidationInfo) -> float:
    if not isinstance(value, str | int | float):
        raise ValueError("a length is a number or a text such as '1-1/2' or '12 mm'")
    if isinstance(value, str) and re.search(r"\d,\d", value):
        raise ValueError(f"'{value}' has a comma; write a point for decimals, nothing for thousands")
    try:
        length = parse_length(value, _units(info))
    except OverflowError:
        length = math.inf
    if abs(length) > _MOST_MM:
        raise ValueError("is too large to be meant")
    return length


def _per_minute(value: Any, info: ValidationInfo) -> float:
    return _length(value, info) / 60.0


LENGTH_SCHEMA = {
    "anyOf": [{"type": "number"}, {"type": "string"}],
    "description": "length, such as 12, '3/8', '12 mm'",
}

Mm = Annotated[float, BeforeValidator(_length), WithJsonSchema(LENGTH_SCHEMA)]
"""A length, mm; may be negative (a position)."""

Size = Annotated[float, Field(gt=0), BeforeValidator(_length), WithJsonSchema(LENGTH_SCHEMA)]
"""A length above zero, mm."""

Gap = Annotated[float, Field(ge=0), BeforeValidator(_length), WithJsonSchema(LENGTH_SCHEMA)]
"""A length of zero or more, mm."""

Feed = Annotated[float, Field(gt=0), BeforeValidator(_per_minute), WithJsonSchema(LENGTH_SCHEMA)]
"""A speed, written per minute, kept in mm/s."""

Number = Annotated[float, Field(strict=True, allow_inf_nan=False)]
Positive = Annotated[float, Field(strict=True, allow_inf_nan=False, gt=0)]
NotNegative = Annotated[float, Field(strict=True, allow_inf_nan=False, ge=0)]
Count = Annotated[StrictInt, Field(ge=0)]
Name = Annotated[str, Field(min_length=1)]
Point = tuple[Mm, Mm]
