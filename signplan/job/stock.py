"""A size of hardware as people write it, to its entry in the built-in tables.

"nut 3/8", "3/8 hex nuts", "3/8-16 nut" and "NUT .375" are one size. A word that the tables do not know, such
as the "heavy" of a heavy nut, is refused: it may mean other dimensions.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache

from signplan.errors import SignplanError
from signplan.job.stock_tables import Stock, all_stock
from signplan.units import MM_PER, to_units

_KINDS = {
    # kind: (words that tell it, words that may stand beside them); the first that is told counts.
    "eyebolt shoulder": ("shoulder", "eyebolt"),
    "eyebolt": ("eyebolt", "forged"),
    "eye": ("eye", "forged"),
    "washer": ("washer", "flat plain narrow sae n wide uss w type a"),
    "nut": ("nut", "hex finished"),
    "cap screw head": ("cap capscrew", "screw head hex"),
    "bolt head": ("bolt head", "hex"),
    "tube": ("tube tubing", "square rectangular"),
    "pipe": ("pipe nps", ""),
    "dowel pin": ("pin dowel", "parallel"),
    "rod": ("rod stud studding thread threaded", "all round"),
    "flat": ("flat", "bar"),
}
_SERIES = {"narrow": "narrow", "sae": "narrow", "n": "narrow", "wide": "wide", "uss": "wide", "w": "wide"}
_ANYWHERE = {"in", "inch", "mm", "x", "m", "steel"}
_SAME_WORDS = (("eye bolt", "eyebolt"), ("all-thread", "thread"), ("hexagon", "hex"), ("inches", "in"))
_NO_SIZE = re.compile(r"\bsch(?:edule)?\.?\s*40\b|(?<=\d/\d)-\d\d\b(?!\s*/)|(?<=/\d\d)-\d\d\b(?!\s*/)")
_NUMBER = re.compile(r"(?:(\d+)(?:\s*-\s*|\s+))?(\d+)/([1-9]\d*)|(\d*\.\d+|\d+)")
_GLYPHS = dict(zip("¼½¾⅛⅜⅝⅞", (" 1/4", " 1/2", " 3/4", " 1/8", " 3/8", " 5/8", " 7/8"), strict=True))
_MOST_NAMED = 8


class StockError(SignplanError):
    """A size that is not in the tables; the message says which are near."""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What a text asks for. `sizes` in mm, in the order that the kind's names have."""

    kind: str
    sizes: tuple[Fraction, ...]
    series: str = ""

    def in_millimetres(self) -> "_Wanted":
        """The same with bare numbers meant as millimetres."""
        return replace(self, sizes=tuple(size / MM_PER["in"] for size in self.sizes))


def look_up(text: str) -> Stock:
    """The built-in size that a text means, at maximum material.

    A flat bar may have its length too ("flat 1/4 x 2 x 23-1/2"): then it is a whole plate. A washer without a
    series is a wide one, the larger. A bare number is in inches, or else in millimetres.

    Raises:
        StockError: no such size; with those that are near.

    >>> look_up("3/8 hex nuts").name
    'nut 3/8'
    >>> look_up("pipe 1-1/4").diameter  # 1.660 in
    42.164
    """
    wanted = _read(text)
    length: Fraction | None = None
    if wanted.kind == "flat" and len(wanted.sizes) == 3:
        length = wanted.sizes[2]
        wanted = replace(wanted, sizes=wanted.sizes[:2])
    stock = _find(wanted)
    if stock is None:
        raise StockError(_near(text, wanted))
    if stock.width is not None and length is not None:
        return replace(stock, name=text, size=(float(length), stock.width))
    return stock


def search(words: str) -> tuple[Stock, ...]:
    """The sizes that a text means, or whose names hold all of its words; all of them for no words."""
    try:
        return (look_up(words),)
    except StockError:
        wanted = {word.removesuffix("s") for word in words.casefold().split()}
        return tuple(
            stock for stock in all_stock() if wanted <= {*stock.name.casefold().split(), stock.shape}
        )


def sizes_text(stock: Stock) -> str:
    """The sizes of an entry in inches and millimetres, those that a pocket comes from.

    >>> sizes_text(look_up("rod 3/8"))
    'diameter 0.375 in (9.525 mm)'
    """
    sizes: tuple[tuple[str, tuple[float, ...]], ...] = (
        ("diameter", _given(stock.diameter)),
        ("across flats", _given(stock.across_flats)),
        ("corners", _given(stock.across_corners)),
        ("size", stock.size or ()),
        ("width", _given(stock.width)),
        ("thickness", _given(stock.thickness)),
        ("corner radius", _given(stock.corner_radius)),
    )
    return ", ".join(f"{name} {_both_units(lengths)}" for name, lengths in sizes if lengths)


def _given(length: float | None) -> tuple[float, ...]:
    return () if length is None else (length,)


def _both_units(lengths: tuple[float, ...]) -> str:
    inches = " x ".join(f"{to_units(each, 'in'):.3f}" for each in lengths)
    return f"{inches} in ({' x '.join(f'{each:.3f}'.rstrip('0').rstrip('.') for each in lengths)} mm)"


@cache
def _catalogue() -> Mapping[_Wanted, Stock]:
    return {_read(stock.name): stock for stock in all_stock()}


def _find(wanted: _Wanted) -> Stock | None:
    for each in (wanted, wanted.in_millimetres()):
        for series in (each.series, "wide") if each.kind == "washer" and not each.series else (each.series,):
            if stock := _catalogue().get(replace(each, series=series)):
                return stock
    return None


def _read(text: str) -> _Wanted:
    plain = text.casefold()
    for glyph, fraction in _GLYPHS.items():
        plain = plain.replace(glyph, fraction)
    for said, meant in _SAME_WORDS:
        plain = plain.replace(said, meant)
    plain = _NO_SIZE.sub(" ", plain)
    words = [word.removesuffix("s") if len(word) > 3 else word for word in re.findall("[a-z]+", plain)]
    kind = _kind_of(words, text)
    unit = MM_PER["mm" if {"mm", "m"} & set(words) else "in"]
    sizes = tuple(_number(match) * unit for match in _NUMBER.finditer(plain))
    series = next((_SERIES[word] for word in words if word in _SERIES), "")
    return _Wanted(kind, _in_order(kind, sizes), series)


def _kind_of(words: list[str], text: str) -> str:
    for kind, (telling, beside) in _KINDS.items():
        if set(words) & set(telling.split()):
            strange = set(words) - {*telling.split(), *beside.split(), *_ANYWHERE}
            if strange:
                word = next(each for each in words if each in strange)
                raise StockError(f"no built-in '{text}': the tables know no '{word}' {kind}")
            return kind
    raise StockError(f"no built-in size '{text}'; there are {', '.join(_KINDS)}: `signplan stock` lists them")


def _number(match: re.Match[str]) -> Fraction:
    whole, over, under, decimal = match.groups()
    return Fraction(decimal) if decimal else int(whole or 0) + Fraction(int(over), int(under))


def _in_order(kind: str, sizes: tuple[Fraction, ...]) -> tuple[Fraction, ...]:
    """Sizes as the names have them: a flat's thickness before its width, a tube's wall last."""
    if kind == "flat":
        return (*sorted(sizes[:2]), *sizes[2:])
    if kind == "tube" and len(sizes) == 3:
        *sides, wall = sizes
        return (sides[0], wall) if sides[0] == sides[1] else (*sides, wall)
    return sizes


def _near(text: str, wanted: _Wanted) -> str:
    """The sizes of that kind that are nearest."""

    def distance(key: _Wanted) -> Fraction:
        pairs = zip(key.sizes, wanted.sizes, strict=False)
        return sum((abs(a - b) for a, b in pairs), start=Fraction(0))

    found = _catalogue()
    same = [key for key in found if key.kind == wanted.kind]
    near = sorted(same, key=distance)[:_MOST_NAMED]
    names = (found[key].name for key in same if key in near)
    return f"no built-in size '{text}'; there are {', '.join(names)}"
