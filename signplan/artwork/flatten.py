"""Curves to chords, never farther from the curve than a stated error: a bound, not an estimate.

Points in, points out, in one unit throughout; knows no file format and no layer. Every function returns an
(N, 2) array that starts and ends exactly on the curve's ends.
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Vector = Sequence[float] | NDArray[np.float64]

MOST_POINTS = 100_000
"""Chords that one curve may need; a curve that needs more is no part of a sign."""

FARTHEST = 1e7
"""No sign reaches so far, mm; a coordinate beyond it is a fault or another unit."""

_WIDEST_STEP = math.pi / 36
"""A small circle stays round to the eye and to its area, within a part in 700."""


class ShapeError(ValueError):
    """Numbers that make no shape that can be cut; the message says why."""


def _count(steps: float) -> int:
    if not steps <= MOST_POINTS:
        raise ShapeError(f"a curve would need {steps:,.0f} chords; it is far larger than a sign")
    return max(1, math.ceil(steps))


def arc(center: Vector, radius: float, start: float, sweep: float, *, error: float) -> Points:
    """Chords of a circular arc from angle `start` through `sweep`, radians, positive counter-clockwise."""
    return ellipse(center, (radius, 0.0), (0.0, radius), (start, sweep), error=error)


def ellipse(
    center: Vector,
    u: Vector,
    v: Vector,
    span: tuple[float, float],
    *,
    error: float,
) -> Points:
    """Chords of center + u cos t + v sin t, for t from span[0] through a sweep of span[1] radians.

    The curve is a circle seen through a linear map, so that no chord is farther off than the sagitta
    r (1 - cos(step / 2)) of a circle whose radius r is the map's largest stretch.
    """
    start, sweep = span
    axes = np.array((u, v), dtype=float)
    if not (np.isfinite(axes).all() and math.isfinite(sweep)):
        raise ShapeError("its numbers run out of all bounds")
    stretch = float(np.linalg.norm(axes, 2))
    step = 2 * math.acos(1 - error / stretch) if stretch > error else _WIDEST_STEP
    t = start + np.linspace(0.0, sweep, _count(abs(sweep) / min(step, _WIDEST_STEP)) + 1)
    points: Points = np.outer(np.cos(t), u) + np.outer(np.sin(t), v) + np.asarray(center, dtype=float)
    if abs(sweep) >= math.tau - 1e-12:
        points[-1] = points[0]
    return points


def bulge(start: Vector, end: Vector, tangent: float, *, error: float) -> Points:
    """Chords of a polyline's arc, given by its bulge: the tangent of a quarter of its sweep, + = ccw.

    Radius chord (1 + b^2) / (4 b), as the DXF reference defines group code 42.
    """
    p, q = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    half = (q - p) / 2
    if tangent == 0 or not half.any():
        return np.array((p, q))
    lean = (1 - tangent**2) / (2 * tangent)
    center = p + half + lean * np.array((-half[1], half[0]))
    u = p - center
    points = ellipse(center, u, (-u[1], u[0]), (0.0, 4 * math.atan(tangent)), error=error)
    points[0], points[-1] = p, q
    return points


def bezier(control: Points, *, error: float) -> Points:
    """Chords of a Bezier curve of any degree.

    With n equal steps no chord is farther off than max |B''| / (8 n^2), and |B''| is at most
    d (d - 1) times the largest second difference of the control points.
    """
    p = np.asarray(control, dtype=float)
    degree = len(p) - 1
    second = np.linalg.norm(np.diff(p, 2, axis=0), axis=1).max(initial=0.0) * degree * (degree - 1)
    t = np.linspace(0.0, 1.0, _count(math.sqrt(second / (8 * error))) + 1)[:, None]
    points = np.zeros((len(t), 2))
    for k, vertex in enumerate(p):
        points += math.comb(degree, k) * t**k * (1 - t) ** (degree - k) * vertex
    points[0], points[-1] = p[0], p[-1]
    return points


def spline(
    control: Points, degree: int, knots: Sequence[float], weights: Sequence[float] = (), *, error: float
) -> Points:
    """Chords of a B-spline, rational or not, over its own domain knots[degree] .. knots[-degree - 1].

    Raises:
        ShapeError: the numbers do not make a spline.
    """
    u = np.asarray(knots, dtype=float)
    w = np.asarray(weights if len(weights) else np.ones(len(control)), dtype=float)
    if degree < 1 or len(control) <= degree or len(u) != len(control) + degree + 1 or len(w) != len(control):
        raise ShapeError("its degree, knots, weights and control points do not fit together")
    if (np.diff(u) < 0).any() or not (w > 0).all() or u[-degree - 1] <= u[degree]:
        raise ShapeError("its knots or weights do not rise or are not positive")
    pieces: list[Points] = []
    for span in range(degree, len(control)):
        if u[span + 1] > u[span]:
            local = control[span - degree : span + 1]
            n = _spline_steps(local, degree, (u, span), w[span - degree : span + 1], error)
            t = np.linspace(u[span], u[span + 1], n + 1)
            piece = _de_boor(local, degree, (u, span), w[span - degree : span + 1], t)
            pieces.append(piece[1:] if pieces else piece)
    return np.concatenate(pieces)


Span = tuple[NDArray[np.float64], int]


def _de_boor(local: Points, degree: int, at: Span, w: Points, t: Points) -> Points:
    u, span = at
    d = [np.outer(np.ones(len(t)), (*(weight * p), weight)) for p, weight in zip(local, w, strict=True)]
    for level in range(1, degree + 1):
        for j in range(degree, level - 1, -1):
            low, high = u[span - degree + j], u[span + 1 + j - level]
            a = ((t - low) / (high - low))[:, None]
            d[j] = (1 - a) * d[j - 1] + a * d[j]
    return d[degree][:, :2] / d[degree][:, 2:]


def _spline_steps(local: Points, degree: int, at: Span, w: Points, error: float) -> int:
    """Steps that keep max |C''| h^2 / 8 under the error on one knot span.

    For C = A / w, quotient rule: C'' = (A'' - 2 w' C' - w'' C) / w, each bounded by its control points.
    """
    u, span = at
    middle = local.mean(axis=0)
    radius = float(np.linalg.norm(local - middle, axis=1).max())
    homogeneous = np.column_stack(((local - middle) * w[:, None], w))
    first = _derivative(homogeneous, degree, u[span - degree + 1 : span + degree + 1])
    second = _derivative(first, degree - 1, u[span - degree + 2 : span + degree])
    a1, a2 = (np.linalg.norm(rows[:, :2], axis=1).max(initial=0.0) for rows in (first, second))
    w1, w2 = (np.abs(rows[:, 2]).max(initial=0.0) for rows in (first, second))
    slope = (a1 + w1 * radius) / w.min()
    bend = (a2 + 2 * w1 * slope + w2 * radius) / w.min()
    return _count((u[span + 1] - u[span]) * math.sqrt(bend / (8 * error)))


def _derivative(control: Points, degree: int, knots: Points) -> Points:
    """Control points of the derivative, from those that bear on one span and the knots between them."""
    if degree < 1:
        return np.zeros((0, control.shape[1]))
    width = knots[degree:] - knots[:-degree]
    return degree * np.diff(control, axis=0) / width[:, None]
