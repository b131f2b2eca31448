"""Closed outlines to regions: by nesting (even-odd), or by the drawing's own fill rule.

Outlines that neither cross nor touch are nested by containment. The others are cut at their crossings into
faces, and every face is judged by how often the outlines wind around it.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon

from signplan.artwork.flatten import Points

FillRule = Literal["evenodd", "nonzero"]

NO_AREA = 1e-6
"""Less area than this, mm2, is none."""


class Ring(NamedTuple):
    """A closed outline: (N, 2), first point repeated at the end, and what it was drawn with."""

    points: Points
    sources: tuple[str, ...]


class Area(NamedTuple):
    """A connected area, and the rings that bound it, by their place in the list."""

    shape: Polygon
    rings: tuple[int, ...]


def fill(rings: Sequence[Ring], rule: FillRule = "evenodd") -> list[Area]:
    """The areas that rings enclose under a fill rule, in the order of their first ring."""
    if not rings:
        return []
    shells = np.array([Polygon(ring.points) for ring in rings])
    if _apart(shells):
        return _nested(rings, shells, rule)
    return _from_faces(rings, rule)


def _apart(shells: NDArray[np.object_]) -> bool:
    edges = shapely.boundary(shells)
    if not shapely.is_simple(edges).all():
        return False
    pairs = shapely.STRtree(edges).query(edges, predicate="intersects")
    return bool((pairs[0] == pairs[1]).all())


def _nested(rings: Sequence[Ring], shells: NDArray[np.object_], rule: FillRule) -> list[Area]:
    starts = shapely.points([ring.points[0] for ring in rings])
    outer, inner = shapely.STRtree(starts).query(shells, predicate="contains")
    turn = np.where(shapely.is_ccw(shapely.get_exterior_ring(shells)), 1, -1)
    wind = turn + np.bincount(inner, weights=turn[outer], minlength=len(rings)).astype(int)
    depth = np.bincount(inner, minlength=len(rings))
    filled = (wind != 0) if rule == "nonzero" else depth % 2 == 0
    parent = np.full(len(rings), -1)
    for k in np.argsort(depth[outer], kind="stable"):
        parent[inner[k]] = outer[k]
    holes: dict[int, list[int]] = {}
    shell_of: dict[int, int] = {}
    for k in np.argsort(depth, kind="stable").tolist():
        above = parent[k]
        inside = bool(above >= 0 and filled[above])
        if filled[k] and not inside:
            shell_of[k] = k
        elif inside:
            shell_of[k] = shell_of[above]
            if not filled[k]:
                holes.setdefault(shell_of[k], []).append(k)
    roots = sorted(k for k in shell_of if shell_of[k] == k)
    return [
        Area(
            Polygon(rings[k].points, [rings[h].points for h in sorted(holes.get(k, ()))]),
            (k, *sorted(holes.get(k, ()))),
        )
        for k in roots
    ]


def _from_faces(rings: Sequence[Ring], rule: FillRule) -> list[Area]:
    lines = [LineString(ring.points) for ring in rings]
    faces = shapely.get_parts(shapely.polygonize([shapely.unary_union(lines)]))
    inside = shapely.get_coordinates(shapely.point_on_surface(faces))
    wind = _winding(rings, inside)
    kept = faces[(wind != 0) if rule == "nonzero" else wind % 2 != 0]
    merged = shapely.unary_union(kept)
    parts = merged.geoms if isinstance(merged, MultiPolygon) else [merged]
    shapes = [part for part in parts if isinstance(part, Polygon) and part.area > NO_AREA]
    tree = shapely.STRtree(lines)
    areas = [
        Area(shape, tuple(sorted(tree.query(shape.boundary, predicate="dwithin", distance=1e-9).tolist())))
        for shape in shapes
    ]
    return sorted(areas, key=lambda area: (area.rings, area.shape.bounds))


def _winding(rings: Sequence[Ring], points: Points) -> NDArray[np.int64]:
    """How often the rings, all together, go round each point, counter-clockwise positive."""
    total = np.zeros(len(points), dtype=np.int64)
    for ring in rings:
        (x0, y0), (x1, y1) = ring.points[:-1].T, ring.points[1:].T
        for k, (x, y) in enumerate(points):
            up, down = (y0 <= y) & (y1 > y), (y0 > y) & (y1 <= y)
            left = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
            total[k] += np.count_nonzero(up & (left > 0)) - np.count_nonzero(down & (left < 0))
    return total
