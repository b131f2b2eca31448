"""Closed outlines to regions: by nesting (even-odd), or by the drawing's own fill rule.

Outlines that neither cross nor touch are nested by containment. The others are cut at their crossings into
faces, and every face is judged by how often the outlines wind around it.
"""

from collections.abc import Sequence
from typing import Literal, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon

from signplan.artwork.flatten import Points
from signplan.artwork.nearby import hits, pairs

FillRule = Literal["evenodd", "nonzero"]

NO_AREA = 1e-6
"""Less area than this, mm2, is none."""

MOST_CROSSINGS = 20_000
"""An outline that crosses itself or others more often is a scribble, and would take minutes to sort out."""


class Ring(NamedTuple):
    """A closed outline: (N, 2), first point repeated at the end, and what it was drawn with."""

    points: Points
    sources: tuple[str, ...]


class Area(NamedTuple):
    """A connected area, and the rings that bound it, by their place in the list."""

    shape: Polygon
    rings: tuple[int, ...]


def fill(rings: Sequence[Ring], rule: FillRule = "evenodd") -> list[Area]:
    """The areas that rings enclose under a fill rule, in the order of their first ring.

    Raises:
        ShapeError: they cross more than `MOST_CROSSINGS` times.
    """
    if not rings:
        return []
    shells = np.array([Polygon(ring.points) for ring in rings])
    areas = _nested(rings, shells, rule) if _apart(shells) else _from_faces(rings, rule)
    return [area for area in areas if area.shape.area > NO_AREA]


def _apart(shells: NDArray[np.object_]) -> bool:
    edges = shapely.boundary(shells)
    if not shapely.is_simple(edges).all():
        return False
    return len(pairs(edges, "intersects")) == 0


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
    edges = np.concatenate([np.hstack((ring.points[:-1], ring.points[1:])) for ring in rings])
    pieces = shapely.linestrings(edges.reshape(-1, 2, 2))
    pairs(np.asarray(pieces), "crosses", most=MOST_CROSSINGS)
    faces = shapely.get_parts(shapely.polygonize([shapely.unary_union(lines)]))
    if not len(faces):
        return []
    wind = _winding(edges, shapely.get_coordinates(shapely.point_on_surface(faces)))
    kept = faces[(wind != 0) if rule == "nonzero" else wind % 2 != 0]
    parts = shapely.get_parts(shapely.unary_union(kept))
    tree = shapely.STRtree(lines)
    areas = [
        Area(part, tuple(sorted(tree.query(part.boundary, predicate="dwithin", distance=1e-9).tolist())))
        for part in parts
        if isinstance(part, Polygon)
    ]
    return sorted(areas, key=lambda area: (area.rings, area.shape.bounds))


def _winding(edges: Points, points: Points) -> NDArray[np.intp]:
    """How often the edges, all together, go round each point, counter-clockwise positive.

    Counted along a ray to the right: an edge that crosses it upward adds one, downward takes one.
    """
    low, high = edges[:, [0, 1]], edges[:, [2, 3]]
    boxes = shapely.box(*np.minimum(low, high).T, *np.maximum(low, high).T)
    far = edges[:, [0, 2]].max(initial=0.0) + 1
    rays = shapely.linestrings([((x, y), (far, y)) for x, y in points.tolist()])
    wind = np.zeros(len(points), dtype=np.intp)
    for found in hits(shapely.STRtree(np.asarray(boxes)), np.asarray(rays)):
        (x, y), (x0, y0, x1, y1) = points[found[:, 0]].T, edges[found[:, 1]].T
        side = (x1 - x0) * (y - y0) - (x - x0) * (y1 - y0)
        step = ((y0 <= y) & (y < y1) & (side > 0)).astype(int) - ((y1 <= y) & (y < y0) & (side < 0))
        np.add.at(wind, found[:, 0], step)
    return wind
