"""The medial axis of an area: every point that is as far from one part of its boundary as from another.

What comes in: polygons. What goes out: branches of (x, y, r), r being the distance to the boundary, joined
at numbered nodes. The axis of a polygon is a part of the Voronoi diagram of its edges, from which it comes
exactly: straight between two edges or two corners, a parabola between an edge and a corner.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pyvoronoi
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from signplan.geometry.precision import GRID
from signplan.geometry.shapes import area_of, rings_of

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
    first = 0
    for polygon in snapped.geoms:
        diagram = _diagram(polygon)
        branches += _axis_of(polygon, diagram, worth, first)
        first += len(diagram.vertices)
    return tuple(branches)


def _axis_of(shape: Polygon, diagram: _Diagram, worth: float, first: int) -> Iterator[Branch]:
    kept = np.flatnonzero(_worth_keeping(diagram, worth))
    spots, counts = _curves(diagram, kept)
    stops = np.cumsum(counts)
    starts = stops - counts
    middles = (spots[starts + counts // 2 - 1] + spots[starts + counts // 2]) / 2
    shapely.prepare(shape)
    inside = np.asarray(shapely.contains_xy(shape, middles))
    edges = np.repeat(kept, counts)
    radii = np.min([_radii(diagram, side, spots, edges) for side in (0, 1)], axis=0)
    points = np.column_stack([spots, radii])
    nodes = (first + diagram.ends[kept]).tolist()
    for k in np.flatnonzero(inside).tolist():
        start, end = nodes[k]
        yield Branch(points=points[starts[k] : stops[k]], start=start, end=end)


def _diagram(shape: Polygon) -> _Diagram:
    builder = pyvoronoi.Pyvoronoi(SCALE)
    rings = [shapely.get_coordinates(ring) for ring in rings_of(shape)]
    segments = np.concatenate([np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings])
    for start, end in segments.tolist():
        builder.AddSegment([start, end])
    builder.Construct()
    vertices = np.array([(v.X, v.Y) for _, v in builder.EnumerateVertices()]).reshape(-1, 2)
    cells = np.array([(c.site, c.source_category) for _, c in builder.EnumerateCells()], dtype=np.int64)
    rows = [(e.start, e.end, e.cell, e.twin, e.is_primary) for _, e in builder.EnumerateEdges()]
    edges = np.array(rows, dtype=np.int64)
    numbers, twins, primary = np.arange(len(edges)), edges[:, 3], edges[:, 4] == 1
    once = edges[primary & (numbers < twins) & (edges[:, :2] >= 0).all(axis=1)]
    sides = cells[np.stack([once[:, 2], edges[once[:, 3], 2]], axis=1)]
    return _Diagram(vertices, once[:, :2], sides[..., 0], sides[..., 1], segments)


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


def _curves(diagram: _Diagram, edges: NDArray[np.intp]) -> tuple[Floats, NDArray[np.intp]]:
    """The points of edges of the diagram, their ends included, one after another; how many each has."""
    a, b = np.moveaxis(diagram.vertices[diagram.ends[edges]], 1, 0)
    corner = np.isin(diagram.kinds[edges], (_START, _END))
    steps = np.ceil(np.linalg.norm(b - a, axis=1) / CURVE_STEP)
    steps = np.where(corner.any(axis=1), np.maximum(steps, 1), 1).astype(np.intp)
    counts = steps + 1
    of = np.repeat(np.arange(len(edges)), counts)
    step = np.arange(len(of)) - np.repeat(np.cumsum(counts) - counts, counts)
    share = (step / steps[of])[:, None]
    chords = np.where(share < 1, a[of] + share * (b - a)[of], b[of])
    bent = np.flatnonzero((corner.sum(axis=1) == 1)[of] & (step > 0) & (step < steps[of]))
    chords[bent] = _on_parabolas(diagram, edges[of[bent]], chords[bent])
    return chords, counts


def _on_parabolas(diagram: _Diagram, edges: NDArray[np.intp], chords: Floats) -> Floats:
    """Points of parabolas over those of their chords: as far from the focus as from the line."""
    each, point = np.arange(len(edges)), np.isin(diagram.kinds[edges, 1], (_START, _END)).astype(np.intp)
    kinds, sites = diagram.kinds[edges], diagram.sites[edges]
    focus = diagram.segments[sites[each, point], (kinds[each, point] == _END).astype(np.intp)]
    start, end = np.moveaxis(diagram.segments[sites[each, 1 - point]], 1, 0)
    along = (end - start) / np.linalg.norm(end - start, axis=1)[:, None]
    across = np.stack([-along[:, 1], along[:, 0]], axis=1)
    height = ((focus - start) * across).sum(axis=1)
    x = ((chords - focus) * along).sum(axis=1)
    flat = np.abs(height) < 1e-9
    up = (x**2 / np.where(flat, 1, height) - height) / 2
    return np.where(flat[:, None], chords, focus + x[:, None] * along + up[:, None] * across)
