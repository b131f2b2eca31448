"""The built-in hardware sizes: published tables at maximum material, each with its source.

A pocket must take the largest part that its standard lets through, so every size here is the largest: a nut's
greatest width across flats, a tube with its size tolerance added and the smallest corner radius of its range.
Each `certainty` says how well we know the figures: "read" in a published table; "from memory" of the standard
that is named; "common practice", with no source.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Literal

from signplan.units import parse_length

Certainty = Literal["read", "from memory", "common practice"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Stock:
    """One size of hardware at maximum material. Lengths mm; None where the shape has no such size.

    Attributes:
        name: as a job file writes it, such as "nut 3/8".
        kind: the table that it is from.
        shape: the shape of a hardware part that it makes.
        thickness: of a plate; else the length along the axis.
        size: of a plate its length and width; of a tube its width in the plane and its depth through.
        width: of a flat bar, whose length the job says.
        wall: of a pipe or tube, for its weight only.
        note: what the figures leave to the shop.
    """

    name: str
    kind: str
    shape: Literal["round", "flat", "hex", "tube"]
    source: str
    certainty: Certainty
    diameter: float | None = None
    across_flats: float | None = None
    across_corners: float | None = None
    thickness: float | None = None
    size: tuple[float, float] | None = None
    width: float | None = None
    corner_radius: float | None = None
    wall: float | None = None
    note: str = ""


@cache
def _in(text: str) -> float:
    return parse_length(text, "in")


# Size, width across flats F, across corners G, height H; all maximum, inch.
_NUTS_IN = (
    ("1/4", ".438", ".505", ".226"),
    ("5/16", ".500", ".577", ".273"),
    ("3/8", ".563", ".650", ".337"),
    ("1/2", ".750", ".866", ".448"),
    ("5/8", ".938", "1.083", ".559"),
)
_BOLT_HEADS_IN = (
    ("1/4", ".438", ".505", ".188"),
    ("5/16", ".500", ".577", ".235"),
    ("3/8", ".562", ".650", ".268"),
    ("1/2", ".750", ".866", ".364"),
    ("5/8", ".938", "1.083", ".444"),
)
_CAP_SCREW_HEADS_IN = (
    ("1/4", ".438", ".505", ".163"),
    ("5/16", ".500", ".577", ".211"),
    ("3/8", ".562", ".650", ".243"),
    ("1/2", ".750", ".866", ".323"),
    ("5/8", ".938", "1.083", ".403"),
)
# Size, width across flats s max, height m or k max, mm. The standards give the least width across corners
# only; the greatest is that of a sharp hexagon.
_NUTS_MM = (
    ("M5", 8, 4.7),
    ("M6", 10, 5.2),
    ("M8", 13, 6.8),
    ("M10", 16, 8.4),
    ("M12", 18, 10.8),
    ("M16", 24, 14.8),
    ("M20", 30, 18),
)
_BOLT_HEADS_MM = (
    ("M6", 10, 4.15),
    ("M8", 13, 5.45),
    ("M10", 16, 6.58),
    ("M12", 18, 7.68),
    ("M16", 24, 10.18),
)
# Size, outside diameter, what it may be over, greatest thickness; inch.
_WASHERS_NARROW_IN = (
    ("1/4", ".625", ".015", ".080"),
    ("5/16", ".688", ".015", ".080"),
    ("3/8", ".812", ".015", ".080"),
    ("1/2", "1.062", ".030", ".121"),
    ("5/8", "1.312", ".030", ".121"),
)
_WASHERS_WIDE_IN = (
    ("1/4", ".734", ".015", ".080"),
    ("5/16", ".875", ".030", ".104"),
    ("3/8", "1.000", ".030", ".104"),
    ("1/2", "1.375", ".030", ".132"),
    ("5/8", "1.750", ".030", ".160"),
)
# Size, outside diameter (greatest), greatest thickness; mm.
_WASHERS_MM = (("M6", 12, 1.8), ("M8", 16, 1.8), ("M10", 20, 2.2), ("M12", 24, 2.7), ("M16", 30, 3.3))
_RODS_IN = ("1/4", "5/16", "3/8", "1/2", "5/8", "3/4")
_RODS_MM = (5, 6, 8, 10, 12, 16, 20)
# Nominal size, outside diameter, wall of schedule 40; inch.
_PIPE_SIZES = (
    ("1/2", ".840", ".109"),
    ("3/4", "1.050", ".113"),
    ("1", "1.315", ".133"),
    ("1-1/4", "1.660", ".140"),
    ("1-1/2", "1.900", ".145"),
    ("2", "2.375", ".154"),
    ("2-1/2", "2.875", ".203"),
    ("3", "3.500", ".216"),
    ("3-1/2", "4.000", ".226"),
    ("4", "4.500", ".237"),
)
# Wall and the least outside corner radius of its range; inch.
_TUBE_CORNERS = ((".065", "1/16"), (".083", "5/64"), (".095", "3/32"), (".120", "1/8"))
_TUBE_SECTIONS: tuple[tuple[str, ...], ...] = (
    ("1",),
    ("1-1/4",),
    ("1-1/2",),
    ("2",),
    ("2-1/2",),
    ("1-1/2", "1"),
    ("1", "1-1/2"),
    ("2", "1"),
    ("1", "2"),
    ("2", "1-1/2"),
    ("1-1/2", "2"),
    ("2-1/2", "1-1/2"),
    ("1-1/2", "2-1/2"),
)
_TUBE_OVER = ".020"
_TUBE_SOURCE = (
    "ASTM A500 section 10: outside size and what it may be over (.020); "
    "a tube maker's table of outside corner radii: least of the range"
)
_TUBE_NOTE = "the table of radii begins at 1-1/4 for this wall; the next thinner wall's is taken, as tighter"
_FLAT_THICKNESSES = ("1/8", "3/16", "1/4", "3/8", "1/2")
_FLAT_WIDTHS = ("1/2", "3/4", "1", "1-1/4", "1-1/2", "1-3/4", "2", "2-1/2", "3", "3-1/2", "4")
# Widths up to, what the width may be over, what the thickness may be over up to 1/4 and above it; inch.
_FLAT_OVER = (
    ("1", "1/64", ".007", ".008"),
    ("2", "1/32", ".007", ".012"),
    ("4", "1/16", ".008", ".015"),
)
# Diameter and the upper deviation of m6, mm.
_PIN_SIZES = (
    (3, 0.008),
    (4, 0.012),
    (5, 0.012),
    (6, 0.012),
    (8, 0.015),
    (10, 0.015),
    (12, 0.018),
    (16, 0.018),
    (20, 0.021),
)
# Size, shank, eye inside (least), eye outside, shoulder (greatest); inch.
_EYEBOLT_SIZES = (
    ("1/4", ".69", "1.19", ".56"),
    ("5/16", ".81", "1.44", ".62"),
    ("3/8", ".94", "1.69", ".69"),
    ("1/2", "1.12", "2.12", ".94"),
)


def all_stock() -> Iterator[Stock]:
    """Every built-in size, table by table."""
    yield from _hex_in("nut", _NUTS_IN, "ASME B18.2.2, hex nuts: greatest F, G and H")
    yield from _hex_mm("nut", _NUTS_MM, "ISO 4032, hex nuts style 1: greatest s and m")
    yield from _hex_in("bolt head", _BOLT_HEADS_IN, "ASME B18.2.1, hex bolts: greatest F, G and H")
    yield from _hex_in(
        "cap screw head", _CAP_SCREW_HEADS_IN, "ASME B18.2.1, hex cap screws: greatest F, G and H"
    )
    yield from _hex_mm("bolt head", _BOLT_HEADS_MM, "ISO 4014, hex head bolts: greatest s and k")
    yield from _washers("narrow", _WASHERS_NARROW_IN)
    yield from _washers("wide", _WASHERS_WIDE_IN)
    yield from _washers_mm()
    yield from _rods()
    yield from _pipes()
    yield from _tubes()
    yield from _flats()
    yield from _pins()
    yield from _eyebolts()


def _hex_in(kind: str, rows: tuple[tuple[str, str, str, str], ...], source: str) -> Iterator[Stock]:
    for size, flats, corners, height in rows:
        yield Stock(
            name=f"{kind} {size}",
            kind=kind,
            shape="hex",
            across_flats=_in(flats),
            across_corners=_in(corners),
            thickness=_in(height),
            source=source,
            certainty="read",
        )


def _hex_mm(kind: str, rows: tuple[tuple[str, float, float], ...], source: str) -> Iterator[Stock]:
    for size, flats, height in rows:
        yield Stock(
            name=f"{kind} {size}",
            kind=kind,
            shape="hex",
            across_flats=float(flats),
            across_corners=2 * flats / 3**0.5,
            thickness=float(height),
            source=source,
            certainty="from memory",
            note="across corners is that of a sharp hexagon",
        )


def _washers(series: str, rows: tuple[tuple[str, str, str, str], ...]) -> Iterator[Stock]:
    for size, diameter, over, thickness in rows:
        yield Stock(
            name=f"washer {size} {series}",
            kind="washer",
            shape="round",
            diameter=_in(diameter) + _in(over),
            thickness=_in(thickness),
            source=f"ASME B18.21.1, plain washers type A, {series}: greatest outside diameter and thickness",
            certainty="from memory",
            note="the outside diameters are read; what they may be over is from memory",
        )


def _washers_mm() -> Iterator[Stock]:
    for size, diameter, thickness in _WASHERS_MM:
        yield Stock(
            name=f"washer {size}",
            kind="washer",
            shape="round",
            diameter=float(diameter),
            thickness=thickness,
            source="ISO 7089, plain washers, normal series: outside diameter and thickness, greatest",
            certainty="from memory",
        )


def _rods() -> Iterator[Stock]:
    note = "threaded rod, or plain rod of this size; rod rolled oversize must be measured"
    for text in _RODS_IN:
        source = "ASME B1.1, basic major diameter"
        yield _round(f"rod {text}", "rod", _in(text), source=source, certainty="from memory", note=note)
    for size in _RODS_MM:
        source = "ISO 261, basic major diameter"
        yield _round(f"rod M{size}", "rod", size, source=source, certainty="from memory", note=note)


def _round(
    name: str, kind: str, diameter: float, *, source: str, certainty: Certainty, note: str = ""
) -> Stock:
    return Stock(
        name=name,
        kind=kind,
        shape="round",
        diameter=float(diameter),
        source=source,
        certainty=certainty,
        note=note,
    )


def _pipes() -> Iterator[Stock]:
    for size, diameter, wall in _PIPE_SIZES:
        yield Stock(
            name=f"pipe {size}",
            kind="pipe",
            shape="round",
            diameter=_in(diameter),
            wall=_in(wall),
            source="ASME B36.10M, outside diameter; wall of schedule 40 for the weight",
            certainty="from memory" if size in ("1/2", "3/4") else "read",
            note="pipe may be a little over its listed diameter: measure it, or let the clearance cover it",
        )


def _tubes() -> Iterator[Stock]:
    for section, (wall, radius) in product(_TUBE_SECTIONS, _TUBE_CORNERS):
        thin_table = wall == ".120" and min(map(_in, section)) < _in("1-1/4")
        sides = [_in(side) + _in(_TUBE_OVER) for side in section]
        yield Stock(
            name=f"tube {' x '.join((*section, wall))}",
            kind="tube",
            shape="tube",
            size=(sides[0], sides[-1]),
            corner_radius=_in("3/32") if thin_table else _in(radius),
            wall=_in(wall),
            source=_TUBE_SOURCE,
            certainty="read",
            note=_TUBE_NOTE if thin_table else "",
        )


def _flats() -> Iterator[Stock]:
    for thickness, width in product(_FLAT_THICKNESSES, _FLAT_WIDTHS):
        if _in(thickness) >= _in(width):
            continue
        over = next(row for row in _FLAT_OVER if _in(width) <= _in(row[0]))
        thick_over = over[2] if _in(thickness) <= _in("1/4") else over[3]
        yield Stock(
            name=f"flat {thickness} x {width}",
            kind="flat",
            shape="flat",
            thickness=_in(thickness) + _in(thick_over),
            width=_in(width) + _in(over[1]),
            source="ASTM A29, hot-wrought flat bars: size and what it may be over",
            certainty="from memory",
            note='add a length for a whole plate: "flat 1/4 x 2 x 12"',
        )


def _pins() -> Iterator[Stock]:
    for diameter, over in _PIN_SIZES:
        source = "ISO 2338, parallel pins, m6: ISO 286 upper deviation"
        yield _round(
            f"dowel pin {diameter} mm", "dowel pin", diameter + over, source=source, certainty="read"
        )


def _eyebolts() -> Iterator[Stock]:
    source = "ASME B18.15, forged shoulder eyebolts"
    for size, inside, outside, shoulder in _EYEBOLT_SIZES:
        note = f"the shank; see also 'eyebolt shoulder {size}' and 'eye {size}'"
        yield _round(f"eyebolt {size}", "eyebolt", _in(size), source=source, certainty="read", note=note)
        name = f"eyebolt shoulder {size}"
        yield _round(name, "eyebolt shoulder", _in(shoulder), source=source, certainty="read")
        yield Stock(
            name=f"eye {size}",
            kind="eye",
            shape="flat",
            size=(_in(outside), _in(outside)),
            thickness=(_in(outside) - _in(inside)) / 2,
            source=f"{source}: eye outside; its section follows from the least inside",
            certainty="read",
            note="the square round the eye of an eyebolt; a round pocket needs a drawn outline",
        )
