"""Each kind of DXF entity to points, in the drawing's units, as seen from above.

Curves are flattened one by one from their own numbers, never through an approximation of them.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import numpy as np

from signplan.artwork import flatten
from signplan.artwork.flatten import Points, ShapeError

Drawn = Iterator[tuple[Points, bool]]
"""Points of each piece, and whether it is closed; a closed piece repeats its first point."""


def draw(entity: Any, error: float) -> list[tuple[Points, bool]] | None:
    """What an entity draws, flattened within the error; None for kinds that this module does not know.

    Raises:
        ShapeError: its numbers make no shape.
    """
    how = _DRAW.get(entity.dxftype())
    if how is None:
        return None
    try:
        return list(how(entity, error))
    except ShapeError:
        raise
    except (ValueError, ArithmeticError, LookupError, TypeError, AttributeError) as problem:
        raise ShapeError(f"its numbers make no shape ({problem})") from problem


def _xy(v: Any) -> tuple[float, float]:
    return v.x, v.y


def _line(e: Any, error: float) -> Drawn:
    a, b = e.dxf.start, e.dxf.end
    yield np.array(((a.x, a.y), (b.x, b.y))), False


def _radius(value: float) -> float:
    if not value > 0:
        raise ShapeError(f"its radius is {value:g}")
    return float(value)


def _sweep(start: float, end: float) -> float:
    """Radians from one angle to the next, counter-clockwise; a whole turn if they are equal."""
    sweep = (end - start) % math.tau
    return math.tau if sweep < 1e-9 or math.tau - sweep < 1e-9 else sweep


def _arc(e: Any, error: float) -> Drawn:
    start = math.radians(e.dxf.start_angle)
    sweep = _sweep(start, math.radians(e.dxf.end_angle))
    points = flatten.arc(_xy(e.dxf.center), _radius(e.dxf.radius), start, sweep, error=error)
    yield _from_above(e, points, e.dxf.center.z), sweep == math.tau


def _circle(e: Any, error: float) -> Drawn:
    points = flatten.arc(_xy(e.dxf.center), _radius(e.dxf.radius), 0, math.tau, error=error)
    yield _from_above(e, points, e.dxf.center.z), True


def _ellipse(e: Any, error: float) -> Drawn:
    _radius(e.dxf.major_axis.magnitude * e.dxf.ratio)
    span = (e.dxf.start_param, _sweep(e.dxf.start_param, e.dxf.end_param))
    axes = (_xy(e.dxf.major_axis), _xy(e.minor_axis))
    yield flatten.ellipse(_xy(e.dxf.center), *axes, span, error=error), span[1] == math.tau


def _lwpolyline(e: Any, error: float) -> Drawn:
    rows = np.array(e.lwpoints.values, dtype=float).reshape(-1, 5)
    closed = bool(e.closed)
    points = _bulged(rows[:, :2], rows[:, 4], closed=closed, error=error)
    yield _from_above(e, points, e.dxf.elevation), closed


def _polyline(e: Any, error: float) -> Drawn:
    if not (e.is_2d_polyline or e.is_3d_polyline):
        raise ShapeError("a mesh has no outline")
    frame = 16 if any(vertex.dxf.flags & 8 for vertex in e.vertices) else 0
    vertices = [vertex for vertex in e.vertices if not vertex.dxf.flags & frame]
    points = np.array([_xy(vertex.dxf.location) for vertex in vertices], dtype=float).reshape(-1, 2)
    bulges = np.array([vertex.dxf.get("bulge", 0.0) for vertex in vertices])
    closed = bool(e.is_closed)
    if e.is_3d_polyline:
        yield _bulged(points, 0 * bulges, closed=closed, error=error), closed
    else:
        height = e.dxf.elevation.z if e.dxf.hasattr("elevation") else 0.0
        yield _from_above(e, _bulged(points, bulges, closed=closed, error=error), height), closed


def _bulged(points: Points, bulges: Points, *, closed: bool, error: float) -> Points:
    if len(points) < 2:
        raise ShapeError("it has fewer than two points")
    if closed:
        points = np.concatenate((points, points[:1]))
    if not bulges.any():
        return points
    pieces = [points[:1]]
    for start, end, bulge in zip(points[:-1], points[1:], bulges.tolist(), strict=False):
        pieces.append(flatten.bulge(start, end, bulge, error=error)[1:])
    return np.concatenate(pieces)


def _spline(e: Any, error: float) -> Drawn:
    yield _bspline(e.construction_tool(), error), False


def _bspline(tool: Any, error: float) -> Points:
    control = np.array([_xy(p) for p in tool.control_points], dtype=float)
    return flatten.spline(control, tool.degree, tool.knots(), tool.weights(), error=error)


def _solid(e: Any, error: float) -> Drawn:
    """Four corners, the last two crosswise; 3DFACE has them in order."""
    corners = [e.dxf.vtx0, e.dxf.vtx1, e.dxf.vtx2, e.dxf.vtx3 if e.dxf.hasattr("vtx3") else e.dxf.vtx2]
    if e.dxftype() == "3DFACE":
        yield np.array([_xy(p) for p in (*corners, corners[0])]), True
    else:
        order = (*corners[:2], corners[3], corners[2], corners[0])
        yield _from_above(e, np.array([_xy(p) for p in order]), corners[0].z), True


def _hatch(e: Any, error: float) -> Drawn:
    height = e.dxf.elevation.z if e.dxf.hasattr("elevation") else 0.0
    for path in e.paths:
        if hasattr(path, "vertices"):
            rows = np.array(path.vertices, dtype=float).reshape(-1, 3)
            ring = _bulged(rows[:, :2], rows[:, 2], closed=True, error=error)
        else:
            ring = _in_turn([_edge(edge, error) for edge in path.edges], error)
        yield _from_above(e, ring, height), True


def _edge(edge: Any, error: float) -> Points:
    kind = type(edge).__name__
    if kind == "LineEdge":
        return np.array((_xy(edge.start), _xy(edge.end)))
    if kind == "ArcEdge":
        start = math.radians(edge.start_angle)
        sweep = _sweep(start, math.radians(edge.end_angle))
        return flatten.arc(_xy(edge.center), _radius(edge.radius), start, sweep, error=error)
    if kind == "EllipseEdge":
        major = np.array(_xy(edge.major_axis))
        minor = edge.ratio * np.array((-major[1], major[0]), dtype=float)
        span = (edge.start_param, _sweep(edge.start_param, edge.end_param))
        return flatten.ellipse(_xy(edge.center), major, minor, span, error=error)
    return _bspline(edge.construction_tool(), error)


def _in_turn(edges: Sequence[Points], error: float) -> Points:
    """The edges of a boundary, each turned so that it starts where the one before ends."""
    if not edges:
        raise ShapeError("a boundary of it has no edges")
    ring = edges[0]
    if len(edges) > 1 and _near(ring[0], edges[1][[0, -1]]) < _near(ring[-1], edges[1][[0, -1]]):
        ring = ring[::-1]
    for edge in edges[1:]:
        if math.dist(ring[-1], edge[-1]) < math.dist(ring[-1], edge[0]):
            edge = edge[::-1]
        if math.dist(ring[-1], edge[0]) > 2 * error:
            raise ShapeError(f"its boundary is broken at ({ring[-1][0]:.6g}, {ring[-1][1]:.6g})")
        ring = np.concatenate((ring, edge[1:]))
    if math.dist(ring[0], ring[-1]) > 2 * error:
        raise ShapeError(f"its boundary is open at ({ring[0][0]:.6g}, {ring[0][1]:.6g})")
    return np.concatenate((ring[:-1], ring[:1]))


def _near(point: Points, ends: Points) -> float:
    return float(np.hypot(*(ends - point).T).min())


def _from_above(e: Any, points: Points, height: float) -> Points:
    """From the entity's own plane, given by its extrusion, to the drawing's."""
    axis = e.dxf.get("extrusion")
    if axis is None or (axis.x, axis.y, axis.z) == (0, 0, 1):
        return points
    return np.array([_xy(p) for p in e.ocs().points_to_wcs([(x, y, height) for x, y in points])], dtype=float)


_DRAW: dict[str, Callable[[Any, float], Drawn]] = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
    "SOLID": _solid,
    "TRACE": _solid,
    "3DFACE": _solid,
    "HATCH": _hatch,
    "MPOLYGON": _hatch,
}
