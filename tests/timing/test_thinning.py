"""Thinning keeps the shape and what is at stake at its points."""

import numpy as np
import pytest

from signplan.timing.limits import MotionError, MotionLimits
from signplan.timing.thinning import thinned

ROUTER = MotionLimits(speed=(250, 250, 80), accel=(500, 500, 300), corner_tolerance=0.01)


def ring(step, rounded):
    angle = np.arange(0, 2 * np.pi, step / 20)
    return np.round(np.column_stack((20 * np.cos(angle), 20 * np.sin(angle), 0 * angle)) / rounded) * rounded


def off(points, path):
    """Farthest distance of points from the thinned path, mm."""
    worst = 0.0
    for a, b in zip(path.kept, path.kept[1:], strict=False):
        chord, inside = points[b] - points[a], points[a:b] - points[a]
        share = np.clip(inside @ chord / max(chord @ chord, 1e-30), 0, 1)
        worst = max(worst, float(np.linalg.norm(inside - share[:, None] * chord, axis=1).max()))
    return worst


@pytest.mark.parametrize("rounded", [0.001, 0.0025])
def test_dense_points_are_thinned_and_stay_near(rounded):
    points = ring(0.02, rounded)
    path = thinned(points, 80, ROUTER, rounded=rounded)
    assert len(path.points) < 0.2 * len(points)
    assert off(points, path) <= max(2.25 * rounded, 0.0025)


def test_ends_stops_feeds_and_corners_stay():
    x = np.arange(0, 50, 0.05)
    points = np.vstack((np.column_stack((x, 0 * x, 0 * x)), np.column_stack((0 * x + 50, x, 0 * x))))
    feed = np.where(np.arange(len(points) - 1) < 333, 50.0, 40.0)
    path = thinned(points, feed, ROUTER, rounded=0.001, stops=[77])
    assert {0, 77, 333, 1000, len(points) - 1} <= set(path.kept.tolist())
    assert path.kept[path.stops].tolist() == [77]
    assert set(path.feed.tolist()) == {40.0, 50.0}


def test_times_are_shared_out_by_length():
    points = np.array([(0, 0, 0), (0.01, 0, 0), (0.03, 0, 0), (0.04, 0, 0)])
    path = thinned(points, 50, ROUTER, rounded=0.001)
    assert path.kept.tolist() == [0, 3]
    assert path.spread(np.array([4.0])) == pytest.approx([1, 2, 1])


def test_repeated_points_take_no_time():
    path = thinned(np.zeros((3, 3)), 50, ROUTER, rounded=0.001)
    assert path.spread(np.zeros(len(path.kept) - 1)).tolist() == [0, 0]


def test_what_is_no_path_is_refused():
    with pytest.raises(MotionError, match="point 1 is not a place"):
        thinned(np.array([(0, 0, 0), (np.nan, 0, 0)]), 50, ROUTER, rounded=0.001)
