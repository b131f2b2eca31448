import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point

from signplan.artwork import flatten
from signplan.artwork.flatten import ShapeError

ERROR = 0.005
number = st.integers(-500_000, 500_000).map(lambda n: n / 1000)
point = st.tuples(number, number)


def farthest(curve: np.ndarray, chords: np.ndarray) -> float:
    """Distance from the curve, sampled densely, to the chords that stand for it."""
    line = LineString(chords)
    return max(line.distance(Point(p)) for p in curve)


@settings(deadline=None)
@given(point, st.floats(0.001, 5000), st.floats(-7, 7), st.floats(0.01, math.tau))
def test_chords_of_an_arc_keep_within_the_error(center, radius, start, sweep):
    chords = flatten.arc(center, radius, start, sweep, error=ERROR)
    middles = (chords[1:] + chords[:-1]) / 2
    sagitta = radius - np.hypot(*(middles - center).T)
    assert sagitta.max() <= ERROR * (1 + 1e-6) + 1e-9
    assert np.hypot(*(chords - center).T) == pytest.approx(radius, rel=1e-9, abs=1e-9)


@settings(deadline=None)
@given(st.lists(point, min_size=3, max_size=4))
def test_chords_of_a_bezier_keep_within_the_error(control):
    control = np.array(control)
    t = np.linspace(0, 1, 200)[:, None]
    degree = len(control) - 1
    curve = sum(math.comb(degree, k) * t**k * (1 - t) ** (degree - k) * p for k, p in enumerate(control))
    chords = flatten.bezier(control, error=ERROR)
    assert farthest(curve, chords) <= ERROR * 1.000001 + 1e-9
    assert (chords[0] == control[0]).all()
    assert (chords[-1] == control[-1]).all()


@settings(deadline=None)
@given(
    st.lists(point, min_size=4, max_size=9),
    st.lists(st.floats(0.2, 5), min_size=9, max_size=9),
    st.integers(1, 3),
    st.booleans(),
)
def test_chords_of_a_spline_keep_within_the_error(control, weights, degree, clamped):
    interpolate = pytest.importorskip("scipy.interpolate")
    control, weights = np.array(control), np.array(weights[: len(control)])
    inner = np.arange(len(control) - degree + 1.0)
    knots = np.arange(len(control) + degree + 1.0)
    if clamped:
        knots = np.concatenate(([inner[0]] * degree, inner, [inner[-1]] * degree))
    t = np.linspace(knots[degree], knots[-degree - 1], 300)
    homogeneous = interpolate.BSpline(knots, np.column_stack((control * weights[:, None], weights)), degree)(
        t
    )
    curve = homogeneous[:, :2] / homogeneous[:, 2:]
    chords = flatten.spline(control, degree, knots, weights, error=ERROR)
    assert farthest(curve, chords) <= ERROR * 1.0001 + 1e-9


def test_a_spline_with_loose_knots_stays_inside_the_hull_of_its_control_points():
    """Sampled beyond its domain, as some readers do, it runs to (-25, -52)."""
    control = np.array(((0, 0), (1, 3), (3, 3), (5, 1), (8, 0), (9, 2)), dtype=float)
    chords = flatten.spline(control, 3, range(10), error=ERROR)
    hull = LineString(control).convex_hull
    assert hull.buffer(1e-9).covers(LineString(chords))


@pytest.mark.parametrize(
    ("degree", "knots", "weights"),
    [(3, range(7), ()), (2, (0, 0, 0, 2, 1, 2, 2), ()), (2, range(7), (1, 1, 0, 1)), (2, (1,) * 7, ())],
)
def test_numbers_that_make_no_spline(degree, knots, weights):
    with pytest.raises(ShapeError):
        flatten.spline(np.zeros((4, 2)), degree, knots, weights, error=ERROR)


def test_ends_are_exact_and_a_full_turn_closes():
    circle = flatten.arc((3, 4), 5, 0.3, math.tau, error=ERROR)
    assert (circle[0] == circle[-1]).all()
    chords = flatten.bulge((0.1, 0.2), (7.3, -1.1), 0.7, error=ERROR)
    assert tuple(chords[0]) == (0.1, 0.2)
    assert tuple(chords[-1]) == (7.3, -1.1)


def test_an_ellipse_without_numbers_is_refused():
    with pytest.raises(ShapeError, match="out of all bounds"):
        flatten.ellipse((0, 0), (math.nan, 0), (0, 1), (0, math.tau), error=ERROR)


def test_a_curve_of_a_million_chords_is_refused():
    with pytest.raises(ShapeError, match="chords"):
        flatten.arc((0, 0), 1e9, 0, math.tau, error=ERROR)
