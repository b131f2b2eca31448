"""The kinds of value that a job or shop file holds, each read into the program's own units.

Bare numbers are in the file's units, which reach the validators through pydantic's context
(`{"units": "in"}`); a string may carry its own.
"""

import re
import unicodedata
from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StrictInt,
    ValidationInfo,
    WithJsonSchema,
)

from signplan.units import parse_length


class Table(BaseModel):
    """A table of a job or shop file: unknown keys are errors, values do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


def _units(info: ValidationInfo) -> Any:
    return (info.context or {}).get("units", "mm")


_MOST_MM = 1e9
"""Beyond anything that a sign or a machine has; keeps a slip of the finger out of the arithmetic."""


_UNPRINTABLE = ("Cc", "Cs", "Zl", "Zp")
"""Unicode's control characters, halves of characters, and breaks of lines and paragraphs."""


def _length(value: Any, info: ValidationInfo) -> float:
    if not isinstance(value, str | int | float):
        raise ValueError("a length is a number or a text such as '1-1/2' or '12 mm'")
    if isinstance(value, str) and re.search(r"\d,\d", value):
        raise ValueError(f"'{value}' has a comma; write a point for decimals, nothing for thousands")
    length = parse_length(value, _units(info))
    if abs(length) > _MOST_MM:
        raise ValueError("is too large to be meant")
    return length


def _per_minute(value: Any, info: ValidationInfo) -> float:
    return _length(value, info) / 60.0


def _one_line(text: str) -> str:
    """Names stand in messages, on pages and in programs: no line breaks, nothing that cannot be printed."""
    odd = next((sign for sign in text if unicodedata.category(sign) in _UNPRINTABLE), None)
    if odd is not None:
        raise ValueError(f"has a line break or a control character ({odd!r}) in it; write it on one line")
    if text and not text.strip():
        raise ValueError("must not be blank")
    return text


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
Words = Annotated[str, Field(strict=True), AfterValidator(_one_line)]
"""A text that is printed on one line; may be empty."""

Name = Annotated[str, Field(strict=True, min_length=1), AfterValidator(_one_line)]
Point = tuple[Mm, Mm]
