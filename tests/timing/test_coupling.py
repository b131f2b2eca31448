"""What the profile asks of the axes, read back from the speeds."""

import numpy as np
import pytest

from signplan.timing import motion
from signplan.timing.motion import MotionLimits

LIMITS = MotionLimits(speed=(250, 250, 100), accel=(1000, 1000, 500), corner_tolerance=0.05)


def asked(points, *, coupled):
    """Acceleration of each axis over its limit, at the vertices of a curve."""
    (block,) = motion._solved(points, 150, LIMITS, stops=None, coupled=coupled)
    length, square = block.length, block.square
    unit = np.diff(points, axis=0).T / length
    bend = 2 * np.diff(unit, axis=1) / (length[1:] + length[:-1]) * square[1:-1]
    along = (np.diff(square) / (2 * length) * unit)[:, 1:]
    return np.abs(bend + along) / np.array(LIMITS.accel)[:, None]


def curve():
    t = np.linspace(0, 2 * np.pi, 4000)
    return np.column_stack((30 * np.sin(t), 20 * np.sin(2 * t + 0.5), 5 * np.sin(3 * t + 1)))


def test_coupling_keeps_every_axis_near_its_limit():
    assert np.quantile(asked(curve(), coupled=True), 0.99) < 1.1


def test_without_it_an_axis_is_asked_for_twice_what_it_has():
    assert asked(curve(), coupled=False).max() > 1.5


def test_straight_lines_do_not_notice():
    line = [(0, 0, 0), (40, 30, 5), (80, 60, 10)]
    times = [motion.travel_time(line, 100, LIMITS, coupled=coupled) for coupled in (True, False)]
    assert times[0] == pytest.approx(times[1], rel=1e-12)


def test_the_same_path_backwards_takes_as_long():
    points = curve()
    there, back = (motion.travel_time(each, 150, LIMITS) for each in (points, points[::-1]))
    assert there == pytest.approx(back, rel=1e-6)
