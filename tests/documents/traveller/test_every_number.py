"""Every number on every page of every demo job is one of plan.json, or follows from it by a rule named here.

The pages are read back as text and cut into words; what holds a digit has to be one that plan.json, the job
or the shop gives, as the sheets print it. Constants of the trade and of standards are listed by hand.
"""

import json
import math
import re
from collections.abc import Iterator
from itertools import pairwise

import pypdfium2
import pytest
from shapely import MultiPolygon, Point, Polygon, affinity, unary_union

from signplan.documents.forces import area, force
from signplan.documents.plan_json import render_plan_json
from signplan.documents.sections import sections
from signplan.documents.words import (
    duration,
    exact,
    feed,
    length,
    minutes_seconds,
    place,
    room,
    spindle,
    weight,
)
from signplan.plan import Plan
from signplan.sign.gluing import most_clamp_pressure
from signplan.sign.model import Bar

WORD = re.compile(r"[^\s()\[\];=]*\d[^\s()\[\];=]*")
TAG = re.compile(r"[A-Z]{1,2}\d+")
"""The name of a place in a drawing, of a tool's place, of a tile."""

CLOCK = re.compile(r"\d+:\d\d:\d\d")
KG_PER_POUND = 0.45359237
SAW, CARVED_TO, HOLE_DEEPER = 3.2, 0.4, 1.5
"""Common practice, as docs/traveller.md has it, mm."""

CONSTANTS = """
99 100 160 267 3.9 6.6 29 1910.147 1910.1000 1910.95 660 12100 2999 94-110 0.02 15 5
51 23 29.4 13.3 381 77 500 7-16 7-22 7-10 10 20 25 40 90 98 100 360
1/4 6.4 4 1/64 0.5 1/5 0.00256 24.4 3797 200 35
"""
"""Of standards, of cautions (29.4 lb is NIOSH's limit 15 in out from a bench), of the rulers, of
a thin spread of glue (a gallon is 231 in3), and of a sample of a hundred."""


def words_of(text: str) -> Iterator[str]:
    for word in WORD.findall(re.sub(r"[\u202f\ufffe]|scale 1 : [\d.]+|scale [\d.]+ : 1", "", text)):
        yield word.strip('.,:;"′+±%°–-$€£/').lstrip("§")


def leaves(node: object, key: str = "") -> Iterator[tuple[str, object]]:
    """Every value of a JSON document, with its key, but the corners of its shapes."""
    if isinstance(node, dict):
        for name, value in node.items():
            if name not in ("outline", "drawn", "as_cut"):
                yield from leaves(value, name)
    elif isinstance(node, list):
        for value in node:
            yield from leaves(value, key)
    elif node is not None and not isinstance(node, bool):
        yield key, node


def sizes(value: float, units: str) -> Iterator[str]:
    """A length as any sheet prints it."""
    yield from (place(value, units), exact(value, units), length(value, units), room(value, units))
    yield f"{value:.2f}"


def plain(value: float, units: str) -> Iterator[str]:
    """A count, a factor, a share or a sum."""
    del units
    yield from (f"{value:.0f}", f"{value:g}", f"{value:.0%}", f"{abs(value):,.2f}", f"{abs(value):.1f}")


def times(value: float, units: str) -> Iterator[str]:
    """Seconds, and the minutes on both sides of them, tenths of few; hours where time has a price."""
    del units
    yield from (duration(abs(value)), minutes_seconds(abs(value)))
    yield from (f"{value // 60:.0f}", f"{-(-value // 60):.0f}", f"{value / 3600:.2f}", f"{value:+.0f}")
    if abs(value) < 900:
        yield from (f"{value // 6 / 10:.1f}", f"{-(-value // 6) / 10:.1f}")


def weights(value: float, units: str) -> Iterator[str]:
    yield weight(value, units)


def priced(value: float, units: str) -> Iterator[str]:
    """A quantity, a rate or an amount; what is weighed in pounds too."""
    yield from plain(value, units)
    yield from (f"{value / KG_PER_POUND:.2f}", f"{value * KG_PER_POUND:.2f}")


KINDS = {
    **dict.fromkeys(
        ["seconds", "low", "high", "total", "cutting", "travel", "handling", "as_listed_seconds"], times
    ),
    **dict.fromkeys(
        ["mass", "board_mass", "steel_mass", "load", "tension", "working_load", "bracket"], weights
    ),
    **dict.fromkeys(["width", "height", "panel_thickness", "centroid", "blank", "depth", "diameter"], sizes),
    **dict.fromkeys(
        ["room", "room_worst", "worst", "rss", "sampled", "at", "x", "y", "above", "bounds"], sizes
    ),
    **dict.fromkeys(["quantity", "rate", "amount"], priced),
    "changes": lambda value, units: [*plain(value, units), *times(value, units)],
    "allowances": sizes,
    "force": lambda value, units: [force(value, units)],
    "allowable": lambda value, units: [force(value, units)],
    "area": lambda value, units: [area(value, units)],
    "sealed": lambda value, units: [area(value, units)],
    "side": lambda value, units: [force(value, units)],
    "push": lambda value, units: [force(value, units)],
    "feed": lambda value, units: [feed(value, units)],
    "rpm": lambda value, units: [spindle(value)],
}
"""How the sheets print what stands under a key of plan.json; under any other it is a plain number."""


def in_setup(made: dict, units: str) -> Iterator[str]:
    """Positions on the setup sheets, placed again by the matrices of plan.json."""
    panels = {panel["id"]: panel for panel in made["panels"]}
    outline = Polygon(made["sign"]["outline"][0][0])
    for setup in made["setups"]:
        for x, y, *_ in setup["index_pins"]:
            yield from (place(x, units), place(y, units))
        for each in setup["placements"]:
            (a, b, c), (d, e, f) = each["matrix"]
            panel = panels[each["panel"]]
            shapes = [outline, *(Point(dowel["x"], dowel["y"]) for dowel in panel["dowels"])]
            for pocket in panel["pockets"]:
                drawn = _shape(pocket["drawn"]) & outline
                shapes += [_shape(pocket["as_cut"]) if drawn.area < 1e-9 else drawn]
            for shape in shapes:
                bounds = affinity.affine_transform(shape, [a, b, d, e, c, f]).bounds
                yield from (place(value, units) for value in bounds)


def _shape(rings: list) -> MultiPolygon:
    return unary_union([Polygon(outer, holes) for outer, *holes in rings])


def of_carvings(plan: Plan) -> Iterator[float]:
    """Boxes and depths of what is carved, which plan.json has only as operations."""
    for planned in plan.setups:
        for panel, placement in planned.setup.placements:
            for each in plan.sign.panel(panel).carvings:
                lines = unary_union(list(each.lines)) if each.treatment == "line" else each.shape
                if not lines.is_empty:
                    yield from placement.shape(lines).bounds
                depth = each.ground + each.depth
                yield from (depth, each.depth, each.ground, depth - CARVED_TO, depth + CARVED_TO)
                yield from (plan.sign.thickness - depth,)


def of_sizes(plan: Plan, made: dict) -> Iterator[float]:
    """Depths with their tolerances, floors, gauges, blanks and what is left of the sheet."""
    t, job, shop = made["sign"]["panel_thickness"], plan.job, plan.shop
    clearances = {(item.clearance, item.depth_clearance) for item in plan.sign.items}
    depths = {pocket["depth"] for panel in made["panels"] for pocket in panel["pockets"]}
    for depth in depths:
        yield from (t - depth, *(depth + sign * deep / 2 for _, deep in clearances for sign in (-1, 1)))
        for carved in {each.ground + each.depth for panel in plan.sign.panels for each in panel.carvings}:
            yield t - depth - carved
    for dowel in (dowel for panel in made["panels"] for dowel in panel["dowels"]):
        yield from (dowel["depth"] + HOLE_DEEPER, t - dowel["depth"])
        yield dowel["diameter"] + (job.dowels.clearance if job.dowels else 0.0)
    for _, _, diameter in (pin for setup in made["setups"] for pin in setup["index_pins"]):
        yield diameter + shop.index_pins.clearance
    yield from (2 * t, plan.board.thickness_error, *plan.board.sheet, *shop.machine.rapid, *shop.machine.bed)
    for setup in made["setups"]:
        for side in setup["blank"][:2]:
            yield from (sheet - side - SAW for sheet in plan.board.sheet)
    for tool in shop.tools:
        yield from (tool.diameter, tool.reach, tool.radius or 0.0)


def of_steel(plan: Plan) -> Iterator[float]:
    """A piece of steel, it with its play on one side, on both sides, and half as much again; its room."""
    for item in plan.sign.items:
        for part in item.parts:
            own = (part.width, part.height) if isinstance(part, Bar) else _sides(part.outline)
            yield from (*own, *(min(own) + k * item.clearance for k in range(4)))
            yield from (part.width + k * item.clearance for k in range(4)) if isinstance(part, Bar) else ()
            arms = () if isinstance(part, Bar) else _edges(part.outline)
            yield from (arm + k * item.clearance for arm in arms for k in range(4))
    for section in (each for found in sections(plan).values() for each in found):
        yield from (gap.size for gap in section.gaps)


def _edges(outline: MultiPolygon) -> list[float]:
    """The ends of a plate's arms are as wide as the arms."""
    rings = [list(each.exterior.coords) for each in outline.geoms]
    return [math.dist(a, b) for ring in rings for a, b in pairwise(ring)]


def _sides(outline: MultiPolygon) -> list[float]:
    ring = list(outline.minimum_rotated_rectangle.exterior.coords)
    return [math.dist(a, b) for a, b in pairwise(ring)]


def of_glue_and_hold(plan: Plan, made: dict) -> Iterator[str]:
    """Glue by the area where board meets board; vacuum by the area that is sealed; markup by the sum."""
    units, density = made["job"]["units"], plan.board.density
    pockets = [_shape(p["as_cut"]) for panel in made["panels"] for p in panel["pockets"]]
    board = plan.sign.panels[0].outline.intersection(plan.sign.panels[1].outline)
    glued = board.difference(unary_union(pockets)).area
    yield from (f"{glued / 304.8**2:.1f}", f"{glued * 1e-6:.2f}")
    yield from (f"{glued * 1e-6 * 200:.0f}", f"{glued * 1e-6 * 200 / 28.349523:.1f}")
    clamps = glued * 5 * 4.4482216 / 25.4**2
    yield from (force(newtons, units) for newtons in range(int(clamps * 0.9995), int(clamps * 1.0005)))
    most = most_clamp_pressure(density)
    yield from (f"{most * 1000:.0f}", f"{most / 0.006894757:.0f}")
    pressure = plan.shop.holding.inches_of_mercury * 3386.389e-6
    for grip in (grip for hold in plan.holds for grip in hold.grips):
        yield from (area(grip.area, units), force(grip.area * pressure * plan.shop.holding.friction, units))
    open_inch = 0.6 * 25.4**2 * 1e-6 * math.sqrt(2 * pressure * 1e6 / 1.2) * 60 / 0.3048**3
    yield f"{open_inch:.0f}"
    amounts = [line["amount"] for line in (made["cost"] or {}).get("lines", ()) if line["amount"]]
    total = made["cost"]["total"]
    yield from (f"{total:,.2f}", f"{total - sum(amounts):,.2f}")


@pytest.fixture(scope="module")
def explained(job: tuple[Plan, bytes]) -> tuple[frozenset[str], bytes, Plan]:
    plan, pdf = job
    return frozenset(_explained(plan, json.loads(render_plan_json(plan)))), pdf, plan


def _explained(plan: Plan, made: dict) -> Iterator[str]:
    units = made["job"]["units"]
    shop = plan.shop.model_dump(mode="json", warnings=False, exclude={"boards", "tools"})
    cutters = [[tool.id, tool.number, tool.flutes, tool.angle] for tool in plan.shop.tools]
    given = [plan.job.model_dump(mode="json"), shop, cutters, plan.board.id]
    for key, leaf in [*leaves(made), *(("", leaf) for _, leaf in leaves(given))]:
        if isinstance(leaf, str):
            yield from words_of(leaf)
        elif isinstance(leaf, int | float):
            yield from (w for text in KINDS.get(key, plain)(float(leaf), units) for w in words_of(text))
    arm, bolts = plan.job.hanging.arm, plan.job.hanging.bolts
    if arm and bolts:  # the couple between a bracket's bolts
        yield from words_of(weight(made["sign"]["mass"] * arm / bolts, units))
    yield from in_setup(made, units)
    numbers = [*of_carvings(plan), *of_sizes(plan, made), *of_steel(plan)]
    yield from (word for value in numbers for text in sizes(value, units) for word in words_of(text))
    yield from (word for text in of_glue_and_hold(plan, made) for word in words_of(text))
    yield from CONSTANTS.split()
    yield from (str(10 * k) for k in range(1, len(made["operations"]) + 1))


def strange(plan: Plan, made: dict, pdf: bytes) -> list[tuple[int, str]]:
    """Words with digits that nothing explains, with their pages."""
    known, book = frozenset(_explained(plan, made)), pypdfium2.PdfDocument(pdf)
    pages = {number: page.get_textpage().get_text_range() for number, page in enumerate(book, 1)}
    known |= {str(number) for number in range(1, len(pages) + 1)}
    return [
        (number, word)
        for number, text in pages.items()
        for word in words_of(text)
        if word not in known and not TAG.fullmatch(word) and not CLOCK.fullmatch(word)
    ]


def test_every_number_of_every_page_is_explained(job: tuple[Plan, bytes]) -> None:
    plan, pdf = job
    assert strange(plan, json.loads(render_plan_json(plan)), pdf) == []


def test_a_number_that_has_changed_is_found(job: tuple[Plan, bytes]) -> None:
    """What this test would say of sheets that were printed from another plan."""
    plan, pdf = job
    made = json.loads(render_plan_json(plan))
    for operation in made["operations"]:
        operation["rpm"] *= 1.07
    found = {word for _, word in strange(plan, made, pdf)}
    assert {spindle(e.cutting.rpm).replace("\u202f", "") for s in plan.setups for e in s.operations} & found


def test_the_clock_of_a_setup_runs_by_the_times_of_its_operations(job: tuple[Plan, bytes]) -> None:
    """Done at: never before the last and its own time together, and at the end within the hold."""
    plan, pdf = job
    made = json.loads(render_plan_json(plan))
    text = "\n".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf))
    text = text.replace("NOT READY\r\n", "")  # across the page, in the middle of a line
    done = {
        int(number): sum(60**k * int(part) for k, part in enumerate(reversed(at.split(":"))))
        for number, at in re.findall(r"(\d+0) (?:[AB]|blank) · [^\n]* (\d+:\d\d:\d\d)\b", text)
    }
    seconds = {10 * (k + 1): each["seconds"] for k, each in enumerate(made["operations"])}
    assert done.keys() == seconds.keys()
    for setup in made["setups"]:
        numbers = [10 * (k + 1) for k, e in enumerate(made["operations"]) if e["setup"] == setup["id"]]
        for before, after in pairwise(numbers):
            assert done[after] - done[before] >= seconds[after] - 1
        assert seconds[numbers[0]] - 1 <= done[numbers[0]]
        assert done[numbers[-1]] <= setup["hold"]["seconds"] + 1
