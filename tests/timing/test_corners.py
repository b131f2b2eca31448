"""Corners: both terms of the rule, and what counts as a curve."""

import math

import numpy as np
import pytest

from signplan.timing.corners import by_tolerance, corners, half_turn, squares
from signplan.timing.limits import MotionLimits


def judged(turn, legs=(100.0, 100.0), top=1e6, **more):
    """Cap, ceiling and span of one vertex in the plane."""
    limits = MotionLimits(**{"speed": (1e4,) * 3, "accel": (1000,) * 3, "corner_tolerance": 0.05} | more)
    angle = math.radians(turn)
    unit = np.array([[1, math.cos(angle)], [0, math.sin(angle)], [0, 0]])
    out = [*np.empty((4, 1)), np.empty((3, 1))]
    corners(unit, np.array(legs), np.array([top, top]), limits, out)
    _, span, cap, ceiling = (float(each[0]) for each in out[:4])
    return cap, ceiling, span


def test_long_legs_are_limited_by_the_tolerance():
    # A square corner: radius (1 + sqrt 2) tolerance; the diagonal direction has sqrt 2 of an axis.
    cap, _, _ = judged(90)
    assert cap == pytest.approx(1000 * math.sqrt(2) * (1 + math.sqrt(2)) * 0.05)


def test_short_legs_are_limited_by_half_of_the_shorter_one():
    cap, _, span = judged(90, legs=(0.02, 100))
    assert span == pytest.approx(0.02)
    assert cap == pytest.approx(1000 * math.sqrt(2) * 0.01)


def test_points_of_a_curve_turn_over_the_mean_of_their_chords():
    _, _, span = judged(0.5, legs=(0.1, 0.3))
    assert span == pytest.approx(0.2, rel=1e-4)


def test_the_tops_of_both_legs_hold():
    assert judged(0, top=49)[:2] == (49, 49)


def test_a_reversal_stops():
    assert judged(180)[0] == 0


def test_only_a_small_turn_may_be_taken_faster_while_braking():
    cap, ceiling, _ = judged(10, legs=(0.1, 0.1))
    assert ceiling > 2 * cap
    cap, ceiling, _ = judged(40, legs=(0.1, 0.1))
    assert ceiling == cap


def test_exact_stop_stops_everywhere():
    assert judged(0, exact_stop=True)[:2] == (0, 0)


def test_acceleration_across_the_path_may_be_limited():
    cap, _, _ = judged(90, path_accel=200)
    assert cap == pytest.approx(200 * (1 + math.sqrt(2)) * 0.05)


@pytest.mark.parametrize("turn", [1e-3, 0.1, 1, 2, 3])
def test_half_turn(turn):
    change = np.array([[math.cos(turn) - 1], [math.sin(turn)], [0]])
    (sine,), (cosine,) = half_turn(squares(change)[0] / 4)
    assert sine == pytest.approx(math.sin(turn / 2))
    assert cosine == pytest.approx(math.cos(turn / 2))


def test_the_rounding_passes_the_vertex_at_the_tolerance():
    limits = MotionLimits(speed=(1,) * 3, accel=(1,) * 3, corner_tolerance=0.05)
    for turn in (0.3, 1.0, 2.5):
        s, c = math.sin(turn / 2), math.cos(turn / 2)
        length = float(by_tolerance(np.array(s), np.array(c), limits))
        radius = length * c / s
        assert math.hypot(radius, length) - radius == pytest.approx(0.05)


def test_squares():
    total, largest = squares(np.array([[3.0], [-4.0], [12.0]]), (1, 1, 6))
    assert total == pytest.approx([169])
    assert largest == pytest.approx([16])
