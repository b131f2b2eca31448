"""The motion model: known cases, a plain loop, bad input."""

import math

import numpy as np
import pytest

from signplan.errors import SignplanError
from signplan.timing.motion import MotionError, MotionLimits, segment_times, travel_time

ROUTER = MotionLimits(speed=(250, 250, 80), accel=(500, 500, 300), corner_tolerance=0.05)


def test_a_straight_line_takes_the_same_however_it_is_cut_up():
    whole = travel_time([(0, 0, 0), (100, 0, 0)], 100, ROUTER)
    x = np.sort(np.random.default_rng(1).uniform(0, 100, 999))
    pieces = np.zeros((1001, 3))
    pieces[1:-1, 0], pieces[-1, 0] = x, 100
    assert whole == pytest.approx(1.2)
    assert travel_time(pieces, 100, ROUTER) == pytest.approx(1.2, rel=1e-12)


def test_fewer_than_two_points_take_no_time():
    assert travel_time([], 100, ROUTER) == 0
    assert travel_time([(1, 2, 3)], 100, ROUTER) == 0
    assert travel_time([(1, 2, 3)] * 5, 100, ROUTER) == 0


def test_repeated_points_take_no_time_but_their_stops_hold():
    plain = [(0, 0, 0), (50, 0, 0), (100, 0, 0)]
    doubled = [(0, 0, 0), (50, 0, 0), (50, 0, 0), (50, 0, 0), (100, 0, 0), (100, 0, 0)]
    assert travel_time(doubled, 100, ROUTER) == pytest.approx(travel_time(plain, 100, ROUTER))
    for stop in (1, 2, 3):
        assert travel_time(doubled, 100, ROUTER, stops=[stop]) == pytest.approx(2 * (0.5 + 0.2))


def test_a_rapid_is_limited_by_its_slowest_axis():
    diagonal = travel_time([(0, 0, 0), (80, 0, 80)], np.inf, ROUTER)
    assert diagonal == pytest.approx(80 / 80 + 80 / 300)


@pytest.mark.parametrize(
    ("points", "feed", "stops", "message"),
    [
        ([(0, 0, 0), (1, math.nan, 0)], 10, None, "point 1 is not a place"),
        ([(math.nan, 0, 0)], 10, None, "point 0 is not a place"),
        ([(0, 0, 0), (math.inf, 0, 0)], 10, None, "point 1 is not a place"),
        ([(0, 0, 0), (1e200, 0, 0)], 10, None, "too far apart"),
        ([(0, 0), (1, 1)], 10, None, r"shape \(2, 2\), not \(N, 3\)"),
        ([("a", 0, 0)], 10, None, "points are not numbers"),
        ([(0, 0, 0), (1, 0, 0)], 0, None, "feed of segment 0 is 0.0"),
        ([(0, 0, 0), (1, 0, 0)], math.nan, None, "feed of segment 0 is nan"),
        ([(0, 0, 0), (1, 0, 0), (2, 0, 0)], [10, -1], None, "feed of segment 1 is -1.0"),
        ([(0, 0, 0), (1, 0, 0), (2, 0, 0)], [10], None, "1 feeds were given for 2"),
        ([(0, 0, 0), (1, 0, 0)], [10, 10], None, "2 feeds were given for 1"),
        ([(0, 0, 0), (1, 0, 0)], 10, [2], "stop 2 is not the index of a point: the last is 1"),
        ([(0, 0, 0), (1, 0, 0)], 10, [-1], "stop -1"),
        ([(0, 0, 0), (1, 0, 0)], 10, [0.5], "stops are not a list of whole numbers"),
    ],
)
def test_bad_input_is_refused_with_its_place(points, feed, stops, message):
    with pytest.raises(MotionError, match=message) as caught:
        travel_time(points, feed, ROUTER, stops=stops)
    assert isinstance(caught.value, SignplanError)
    with pytest.raises(MotionError, match=message):
        segment_times(points, feed, ROUTER, stops=stops)
