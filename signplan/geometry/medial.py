"""The medial axis of an area: every point that is as far from one part of its boundary as from another.

What comes in: polygons. What goes out: branches of (x, y, r), r being the distance to the boundary, joined
at numbered nodes. The axis of a polygon is a part of the Voronoi diagram of its edges, from which it comes
exactly: straight between two edges or two corners, a parabola between an edge and a corner.
"""

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pyvoronoi
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from signplan.geometry.precision import GRID
from signplan.geometry.shapes import area_of

Floats = NDArray[np.float64]

SCALE = 1 / GRID
"""The diagram is computed on integers, in steps of `GRID`. Outlines are snapped to the same grid before:
one that crosses itself only after rounding gives a wrong axis without a word."""

CURVE_STEP = 0.25
"""Longest chord of a curved branch, mm; its radius is computed at every point, not interpolated."""

WORTH = 0.02
"""A branch into a corner is left out if the board that it would reach is thinner than this, mm. Chords of a
curve meet in such corners; flattened to 0.01 mm they are half as deep."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Branch:
    """A piece of the axis: (N, 3), x, y and distance to the boundary; from node `start` to node `end`."""

    points: Floats
    start: int
    end: int


class _Diagram(NamedTuple):
    """The inner edges of the diagram: their ends, and what lies on both sides of each."""

    vertices: Floats
    ends: NDArray[np.int64]
    sites: NDArray[np.int64]
    kinds: NDArray[np.int64]
    segments: Floats


_START, _END = 1, 2
"""Kinds of site: the two ends of a segment; any other is the segment itself."""


def medial_axis(shape: MultiPolygon, *, worth: float = WORTH) -> tuple[Branch, ...]:
    """The branches of the axis inside a shape, in a fixed order.

    Args:
        shape: polygons that do not overlap; holes count as boundary.
        worth: see `WORTH`.
    """
    snapped = area_of(shapely.make_valid(shapely.set_precision(shape, GRID)))
    branches: list[Branch] = []
    for polygon in snapped.geoms:
        first = 1 + max((max(each.start, each.end) for each in branches), default=-1)
        branches += _axis_of(MultiPolygon([polygon]), worth, first)
    return tuple(branches)


def _axis_of(shape: MultiPolygon, worth: float, first: int) -> list[Branch]:
    diagram = _diagram(shape)
    kept = np.flatnonzero(_worth_keeping(diagram, worth)) if len(diagram.ends) else np.empty(0, dtype=np.intp)
    if not len(kept):
        return []
    curves = [_curve(diagram, k) for k in kept.tolist()]
    middles = [(curve[len(curve) // 2 - 1] + curve[len(curve) // 2]) / 2 for curve in curves]
    shapely.prepare(shape)
    inside = np.asarray(shapely.contains(shape, shapely.points(middles)))
    stops = np.cumsum([len(curve) for curve in curves])
    spots = np.concatenate(curves)
    edges = np.repeat(kept, np.diff(stops, prepend=0))
    radii = np.min([_radii(diagram, side, spots, edges) for side in (0, 1)], axis=0)
    found = []
    for k in np.flatnonzero(inside).tolist():
        part = slice(stops[k] - len(curves[k]), stops[k])
        start, end = (first + int(node) for node in diagram.ends[kept[k]])
        points = np.column_stack([spots[part], radii[part]])
        found.append(Branch(points=points, start=start, end=end))
    return found


def _diagram(shape: MultiPolygon) -> _Diagram:
    builder = pyvoronoi.Pyvoronoi(SCALE)
    rings = [shapely.get_coordinates(ring) for ring in shapely.get_rings(shapely.get_parts(shape))]
    segments = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
    for start, end in segments.tolist():
        builder.AddSegment([start, end])
    builder.Construct()
    vertices = np.array([(v.X, v.Y) for _, v in builder.EnumerateVertices()]).reshape(-1, 2)
    cells = [(c.site, c.source_category) for _, c in builder.EnumerateCells()]
    rows = [
        (e.start, e.end, *cells[e.cell], *cells[builder.GetEdge(e.twin).cell])
        for k, e in builder.EnumerateEdges()
        if e.is_primary and k < e.twin and e.start >= 0 and e.end >= 0
    ]
    table = np.array(rows, dtype=np.int64).reshape(-1, 6)
    return _Diagram(vertices, table[:, :2], table[:, [2, 4]], table[:, [3, 5]], segments)


def _worth_keeping(diagram: _Diagram, worth: float) -> NDArray[np.bool_]:
    """Whether an edge of the diagram reaches board that a round bottom beside it would not.

    Where the two feet of a point of the axis are seen from it at an angle d, what lies in the corner behind
    it is as deep as r (1 / cos(d / 2) - 1).
    """
    a, b = diagram.vertices[diagram.ends[:, 0]], diagram.vertices[diagram.ends[:, 1]]
    edges = np.arange(len(a))
    deep = np.zeros(len(a))
    for spots in (a, b, (a + b) / 2):
        one, other = (_feet(diagram, side, spots, edges) - spots for side in (0, 1))
        squared = np.linalg.norm(one, axis=1) * np.linalg.norm(other, axis=1)
        dot = (one * other).sum(axis=1)
        cosine = np.divide(dot, squared, out=np.ones(len(a)), where=squared > 1e-12)
        half = np.sqrt(np.clip((1 + cosine) / 2, 1e-6, 1))
        deep = np.maximum(deep, np.sqrt(squared) * (1 / half - 1))
    return deep > worth


def _radii(diagram: _Diagram, side: int, spots: Floats, edges: NDArray[np.intp]) -> Floats:
    """Distance of each spot to the site at one side of its edge."""
    radii: Floats = np.linalg.norm(_feet(diagram, side, spots, edges) - spots, axis=1)
    return radii


def _feet(diagram: _Diagram, side: int, spots: Floats, edges: NDArray[np.intp]) -> Floats:
    """The nearest point to each spot on the site at one side of its edge."""
    start, end = np.moveaxis(diagram.segments[diagram.sites[edges, side]], 1, 0)
    kind = diagram.kinds[edges, side]
    along = end - start
    share = ((spots - start) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-18)
    share = np.where(kind == _START, 0.0, np.where(kind == _END, 1.0, np.clip(share, 0, 1)))
    feet: Floats = start + share[:, None] * along
    return feet


def _curve(diagram: _Diagram, k: int) -> Floats:
    """The points of one edge of the diagram, ends included."""
    a, b = diagram.vertices[diagram.ends[k]]
    corners = [kind in (_START, _END) for kind in diagram.kinds[k].tolist()]
    steps = max(1, math.ceil(math.dist(a, b) / CURVE_STEP))
    if not any(corners) or steps == 1:
        return np.array([a, b])
    if all(corners):
        return np.linspace(a, b, steps + 1)
    side = 0 if corners[0] else 1
    point = diagram.segments[diagram.sites[k, side]][0 if diagram.kinds[k, side] == _START else 1]
    start, end = diagram.segments[diagram.sites[k, 1 - side]]
    return _parabola(point, (start, end), np.linspace(a, b, steps + 1))


def _parabola(focus: Floats, line: tuple[Floats, Floats], chord: Floats) -> Floats:
    """The points of a parabola over those of its chord: as far from the focus as from the line."""
    along = (line[1] - line[0]) / np.linalg.norm(line[1] - line[0])
    across = np.array([-along[1], along[0]])
    height = float((focus - line[0]) @ across)
    if abs(height) < 1e-9:
        return chord
    x = (chord - focus) @ along
    curve: Floats = focus + x[:, None] * along + ((x**2 / height - height) / 2)[:, None] * across
    curve[0], curve[-1] = chord[0], chord[-1]
    return curve
