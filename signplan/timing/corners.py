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
        out: arrays to fill, (n - 1,). The squared sine of half the turn; mm over which the path turns; the
            squared speed at which the axes can turn it. And for coupling: the squared speed that tolerance
            and tops allow however fast the axes turn it; the change of direction, (3, n - 1).
    """
    bend, span, cap, *more = out
    turn = unit[:, 1:] - unit[:, :-1]
    square, by_accel = squares(turn, limits.accel)
    np.clip(square * 0.25, _STRAIGHT**2, 1, out=bend)
    sine, cosine = half_turn(bend)
    before, after = length[:-1], length[1:]
    # A joint that turns little samples a curve: it turns over the mean of its chords. A sharp corner has to
    # fit into the shorter leg. In between, the cosine of the whole turn weighs one against the other.
    np.multiply(np.maximum(0.5 - bend, 0), np.abs(after - before), out=span)
    span += np.minimum(before, after)
    across = np.maximum(np.sqrt(by_accel), _STRAIGHT / max(limits.accel))
    if limits.path_accel < np.inf:
        across = np.maximum(across, 2 * sine / limits.path_accel)
    per_length = cosine / across
    within, fastest = 2 * by_tolerance(sine, cosine, limits), np.minimum(top[:-1], top[1:])
    np.minimum(per_length * np.minimum(within, span), fastest, out=cap)
    if limits.exact_stop:
        cap[:] = 0
    if more:
        ceiling, turning = more
        turning[:] = turn
        ceiling[:] = np.where(sine > _SAMPLED, cap, np.minimum(per_length * within, fastest))
        if limits.exact_stop:
            ceiling[:] = 0


def half_turn(bend: Floats) -> tuple[Floats, Floats]:
    """Sine and cosine of half the angle by which the path turns, from the square of the sine."""
    return np.sqrt(bend), np.sqrt(1 - bend)


def by_tolerance(sine: Floats, cosine: Floats, limits: MotionLimits) -> Floats:
    """How much of each leg a corner may replace that passes the vertex within the tolerance, mm."""
    return max(limits.corner_tolerance, _SMALLEST_TOLERANCE) * (1 + cosine) / sine


def squares(rows: Floats, *limits: tuple[float, float, float]) -> list[Floats]:
    """Squared lengths of vectors given as three rows; for each limit the largest (x / limit)^2 of an axis."""
    x, y, z = each = rows * rows
    whole: Floats = x + y
    whole += z
    results = [whole]
    for limit in limits:
        most: Floats = x * (1 / limit[0] ** 2)
        for axis, share in zip(each[1:], limit[1:], strict=True):
            np.maximum(most, axis * (1 / share**2), out=most)
        results.append(most)
    return results
