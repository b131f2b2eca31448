"""The operations of each treatment of the artwork.

Depths are below the face, but for what stands on lowered ground: a groove, a line and a shaped edge start
there, and their depth counts from there.
"""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

import shapely
from shapely import MultiPolygon, Polygon, box

from signplan.findings import Finding
from signplan.geometry.shapes import EMPTY, grow, widest_circle
from signplan.job.shop import Shape, Tool
from signplan.operations.cutters import (
    Bench,
    clearing_cutters,
    line_cutter,
    relief_cutters,
    through_depth,
    vee_cutter,
    vee_reach,
)
from signplan.operations.model import Clearing, Following, Grooving, Rounding, Sculpting
from signplan.operations.practice import ALLOWANCE, RELIEF_ALLOWANCE
from signplan.operations.room import Room, room_of
from signplan.operations.shortfalls import (
    no_cutter,
    no_way_in,
    none_of,
    relief_too_fine,
    too_fine,
    too_short,
    unknown_tool,
    wrong_shape,
)
from signplan.operations.side import LAST, Feature, Made, Side
from signplan.sign.forms import edge_depth
from signplan.sign.model import Carving, HeightMap
from signplan.sign.register import Placement

MOST = 0.6
"""A flat cutter clears the bottom of a groove if it does at least this share of it."""

ROUND = 0.97
"""A hole is round if it fills this share of the circle round it."""


FITTING: Mapping[str, tuple[Shape, ...]] = {
    "raise": ("flat",),
    "lower": ("flat",),
    "incise": ("vee",),
    "line": ("vee", "ball", "flat"),
    "relief": ("ball", "flat"),
    "edge": ("round-over", "ogee", "vee", "ball"),
    "bore": ("drill", "flat"),
}
"""The shapes of cutter that each treatment can be cut with."""


def treated(side: Side, carving: Carving) -> Made:
    """The operations of a carving; findings where the shop cannot do it."""
    feature = side.feature(carving.id, carving.key, carving.treatment)
    tools = [side.bench.shop.tool(name) for name in carving.tools]
    missing = [name for name, tool in zip(carving.tools, tools, strict=True) if tool is None]
    yield from (unknown_tool(name, feature.spot) for name in missing)
    named = () if missing else tuple(tool for tool in tools if tool)
    fitting = FITTING[carving.treatment]
    wrong = [tool for tool in named if tool.shape not in fitting]
    yield from (
        wrong_shape(tool, fitting, side.bench, spot=feature.spot, what=carving.treatment) for tool in wrong
    )
    if not wrong:
        yield from _TREATMENTS[carving.treatment](side, carving, feature, named)


def _ground(side: Side, carving: Carving, feature: Feature, tools: tuple[Tool, ...]) -> Made:
    """Raise and lower: rough, rest, walls."""
    yield from _cleared(side, side.shape_of(carving), carving.depth, feature=feature, tools=tools)


def _cleared(
    side: Side, region: MultiPolygon, depth: float, *, feature: Feature, tools: tuple[Tool, ...]
) -> Made:
    room = room_of(region, side.outline)
    for tool in tools:
        yield from too_short(tool, depth, feature.spot)
    tools = tools or clearing_cutters(room, (0.0, depth), side.bench, allowance=ALLOWANCE)
    if not tools:
        yield from _no_clearing(room, depth, side.bench, feature)
        return
    yield from too_fine(room, tools[-1], feature.spot)
    yield from side.clear(feature, room, (0.0, depth), tools=tools)


def _no_clearing(room: Room, depth: float, bench: Bench, feature: Feature) -> Iterator[Finding]:
    """Either no flat cutter goes so deep, or the finest that does finds no way in."""
    flats = [tool for tool in bench.of_shape("flat") if tool.usable_depth >= depth]
    if flats:
        yield from too_fine(room, flats[-1], feature.spot)
    else:
        yield no_cutter(("flat",), depth, bench, feature.spot, f"'{feature.treatment}'")


def _incise(side: Side, carving: Carving, feature: Feature, tools: tuple[Tool, ...]) -> Made:
    """A vee along the middle; where the cap makes the bottom flat, a flat cutter before it if one fits."""
    region = side.shape_of(carving)
    top, widest = carving.ground, widest_circle(region)
    vee = tools[0] if tools else vee_cutter(widest, carving.depth or math.inf, side.bench)
    if vee is None:
        yield none_of(FITTING["incise"], feature.spot, "'incise'")
        return
    if widest <= vee.tip / 2:
        yield no_way_in(carving.id, vee, feature.spot)
        return
    side.take([vee])
    cap = top + min(carving.depth or math.inf, vee_reach(vee))
    bottom = grow(region, -((cap - top) * math.tan(vee.half_angle) + vee.tip / 2))
    flat = _bottom_cutter(Room(region=bottom), cap, side.bench)
    cleared = EMPTY
    if flat:
        side.take([flat])
        cleared = Room(region=bottom).reached(flat.diameter / 2)
        clearing = Clearing(region=cleared, within=bottom, top=top, floor=cap)
        yield side.operation(feature, "rough", flat, work=clearing, depth=cap)
    deepest = min(cap, top + (widest - vee.tip / 2) / math.tan(vee.half_angle))
    groove = Grooving(region=region, top=top, cap=cap, cleared=cleared)
    yield side.operation(feature, "incise", vee, work=groove, depth=deepest, stage=LAST)


def _bottom_cutter(room: Room, depth: float, bench: Bench) -> Tool | None:
    """The largest flat cutter that does most of a groove's flat bottom."""
    if room.region.is_empty:
        return None
    able = (tool for tool in bench.of_shape("flat") if tool.usable_depth >= depth)
    wanted = MOST * room.region.area
    return next((tool for tool in able if room.reached(tool.diameter / 2).area >= wanted), None)


def _line(side: Side, carving: Carving, feature: Feature, tools: tuple[Tool, ...]) -> Made:
    tool = tools[-1] if tools else line_cutter(carving.depth, side.bench)
    if tool is None:
        yield no_cutter(FITTING["line"], carving.depth, side.bench, feature.spot, "'line'")
        return
    side.take([tool])
    lines = tuple(side.place.shape(line) for line in carving.lines)
    top, deep = carving.ground, carving.ground + carving.depth
    yield from too_short(tool, deep, feature.spot)
    yield side.operation(feature, "line", tool, work=Following(lines=lines, top=top, depth=deep), depth=deep)


def _relief(side: Side, carving: Carving, feature: Feature, tools: tuple[Tool, ...]) -> Made:
    """Roughed by a flat cutter where it is deep enough for that, finished by a ball."""
    if carving.relief is None:
        return
    region, heights = side.shape_of(carving), _seen(carving.relief, side.place)
    work = Sculpting(region=region, heights=heights, depth=carving.depth, allowance=0.0)
    rough, finish = (tools[0], tools[-1]) if tools else relief_cutters(work, side.bench)
    if finish is None:
        yield no_cutter(("ball",), carving.depth, side.bench, feature.spot, "'relief'")
        return
    rough = rough or finish
    side.take([rough, finish])
    for tool in {rough.id: rough, finish.id: finish}.values():
        yield from too_short(tool, carving.depth, feature.spot)
    if finish.shape == "ball":
        yield from relief_too_fine(work, finish, feature.spot)
    if carving.depth > RELIEF_ALLOWANCE:
        roughing = replace(work, allowance=RELIEF_ALLOWANCE)
        deep = carving.depth - RELIEF_ALLOWANCE
        yield side.operation(feature, "relief-rough", rough, work=roughing, depth=deep)
    yield side.operation(feature, "relief-finish", finish, work=work, depth=carving.depth, stage=LAST)


def _seen(heights: HeightMap, place: Placement) -> HeightMap:
    """A height map as a face shows it."""
    mirrored = heights.mirrored != (place.determinant < 0)
    return HeightMap(values=heights.values, box=place.shape(box(*heights.box)).bounds, mirrored=mirrored)


def _edge(side: Side, carving: Carving, feature: Feature, tools: tuple[Tool, ...]) -> Made:
    tool = tools[0] if tools else _edge_cutter(carving.depth, side.bench)
    if tool is None:
        yield none_of(("round-over",), feature.spot, "'edge'")
        return
    side.take([tool])
    top = carving.ground
    deep = top + (carving.depth or edge_depth(tool))
    yield from too_short(tool, deep, feature.spot)
    work = Rounding(outline=side.outline, depth=deep, top=top)
    yield side.operation(feature, "edge", tool, work=work, depth=deep)


def _edge_cutter(depth: float, bench: Bench) -> Tool | None:
    """The round-over whose radius is nearest to the depth asked for, the smaller of two."""
    known = bench.of_shape("round-over")
    return min(known, key=lambda tool: (abs((tool.radius or 0) - depth), tool.radius), default=None)


def _bore(side: Side, carving: Carving, feature: Feature, tools: tuple[Tool, ...]) -> Made:
    """Round holes, an operation a diameter; any other shape is cleared."""
    thick = side.sign.thickness
    deep = carving.ground + carving.depth
    deep = through_depth(thick) if deep >= thick else deep
    shape = side.shape_of(carving)
    sizes: dict[float, list[Polygon]] = {}
    for hole in shape.geoms:
        sizes.setdefault(_diameter(hole), []).append(hole)
    for number, (diameter, holes) in enumerate(sorted(sizes.items()), start=1):
        name = feature.id if number == 1 else f"{feature.id}-{number}"
        part = side.feature(name, carving.key, "bore")
        if not diameter:
            flats = tuple(tool for tool in tools if tool.shape == "flat")
            yield from _cleared(side, MultiPolygon(holes), deep, feature=part, tools=flats)
            continue
        points = [(hole.centroid.x, hole.centroid.y) for hole in holes]
        yield from side.holes(part, "bore", points, size=(diameter, carving.ground, deep), tools=tools)


def _diameter(hole: Polygon) -> float:
    """Diameter of a round hole, to a hundredth; 0 for one that is not round."""
    circle = math.pi * shapely.minimum_bounding_radius(hole) ** 2
    return round(2 * math.sqrt(hole.area / math.pi), 2) if hole.area > ROUND * circle else 0.0


_TREATMENTS: dict[str, Callable[[Side, Carving, Feature, tuple[Tool, ...]], Made]] = {
    "raise": _ground,
    "lower": _ground,
    "incise": _incise,
    "line": _line,
    "relief": _relief,
    "edge": _edge,
    "bore": _bore,
}
