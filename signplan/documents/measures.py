"""What a person measures and ticks off: numbered places, first cuts, gauges, the clock of a setup.

Everything follows from fields of the plan by the rules named here; nothing here decides how anything is cut.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import shapely
from shapely import MultiLineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from signplan.documents.words import length
from signplan.geometry.shapes import area_of, union
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup
from signplan.sign.looseness import pocket_across
from signplan.sign.model import Bar, IndexPin, Item, PanelPlan, Plate, Pocket
from signplan.sign.register import Panel, Placement
from signplan.sign.setups import Setup

CARVED_TO = 0.4
"""A carved depth may be out by 1/64 in (common practice)."""

HOLE_DEEPER = 1.5
"""A blind hole may be deeper than its dowel needs by about 1/16 in, never shallower (common practice)."""

FINE = 6
"""Decimals of a mm to which two channels are equally wide."""

KEEP_OUT = 6.35
"""Board to leave between a screw and the nearest cutter's edge: 1/4 in (common practice)."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Size:
    """A size to measure: what it should be, and how much less and more is still right, mm."""

    target: float
    less: float
    more: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """A feature of a setup, with its box in the setup frame. A round one has a diameter and its middle only.

    `tag` is the number in its balloon; it is unique within its panel. `depth` is measured on the first cut,
    from the top of the blank; `ground` is the part of it that is lowered already where a carving stands.
    `at` is a place inside it, for its balloon to point at.
    """

    tag: str
    name: str
    panel: Panel | None
    x: tuple[float, float]
    y: tuple[float, float]
    depth: Size | None
    at: tuple[float, float]
    diameter: Size | None = None
    ground: float = 0.0


def places(plan: Plan, setup: Setup) -> tuple[Place, ...]:
    """What a setup's sheet shows by number: pins, panels, then dowels, pockets and vents, or carvings.

    A pocket is told by its walls, to the panel's edge where it runs out there; what relieves its corners is
    no wall. It may be out by half of its play in depth; the rules for the rest are above.
    """
    found = [
        _round(f"P{k}", "index pin", None, (pin.x, pin.y), _pin(plan, pin))
        for k, pin in enumerate(setup.pins, 1)
    ]
    for panel, placement in setup.placements:
        carried = plan.sign.panel(panel)
        found.append(_boxed(panel, f"panel {panel}, its edge", panel, placement.shape(carried.outline), None))
        found += _inner(plan, panel, placement) if setup.face == "inner" else _outer(plan, panel, placement)
    return tuple(found)


def _pin(plan: Plan, pin: IndexPin) -> Size:
    return Size(target=pin.diameter, less=0, more=plan.shop.index_pins.clearance)


def _inner(plan: Plan, panel: Panel, placement: Placement) -> Iterator[Place]:
    carried, play = plan.sign.panel(panel), plan.job.dowels.clearance if plan.job.dowels else 0.0
    for number, dowel in enumerate(carried.dowels, 1):
        hole = Size(target=dowel.diameter, less=0, more=play)
        depth = Size(target=dowel.depth, less=0, more=HOLE_DEEPER)
        yield _round(f"D{number}", "dowel hole", panel, placement.point(dowel.x, dowel.y), hole, depth)
    slack = {item.name: item.depth_clearance / 2 for item in plan.sign.items}
    for number, pocket in enumerate(carried.pockets, 1):
        half = slack.get(pocket.hardware, 0.0)
        depth = Size(target=pocket.depth, less=half, more=half)
        name = f"{pocket.hardware}{', channel' if pocket.channel else ''}{', mouth' if pocket.mouth else ''}"
        found = _boxed(str(number), name, panel, placement.shape(_walls(pocket, carried)), depth)
        yield replace(found, at=placement.point(*own_place(pocket, carried)))
    for number, vent in enumerate(carried.vents, 1):
        depth = Size(target=vent.depth, less=CARVED_TO, more=CARVED_TO)
        yield _boxed(f"V{number}", "vent groove", panel, placement.shape(vent.line), depth)


def own_place(pocket: Pocket, panel: PanelPlan) -> tuple[float, float]:
    """A place where a pocket's own floor is, no deeper pocket's; anywhere in it if it has no such place.

    Of a pocket that no cutter enters, where it was drawn.
    """
    deeper = union(each.as_cut for each in panel.pockets if each.depth > pocket.depth)
    places = area_of(pocket.as_cut - deeper), pocket.as_cut, pocket.drawn
    return roomiest(next(each for each in places if each))


def _walls(pocket: Pocket, panel: PanelPlan) -> MultiPolygon:
    """A pocket as far as its walls and the panel go; as cut where no part of it was drawn on the panel."""
    return next(each for each in (area_of(pocket.drawn.intersection(panel.outline)), pocket.as_cut) if each)


def _outer(plan: Plan, panel: Panel, placement: Placement) -> Iterator[Place]:
    for number, carving in enumerate(plan.sign.panel(panel).carvings, 1):
        shape = MultiLineString(carving.lines) if carving.treatment == "line" else carving.shape
        depth = Size(target=carving.ground + carving.depth, less=CARVED_TO, more=CARVED_TO)
        if not shape.is_empty:
            found = _boxed(f"C{number}", carving.treatment, panel, placement.shape(shape), depth)
            yield replace(found, ground=carving.ground)


def _round(
    tag: str,
    name: str,
    panel: Panel | None,
    at: tuple[float, float],
    diameter: Size,
    depth: Size | None = None,
) -> Place:
    x, y = at
    return Place(tag=tag, name=name, panel=panel, x=(x, x), y=(y, y), depth=depth, at=at, diameter=diameter)


def _boxed(tag: str, name: str, panel: Panel, shape: BaseGeometry, depth: Size | None) -> Place:
    x0, y0, x1, y1 = shape.bounds
    return Place(tag=tag, name=name, panel=panel, x=(x0, x1), y=(y0, y1), depth=depth, at=roomiest(shape))


def roomiest(shape: BaseGeometry) -> tuple[float, float]:
    """A place in the roomiest part of a shape, or on its longest line."""
    roomiest = max(shapely.get_parts(shape), key=lambda part: (part.area, part.length))
    point = roomiest.representative_point()
    return point.x, point.y


def feature_tag(plan: Plan, feature: str) -> str:
    """The number in the balloon of a pocket or carving, from its id; "" for any other feature."""
    for panel in plan.sign.panels:
        for number, pocket in enumerate(panel.pockets, 1):
            if pocket.id == feature:
                return str(number)
        for number, carving in enumerate(panel.carvings, 1):
            if carving.id == feature:
                return f"C{number}"
    return ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Gauge:
    """Blocks or drill shanks for the mouth of one channel: the first must enter, the second must not.

    `target` is how wide the channel is cut at the glue plane in all of `panels`.
    """

    hardware: str
    part: str
    steel: float
    target: float
    go: float
    no_go: float
    panels: tuple[Panel, ...]


def gauges(plan: Plan) -> tuple[Gauge, ...]:
    """One for each width that pockets are cut to: half of the play must be left, no more than half added."""
    found: dict[Gauge, set[Panel]] = {}
    for item in plan.sign.items:
        for number, part in enumerate(item.parts):
            for panel in plan.sign.panels:
                room = pocket_across(part, item, panel)
                if room is None:
                    continue
                width = round(room.pocket, FINE)
                gauge = Gauge(
                    hardware=item.name,
                    part=part_name(item, number, plan),
                    steel=part.width if isinstance(part, Bar) else round(room.steel, FINE),
                    target=width,
                    go=width - item.clearance,
                    no_go=width + item.clearance,
                    panels=(),
                )
                found.setdefault(gauge, set()).add(panel.id)
    return tuple(replace(gauge, panels=tuple(sorted(panels))) for gauge, panels in found.items())


def sides(part: Plate) -> tuple[float, float]:
    """Both sides of the narrowest rectangle round a plate, mm."""
    a, b, c = shapely.get_coordinates(shapely.minimum_rotated_rectangle(part.outline))[:3]
    return math.dist(a, b), math.dist(b, c)


def part_name(item: Item, number: int, plan: Plan) -> str:
    """A part as the job names its stock, or by its shape and size."""
    part, units = item.parts[number], plan.job.job.units
    if len(item.stock) == len(item.parts) and item.stock[number]:
        return item.stock[number]
    if isinstance(part, Plate):
        short, long = sorted(sides(part))
        return f"flat {length(part.thickness, units)} × {length(short, units)} × {length(long, units)}"
    match part.profile:
        case "round":
            return f"round {length(part.width, units)}"
        case "tube":
            return f"tube {length(part.width, units)} × {length(part.height, units)}"
    return f"hex {length(min(part.width, part.height), units)} across flats"


def running_clock(planned: PlannedSetup) -> tuple[tuple[float, float], ...]:
    """When each operation starts and ends, s from vacuum on.

    Stops for reloads, changes and the moves between are in it, so that the last end is the end of the hold.
    """
    clock, times = 0.0, []
    for each in planned.operations:
        start = clock + each.lead.total
        clock = start + each.seconds
        times.append((start, clock))
    return tuple(times)


def deepest(planned: PlannedSetup) -> dict[str, float]:
    """The deepest cut of each tool in a setup, in the order that they are first used."""
    depths: dict[str, float] = {}
    for each in planned.operations:
        tool = each.operation.tool
        depths[tool] = max(depths.get(tool, 0.0), each.operation.depth)
    return depths


def put_in_later(planned: PlannedSetup, plan: Plan) -> frozenset[str]:
    """The tools of a setup that are not in the magazine yet when its hold begins."""
    reloads = {(each.before, each.tool_in) for each in plan.order.reloads if each.in_hold}
    first = {each.operation.tool: each.operation.id for each in reversed(planned.operations)}
    return frozenset(tool for tool, operation in first.items() if (operation, tool) in reloads)
