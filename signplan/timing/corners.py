"""How fast a vertex between two straight segments may be passed, and what rounding it means.

What comes in: directions, lengths and top speeds of segments in a row. What goes out: squared speeds at the
vertices between them. Nothing here knows how fast the machine gets there; `motion` does.

The rounded corner is an arc of a circle that touches both legs and passes the vertex within the tolerance
(Kunz and Stilman, "Time-optimal trajectory generation for path following with bounded acceleration and
velocity", Robotics: Science and Systems, 2012). With s and c the sine and cosine of half the turn, it
replaces the same length of each leg, its radius is  length c / s,  and it is passed at  v2 = a radius,  a
being what the axes can give across it.
"""

import numpy as np

from signplan.timing.limits import Floats, MotionLimits

_SMALLEST_TOLERANCE = 1e-9
"""mm. A corner tolerance of nothing would stop the machine at the rounding noise of a straight line."""

_STRAIGHT = 1e-12
"""Sine of half the turn of a joint that is taken for straight: less than floating point can tell."""

_SAMPLED = 0.13
"""Sine of half the turn (15 degrees) up to which a vertex may be a point of a curve and no corner."""


def corners(unit: Floats, length: Floats, top: Floats, limits: MotionLimits, out: list[Floats]) -> None:
    """Judge the n - 1 vertices between n segments.

    Args:
        unit: directions, (3, n).
        length: mm, (n,).
        top: squared top speeds, (n,).
        out: arrays to fill. The change of direction, (3, n - 1); mm over which the path turns; the squared
            speed at which the axes can turn it; and, if there is a fourth, the squared speed that tolerance
            and tops allow however fast the axes turn it.
    """
    turn, span, cap, *ceiling = out
    np.subtract(unit[:, 1:], unit[:, :-1], out=turn)
    square, by_accel = squares(turn, limits.accel)
    sine, cosine, even = _half_turn(square)
    before, after = length[:-1], length[1:]
    # A joint that turns little samples a curve: it turns over the mean of its chords. A sharp corner has to
    # fit into the shorter leg. In between, the cosine of the whole turn weighs one against the other.
    np.add(np.minimum(before, after), even * np.abs(after - before), out=span)
    across = np.maximum(np.sqrt(by_accel), _STRAIGHT / max(limits.accel))
    if limits.path_accel < np.inf:
        across = np.maximum(across, 2 * sine / limits.path_accel)
    per_length = 2 * cosine / across
    within, fastest = by_tolerance(sine, cosine, limits), np.minimum(top[:-1], top[1:])
    np.minimum(per_length * np.minimum(within, span / 2), fastest, out=cap)
    for most in ceiling:
        most[:] = np.where(sine > _SAMPLED, cap, np.minimum(per_length * within, fastest))
    if limits.exact_stop:
        for speed in (cap, *ceiling):
            speed[:] = 0


def half_turn(turn: Floats) -> tuple[Floats, Floats]:
    """Sine and cosine of half the angle by which changes of direction (3, n) turn the path."""
    return _half_turn(squares(turn)[0])[:2]


def _half_turn(square: Floats) -> tuple[Floats, Floats, Floats]:
    """The same from their squared lengths, and half the cosine of the whole angle, zero past a right one."""
    square = np.clip(square * 0.25, _STRAIGHT**2, 1)
    return np.sqrt(square), np.sqrt(1 - square), np.maximum(0.5 - square, 0)


def by_tolerance(sine: Floats, cosine: Floats, limits: MotionLimits) -> Floats:
    """How much of each leg a corner may replace that passes the vertex within the tolerance, mm."""
    return max(limits.corner_tolerance, _SMALLEST_TOLERANCE) * (1 + cosine) / sine


def squares(rows: Floats, *limits: tuple[float, float, float]) -> list[Floats]:
    """Squared lengths of vectors given as three rows; for each limit the largest (x / limit)^2 of an axis."""
    each = rows * rows
    results: list[Floats] = [each[0] + each[1] + each[2]]
    for limit in limits:
        x, y, z = each * (1 / np.square(limit)[:, None])
        results.append(np.maximum(np.maximum(x, y), z))
    return results
