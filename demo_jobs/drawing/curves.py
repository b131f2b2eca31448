"""Outlines as drawings keep them: closed contours of straight and curved segments, y up."""

import math
from dataclasses import dataclass

Point = tuple[float, float]
Segment = tuple[Point, ...]
"""Two points: a straight line. Three: a quadratic Bezier curve."""
Contour = tuple[Segment, ...]
"""Segments end to end, the last one back at the start."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Arc:
    """A circular arc, counter-clockwise from `start` to `end`, in degrees."""

    center: Point
    radius: float
    start: float
    end: float


Edge = tuple[Point, Point] | Arc
"""One piece of an outline that is drawn with straight lines and arcs."""


def moved(
    contours: tuple[Contour, ...], *, scale: float = 1.0, by: Point = (0.0, 0.0)
) -> tuple[Contour, ...]:
    """The contours scaled about the origin, then shifted."""
    return tuple(
        tuple(tuple((x * scale + by[0], y * scale + by[1]) for x, y in segment) for segment in contour)
        for contour in contours
    )


def bounds(contours: tuple[Contour, ...]) -> tuple[float, float, float, float]:
    """Least x, least y, largest x, largest y of all defining points."""
    points = [point for contour in contours for segment in contour for point in segment]
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def polygon(contour: Contour, error: float) -> list[Point]:
    """Corners of a contour whose curves are replaced by chords at most `error` away.

    A quadratic curve cut into n equal parts is |p0 - 2 p1 + p2| / (4 n^2) from its chords.
    """
    points: list[Point] = []
    for segment in contour:
        points.append(segment[0])
        if len(segment) == 3:
            (ax, ay), (bx, by), (cx, cy) = segment
            count = math.ceil(math.sqrt(math.hypot(ax - 2 * bx + cx, ay - 2 * by + cy) / (4 * error)))
            for t in (step / count for step in range(1, count)):
                u = 1 - t
                points.append(
                    (u * u * ax + 2 * u * t * bx + t * t * cx, u * u * ay + 2 * u * t * by + t * t * cy)
                )
    return points


def mirrored(edges: tuple[Edge, ...], width: float) -> tuple[Edge, ...]:
    """The outline as it is read from the other side of a sign of that width."""
    return tuple(
        Arc(
            center=(width - edge.center[0], edge.center[1]),
            radius=edge.radius,
            start=180 - edge.end,
            end=180 - edge.start,
        )
        if isinstance(edge, Arc)
        else ((width - edge[0][0], edge[0][1]), (width - edge[1][0], edge[1][1]))
        for edge in edges
    )


def star(center: Point, *radii: float, points: int = 8) -> list[Point]:
    """Corners of a star; the radii take turns, the first one pointing up."""
    count = points * 2
    return [
        (
            center[0] + radii[i % len(radii)] * math.sin(2 * math.pi * i / count),
            center[1] + radii[i % len(radii)] * math.cos(2 * math.pi * i / count),
        )
        for i in range(count)
    ]
