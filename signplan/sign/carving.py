"""What the job carves into the outer faces, placed and given its cutter and its true depth."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon

from signplan.artwork.model import Layer, Line, Region
from signplan.findings import Finding, Severity
from signplan.geometry.precision import OUTSIDE
from signplan.geometry.shapes import EMPTY, area_of, grow, rings_of, union, widest_circle
from signplan.job.model import Art, Carve
from signplan.job.shop import Shop, Tool
from signplan.sign.drawings import Drawings
from signplan.sign.forms import edge_depth, edge_inset, half_width
from signplan.sign.model import Carving, HeightMap
from signplan.sign.register import Panel, Placement
from signplan.units import fine, to_units

LOWERING = ("raise", "lower")
"""Treatments that leave a level ground on which others may stand."""

Heights = Mapping[str, NDArray[np.float64]]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Task:
    """One carve entry on one panel."""

    carve: Carve
    key: str
    panel: Panel
    outline: Polygon
    drawings: Drawings
    shop: Shop
    heights: Heights

    @property
    def art(self) -> Art:
        assert self.carve.art is not None, "every treatment but 'edge' has its art"
        return self.carve.art

    @property
    def layer(self) -> Layer:
        return self.drawings.layer(self.art, f"{self.key}.art")

    @property
    def place(self) -> Placement:
        return self.drawings.placement(self.art.file, self.panel, self.carve.side)


def carvings_of(
    panel: Panel, outline: Polygon, drawings: Drawings, *, shop: Shop, heights: Heights
) -> tuple[tuple[Carving, ...], tuple[Finding, ...]]:
    """Everything carved into one outer face, in the order of the job, and what is wrong with its artwork.

    Raises:
        InputError: the job names a layer that is not there.
    """
    carvings: list[Carving] = []
    findings: list[Finding] = []
    numbers = {treatment: count(1) for treatment in _BUILDERS}
    for index, carve in enumerate(drawings.job.carve):
        if carve.side not in (panel, "both"):
            continue
        task = _Task(
            carve=carve,
            key=f"carve[{index}]",
            panel=panel,
            outline=outline,
            drawings=drawings,
            shop=shop,
            heights=heights,
        )
        name = f"{panel}/{carve.treatment}-{next(numbers[carve.treatment])}"
        carvings.append(_BUILDERS[carve.treatment](task, name))
        findings += _art_findings(task)
    return on_their_ground(carvings), tuple(findings)


def on_their_ground(carvings: Sequence[Carving]) -> tuple[Carving, ...]:
    """The carvings of a face, each with the lowered ground that it stands on.

    All but a hair of a carving must stand on it; of an edge, half. Grooves, lines and edges are as deep below
    that ground as the job says; a bore is as deep below the face, so the ground takes from it.
    """
    grounds = [each for each in carvings if each.treatment in LOWERING]
    return tuple(_grounded(each, grounds) for each in carvings)


def _grounded(carving: Carving, grounds: Sequence[Carving]) -> Carving:
    share = {"incise": 0.99, "line": 0.99, "edge": 0.5, "bore": 0.99}.get(carving.treatment)
    if share is None or carving.shape.is_empty:
        return carving
    least = share * carving.shape.area
    under = (each.depth for each in grounds if each.shape.intersection(carving.shape).area >= least)
    ground = max(under, default=0.0)
    depth = max(0.0, carving.depth - ground) if carving.treatment == "bore" else carving.depth
    return replace(carving, ground=ground, depth=depth)


def _made(task: _Task, name: str, shape: MultiPolygon, depth: float | None) -> Carving:
    """What every carving has."""
    return Carving(
        id=name,
        key=task.key,
        side=task.panel,
        treatment=task.carve.treatment,
        shape=shape,
        depth=depth or 0.0,
        tools=task.carve.tools,
        sources=_sources(task.layer) if task.carve.art else (),
    )


def _sources(layer: Layer) -> tuple[str, ...]:
    return tuple(source for each in _things(layer) for source in each.sources)


def _things(layer: Layer) -> tuple[Region | Line, ...]:
    return (*layer.regions, *layer.lines)


def _area(task: _Task) -> MultiPolygon:
    return union(task.place.shape(region.shape) for region in task.layer.regions)


def _raise(task: _Task, name: str) -> Carving:
    within = task.carve.within
    ground: Polygon | MultiPolygon = task.outline
    if within is not None:
        ground = task.drawings.area(within, f"{task.key}.within", task.panel, task.carve.side)
    letters = _area(task)
    return replace(
        _made(task, name, area_of(ground.difference(letters)), task.carve.depth),
        keep=letters,
    )


def _flat(task: _Task, name: str) -> Carving:
    """A lowered area or bored holes: as drawn, straight down."""
    return _made(task, name, _area(task), task.carve.depth)


def _relief(task: _Task, name: str) -> Carving:
    area = _area(task)
    values = task.heights[task.carve.image or ""]
    relief = HeightMap(values=values, box=area.bounds, mirrored=task.panel == "B")
    made = _made(task, name, area, task.carve.depth)
    return made if area.is_empty else replace(made, relief=relief)


def _incise(task: _Task, name: str) -> Carving:
    area = _area(task)
    stroke = widest_stroke(area_of(task.place.inverse().shape(area)))
    cutter = _chosen(task) or vee_for(stroke, task.shop)
    depth = vee_depth(stroke, cutter, cap=task.carve.depth) if cutter else task.carve.depth
    return _formed(_made(task, name, area, depth), cutter)


def _formed(carving: Carving, cutter: Tool | None) -> Carving:
    """A carving that takes the form of its cutter."""
    return replace(carving, cutter=cutter, tools=(cutter.id,) if cutter else ())


def widest_stroke(area: MultiPolygon) -> float:
    """Width of the widest stroke: twice the radius of the largest circle that fits, mm."""
    return round(2 * widest_circle(area), 6)


def vee_depth(width: float, cutter: Tool, *, cap: float | None = None) -> float:
    """How deep a vee cutter goes for a stroke of `width`, mm: (w - tip) / (2 tan(a / 2)).

    It stops at `cap`, and where the cutter is as wide as it gets.
    """
    deepest = (cutter.diameter - cutter.tip) / (2 * math.tan(cutter.half_angle))
    wanted = max(0.0, width - cutter.tip) / (2 * math.tan(cutter.half_angle))
    return min(wanted, deepest, math.inf if cap is None else cap)


def vee_for(stroke: float, shop: Shop) -> Tool | None:
    """The vee cutter for strokes of that width: the most pointed that is wide enough, or else the widest."""
    vees = sorted((t for t in shop.tools if t.shape == "vee"), key=lambda t: (t.angle, t.diameter, t.number))
    wide = [tool for tool in vees if tool.diameter >= stroke]
    return wide[0] if wide else max(vees, key=lambda t: t.diameter, default=None)


def _line(task: _Task, name: str) -> Carving:
    drawn = [line.shape for line in task.layer.lines]
    rings = [ring for region in task.layer.regions for ring in rings_of(region.shape)]
    lines = tuple(task.place.shape(LineString(each.coords)) for each in (*drawn, *rings))
    cutter, depth = _chosen(task) or _liner(task.shop), task.carve.depth or 0.0
    shape = grow(shapely.MultiLineString(lines), half_width(cutter, depth)) if cutter else EMPTY
    return replace(_formed(_made(task, name, shape, depth), cutter), lines=lines)


def _liner(shop: Shop) -> Tool | None:
    """What a line is cut with if the job does not say: narrowest vee, ball or flat cutter, in that order."""
    order = ["vee", "ball", "flat"]
    fitting = [tool for tool in shop.tools if tool.shape in order]
    return min(fitting, key=lambda t: (order.index(t.shape), t.diameter, t.number), default=None)


def _edge(task: _Task, name: str) -> Carving:
    cutter = _chosen(task) or next((tool for tool in task.shop.tools if tool.shape == "round-over"), None)
    depth = (task.carve.depth or edge_depth(cutter)) if cutter else 0.0
    inset = edge_inset(cutter, depth) if cutter else 0.0
    rim = area_of(task.outline.difference(grow(task.outline, -inset)))
    rings = tuple(LineString(ring.coords) for ring in rings_of(task.outline))
    return replace(_formed(_made(task, name, rim, depth), cutter), lines=rings)


def _chosen(task: _Task) -> Tool | None:
    """The tool that gives a form: the last that the job names."""
    return task.shop.tool(task.carve.tools[-1]) if task.carve.tools else None


_BUILDERS = {
    "raise": _raise,
    "lower": _flat,
    "incise": _incise,
    "line": _line,
    "relief": _relief,
    "edge": _edge,
    "bore": _flat,
}


def _art_findings(task: _Task) -> Iterator[Finding]:
    if task.carve.art is None:
        return
    if task.carve.treatment != "line":
        yield from _open_art(task)
    yield from _art_outside(task, task.carve.art, f"{task.key}.art")
    if task.carve.within is not None:
        yield from _art_outside(task, task.carve.within, f"{task.key}.within")


def _open_art(task: _Task) -> Iterator[Finding]:
    """An area can only be cut inside a closed outline; an open one encloses nothing."""
    units = task.drawings.job.job.units
    for line in task.layer.lines:
        placed = task.place.shape(line.shape)
        start, end = placed.coords[0], placed.coords[-1]
        gap = math.dist(start, end)
        yield Finding(
            code="art-open",
            severity=Severity.ERROR,
            message=f"Layer '{task.art.layer}' is to be cut as '{task.carve.treatment}', but "
            f"{_called(line.sources)} is open: its ends, at {_at(start, task)} and {_at(end, task)}, "
            f"lie {fine(gap, units)} apart.",
            where=f"{task.key}.art",
            measured=to_units(gap, units),
            wanted=0.0,
            unit=units,
            hint="Close the outline in the drawing, or allow a 'gap' in the job, or cut it as 'line'.",
            spot=(start[0], start[1]),
            panel=task.panel,
        )


def _art_outside(task: _Task, art: Art, key: str) -> Iterator[Finding]:
    """Artwork that leaves the outline is cut into the waste and lost."""
    units = task.drawings.job.job.units
    room = task.outline.buffer(OUTSIDE)
    shapely.prepare(room)
    place = task.drawings.placement(art.file, task.panel, task.carve.side)
    for each in _things(task.drawings.layer(art, key)):
        shape = place.shape(each.shape)
        if room.covers(shape):
            continue
        corners = [Point(xy) for xy in shapely.get_coordinates(shape.difference(room))]
        by, x, y = max((p.distance(task.outline), -p.x, -p.y) for p in corners)
        spot = Point(-x, -y)
        kind = "outline" if isinstance(each, Region) else "line"
        yield Finding(
            code="art-outside",
            severity=Severity.ERROR,
            message=f"On side {task.panel}, layer '{art.layer}': {kind} {_called(each.sources)} leaves "
            f"the sign by {fine(by, units)} at {_at((spot.x, spot.y), task)}.",
            where=key,
            measured=to_units(by, units),
            wanted=0.0,
            unit=units,
            hint="Move or shrink the artwork, or enlarge the outline.",
            spot=(spot.x, spot.y),
            panel=task.panel,
        )


def _called(sources: tuple[str, ...]) -> str:
    return ", ".join(sources[:3]) + (" ..." if len(sources) > 3 else "") if sources else "one shape"


def _at(point: tuple[float, ...], task: _Task) -> str:
    units = task.drawings.job.job.units
    return f"({fine(point[0], units)}, {fine(point[1], units)})"
