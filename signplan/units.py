"""Lengths as a shop writes them, to millimetres and back. The only place that knows an inch.

Inside the program every length is a float in millimetres. Text is parsed exactly, on fractions, and
turned into a float once.
"""

import math
import re
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Literal

Units = Literal["in", "mm"]

MM_PER = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
"""Millimetres in one of each unit; exact by the international yard of 1959."""

_ALIASES = {'"': "in", "″": "in", "”": "in", "inch": "in", "inches": "in", "'": "ft", "′": "ft", "’": "ft"}
_GLYPHS = dict(zip("¼½¾⅛⅜⅝⅞⅓⅔", ["1/4", "1/2", "3/4", "1/8", "3/8", "5/8", "7/8", "1/3", "2/3"], strict=True))
_NUMBER = r"(?:(?P<whole>\d+)(?:\s*-\s*|\s+))?(?P<over>\d+)\s*/\s*(?P<under>\d+)|(?P<decimal>\d+\.?\d*|\.\d+)"
_LENGTH = re.compile(rf"(?P<sign>[+-])?\s*(?:{_NUMBER})\s*(?P<unit>[^\d\s.+-]\S*)?")
_FEET = re.compile(
    r"(?P<feet>\d+)\s*(?:ft|['′’])\s*-?\s*(?P<inches>[\d./½¼¾⅛⅜⅝⅞\s-]+(?:in|inch|inches|[\"″”]))"
)

POUNDS_PER_FT3_TO_KG_PER_M3 = 0.45359237 / 0.3048**3
KG_PER_POUND = 0.45359237
PASCALS_PER_INCH_OF_MERCURY = 3386.389


class LengthError(ValueError):
    """A text that is not a length; the message says what would be one."""


def parse_length(value: str | int | float, units: Units) -> float:
    """Millimetres of a length as written in a job or shop file.

    Args:
        value: a number in `units`, or text: `3/8`, `1-1/2`, `1 1/2"`, `1½ in`, `1'-6 1/2"`, `12.7 mm`.
        units: the unit of a bare number.

    Raises:
        LengthError: the value is not a length.

    >>> parse_length("1-1/2", "in"), parse_length("12 mm", "in"), parse_length(3, "mm")
    (38.1, 12.0, 3.0)
    """
    if isinstance(value, bool):
        raise LengthError("a length is a number, not true or false")
    if isinstance(value, int | float):
        if not math.isfinite(value):
            raise LengthError(f"{value} is not a length")
        return _rounded(Fraction(repr(value)) * MM_PER[units])
    text = value.strip()
    feet = _FEET.fullmatch(text)
    if feet:
        return _rounded(int(feet["feet"]) * MM_PER["ft"] + _exact(feet["inches"], "in", value))
    return _rounded(_exact(text, units, value))


def _rounded(length: Fraction) -> float:
    try:
        return float(length)
    except OverflowError:
        raise LengthError("is too large to be meant") from None


def _exact(text: str, units: Units, typed: str) -> Fraction:
    for glyph, plain in _GLYPHS.items():
        text = text.replace(glyph, f" {plain}")
    match = _LENGTH.fullmatch(text.strip())
    if not match:
        raise LengthError(f"'{typed}' is not a length; write 12, 3/8, '1-1/2' or '12 mm'")
    unit = (match["unit"] or units).lower()
    unit = _ALIASES.get(unit, unit)
    if unit not in MM_PER:
        raise LengthError(f"unknown unit '{match['unit']}' in '{typed}'; use mm, cm, m, in or ft")
    number = Fraction(match["decimal"]) if match["decimal"] else _mixed(match, typed)
    return (-number if match["sign"] == "-" else number) * MM_PER[unit]


def _mixed(match: re.Match[str], typed: str) -> Fraction:
    over, under = int(match["over"]), int(match["under"])
    if under == 0:
        raise LengthError(f"division by zero in '{typed}'")
    if match["whole"] and over >= under:
        raise LengthError(f"'{typed}' has a fraction of one or more after a whole number; write the sum")
    return int(match["whole"] or 0) + Fraction(over, under)


def to_units(mm: float, units: Units) -> float:
    """A length in the job's units.

    >>> to_units(50.8, "in")
    2.0
    """
    return mm / float(MM_PER[units])


def decimal(mm: float, units: Units) -> str:
    """The length as a decimal number with its unit: three places of an inch, one of a millimetre."""
    return f"{half_up(to_units(mm, units), 3)} in" if units == "in" else f"{half_up(mm, 1)} mm"


def fine(mm: float, units: Units) -> str:
    """The length as fits are spoken of: a thousandth of an inch, a hundredth of a millimetre."""
    return f"{half_up(to_units(mm, units), 3)} in" if units == "in" else f"{half_up(mm, 2)} mm"


def half_up(number: float, places: int) -> str:
    """A number with that many decimals, halves rounded away from zero as people do: 0.0625 is 0.063.

    >>> half_up(0.0625, 3), half_up(-0.0001, 3)
    ('0.063', '0.000')
    """
    exact = Decimal(repr(round(number, 9))).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)
    return f"{exact:f}" if exact else f"{abs(exact):f}"


def shop(mm: float, units: Units) -> str:
    """The length as the trade reads it: nearest 1/32 in, or 0.1 mm.

    >>> shop(38.1, "in"), shop(9.525, "in"), shop(1.5, "mm"), shop(1000.0, "mm")
    ('1-1/2"', '3/8"', '1.5', '1000')
    """
    if units == "mm":
        return (
            f"{mm:.1f}".removesuffix(".0").replace("-0", "0")
            if abs(mm) < 0.05
            else f"{mm:.1f}".removesuffix(".0")
        )
    thirty_seconds = round(abs(mm) / 25.4 * 32)
    whole, part = divmod(thirty_seconds, 32)
    fraction = Fraction(part, 32)
    sign = "-" if mm < 0 and thirty_seconds else ""
    if not part:
        return f'{sign}{whole}"'
    return f'{sign}{whole}-{fraction}"' if whole else f'{sign}{fraction}"'
