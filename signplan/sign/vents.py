"""Vents: grooves in one inner face by which glue and air leave closed recesses while the panels close.

Glue that is caught in a recess without a mouth holds the panels apart. A groove leads from each to the edge,
or into a recess that is open already. It falls all the way, so that rain does not run in. It is straight,
from wherever that is shortest; or else it goes round what is in its way, by the shortest path through the
corners of what is left free.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import networkx as nx
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import area_of, disc, union
from signplan.job.shop import Tool
from signplan.sign.model import PanelPlan, Sign, Vent
from signplan.sign.register import PANELS
from signplan.sign.terraces import terraces

DEEP = 0.5
"""Depth of a groove over its width; common practice."""

FALL = 0.25
"""How steeply a groove falls at least, down over sideways; common practice for water."""

PAST = 1.0
"""How far the edge of the cutter runs past the edge of the panel, mm."""

STARTS, ENDS = 24, 120
"""Places on the wall of a recess, and on the edge, between which a groove is tried."""

FEWER = 0.5
"""Obstacles are looked at with corners that may be out by this, and so much larger; mm."""

AT_ONCE = 64
"""Straight grooves tried at a time, the shortest first."""

Points = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Closed:
    """A recess without a mouth, as both panels open it in the glue plane: of pockets, or of one dowel."""

    name: str
    shape: Polygon


def closed_recesses(sign: Sign) -> tuple[Closed, ...]:
    """Every recess that glue and air cannot leave by a mouth, lowest first."""
    pockets = [each for each in _pocketed(sign) if not each.shape.intersects(sign.outline.boundary)]
    dowels = [
        Closed(name=f"dowel {k}", shape=disc(each.x, each.y, each.diameter))
        for k, each in enumerate(sign.panels[0].dowels, 1)
    ]
    alone = [each for each in dowels if not any(each.shape.intersects(other.shape) for other in pockets)]
    return tuple(sorted((*pockets, *alone), key=lambda each: (each.shape.bounds[1], each.shape.bounds[0])))


def trapped(sign: Sign) -> tuple[Closed, ...]:
    """The closed recesses from which no vent leads."""
    lines = [vent.line for panel in sign.panels for vent in panel.vents]
    return tuple(each for each in closed_recesses(sign) if not any(map(each.shape.intersects, lines)))


def vent_cutter(tools: tuple[Tool, ...], width: float) -> Tool | None:
    """The largest flat cutter no wider than a groove may be, that reaches its floor."""
    fit = (tool for tool in tools if tool.shape == "flat" and tool.diameter <= width + SAME)
    deep = (tool for tool in fit if tool.usable_depth >= DEEP * tool.diameter)
    return max(deep, key=lambda tool: (tool.diameter, -tool.number), default=None)


def vented(sign: Sign, width: float, tools: tuple[Tool, ...]) -> Sign:
    """The sign with its vents, all in the panel in which more recesses find a way; A if both are alike."""
    tool = vent_cutter(tools, width)
    cut, name = (tool.diameter, tool.id) if tool else (width, "")
    tried = [(panel, tuple(_routed(sign, sign.panel(panel), cut, name))) for panel in PANELS]
    best, vents = max(tried, key=lambda each: len(each[1]))
    a, b = (replace(panel, vents=vents if panel.id == best else ()) for panel in sign.panels)
    return replace(sign, panels=(a, b))


def _pocketed(sign: Sign) -> Iterator[Closed]:
    """The pockets of both panels, those that meet in the glue plane as one."""
    pockets = [pocket for panel in sign.panels for pocket in panel.pockets]
    for shape in union(pocket.as_cut & sign.outline for pocket in pockets).geoms:
        names = [pocket.hardware for pocket in pockets if pocket.as_cut.intersects(shape)]
        yield Closed(name=" and ".join(dict.fromkeys(names)), shape=shape)


def _routed(sign: Sign, panel: PanelPlan, width: float, tool: str) -> Iterator[Vent]:
    """A vent for every recess that finds a way in this panel; what is vented is open to those above it."""
    waiting = list(closed_recesses(sign))
    shut = [each.shape for each in waiting]
    around = [*(each.shape for each in _pocketed(sign)), *shut]
    ways = _Ways(sign=sign, panel=panel, width=width, around=[*dict.fromkeys(around)])
    open_to = [shape for shape in ways.around if shape not in shut]
    for recess in waiting:
        line = ways.way(recess.shape, open_to)
        if line is None:
            continue
        open_to += [recess.shape, line.buffer(width / 2)]
        ways.around.append(line.buffer(width / 2))
        yield Vent(
            panel=panel.id, recess=recess.name, line=line, width=width, depth=DEEP * width, tool=tool
        )  # fmt: skip


@dataclass(kw_only=True)
class _Ways:
    """Ways for grooves of a width through one panel; `around` is what they keep clear of."""

    sign: Sign
    panel: PanelPlan
    width: float
    around: list[Polygon]

    def way(self, recess: Polygon, open_to: list[Polygon]) -> LineString | None:
        """The shortest way out of a recess: straight to the edge or into what is open, else round corners."""
        starts = _inside(recess, self.width / 2)
        edge = np.concatenate([_edge_points(self._past_edge), _plumb(starts, self._past_edge)])
        goals: list[tuple[Polygon | None, Points]] = [(None, edge)]
        goals += [(shape, _inside(shape, self.width / 2)) for shape in open_to]
        room = [(ends, self._free(recess, goal)) for goal, ends in goals]
        for look in (_straight, _round):
            found = [look(starts, ends, free) for ends, free in room]
            if any(found):
                return min(filter(None, found), key=lambda line: line.length)
        return None

    @property
    def _past_edge(self) -> Polygon:
        """Where the middle of the cutter may be: on until it has left the panel."""
        past: Polygon = self.panel.outline.buffer(self.width / 2 + PAST, join_style="mitre")
        return past

    def _free(self, recess: Polygon, goal: Polygon | None) -> BaseGeometry:
        """Where the middle of a groove may run: clear of other recesses, and where board enough is left."""
        keep = self.sign.web + self.width / 2
        blocked = [_larger(each, keep) for each in self.around if each not in (recess, goal)]
        blocked += [_larger(shape, by + self.width / 2) for shape, by in self._thin()]
        free = self._past_edge.difference(shapely.union_all(blocked)).buffer(SAME, join_style="mitre")
        shapely.prepare(free)
        return free

    def _thin(self) -> Iterator[tuple[MultiPolygon, float]]:
        """Where the floor of a groove would come too near to the carving, and how far round it."""
        web = self.sign.web
        for carving in self.panel.carvings:
            for step in terraces(carving):
                left = self.sign.thickness - step.depth - DEEP * self.width
                if left < web:
                    yield step.shape, math.sqrt(web**2 - max(0.0, left) ** 2)


def _larger(shape: BaseGeometry, by: float) -> BaseGeometry:
    """A shape grown, with few corners; never smaller than it would be grown."""
    simple = shape.simplify(FEWER)
    return simple.buffer(by + FEWER, join_style="mitre", mitre_limit=1.5)


def _inside(shape: Polygon, by: float) -> Points:
    """Places just inside the wall of a recess, evenly round it."""
    inner = area_of(shape.buffer(-by - SAME))
    if inner.is_empty:
        middle = shapely.maximum_inscribed_circle(shape).coords[0]
        return np.array([middle])
    ring = max(inner.geoms, key=lambda part: part.area).exterior
    even = ring.interpolate(np.arange(STARTS) / STARTS, normalized=True)
    return np.unique(np.round(shapely.get_coordinates(even), 3), axis=0)


def _edge_points(outline: Polygon) -> Points:
    """Places along an edge, evenly, but for where it faces upward."""
    ring = shapely.orient_polygons(outline).exterior
    where = np.arange(ENDS) / ENDS * ring.length
    here = shapely.get_coordinates(ring.interpolate(where))
    ahead = shapely.get_coordinates(ring.interpolate((where + SAME * 10) % ring.length)) - here
    return np.asarray(here[ahead[:, 0] >= -SAME * np.linalg.norm(ahead, axis=1)])


def _plumb(starts: Points, outline: Polygon) -> Points:
    """Where a plumb line from each start first meets an edge."""
    low = outline.bounds[1] - 1
    drops = (shapely.intersection(LineString([(x, y), (x, low)]), outline.boundary) for x, y in starts)
    tops = [shapely.get_coordinates(drop) for drop in drops]
    return np.array([points[points[:, 1].argmax()] for points in tops if len(points)]).reshape(-1, 2)


def _falls(steps: Points) -> NDArray[np.bool_]:
    return np.asarray(-steps[..., 1] >= FALL * np.abs(steps[..., 0]) + SAME)


def _straight(starts: Points, ends: Points, free: BaseGeometry) -> LineString | None:
    """The shortest straight groove that falls and stays free."""
    steps = ends[None] - starts[:, None]
    one, other = np.nonzero(_falls(steps))
    order = np.argsort(np.linalg.norm(steps[one, other], axis=1).round(3), kind="stable")
    for some in np.array_split(order, max(1, math.ceil(len(order) / AT_ONCE))):
        lines = np.stack([starts[one[some]], ends[other[some]]], axis=1)
        clear = np.flatnonzero(shapely.covers(free, shapely.linestrings(lines)))
        if len(clear):
            return LineString(lines[clear[0]])
    return None


def _round(starts: Points, ends: Points, free: BaseGeometry) -> LineString | None:
    """The shortest falling way from any start to any end, through the corners of what is free."""
    corners = np.unique(shapely.get_coordinates(free.simplify(FEWER)).round(3), axis=0)
    corners = corners[shapely.dwithin(shapely.points(corners), free, SAME)]
    places = np.concatenate([starts, corners, ends])
    steps = places[None] - places[:, None]
    one, other = np.nonzero(_falls(steps))
    clear = shapely.covers(free, shapely.linestrings(np.stack([places[one], places[other]], axis=1)))
    one, other = one[clear], other[clear]
    ways: nx.DiGraph[int] = nx.DiGraph()
    ways.add_nodes_from(range(len(places)))
    lengths = np.linalg.norm(steps[one, other], axis=1)
    ways.add_weighted_edges_from(zip(one.tolist(), other.tolist(), lengths.tolist(), strict=True))
    paths = nx.multi_source_dijkstra_path(ways, set(range(len(starts))))
    reached = [paths[k] for k in range(len(places) - len(ends), len(places)) if k in paths]
    return min((LineString(places[path]) for path in reached), key=lambda line: line.length, default=None)
