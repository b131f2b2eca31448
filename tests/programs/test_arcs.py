"""Arcs to chords: on the circle, within the chord error, the right way round."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.geometry.precision import CHORD
from signplan.programs.arcs import Arcs, chords, wrong


def arc(end, *, centre=(math.nan, math.nan), radius=math.nan, clockwise=False, rise=0.0, across=False):
    return Arcs(
        start=np.zeros((3, 1)),
        end=np.array([[end[0]], [end[1]], [rise]], dtype=float),
        centre=np.array([[centre[0]], [centre[1]]], dtype=float),
        radius=np.array([float(radius)]),
        clockwise=np.array([clockwise]),
        across=np.array([across]),
        tolerance=np.array([0.002]),
    )


def length(points):
    path = np.concatenate((np.zeros((3, 1)), points), axis=1)
    return float(np.linalg.norm(np.diff(path, axis=1), axis=0).sum())


@given(
    radius=st.floats(0.01, 2000),
    begin=st.floats(0, 2 * math.pi),
    sweep=st.floats(0.01, 2 * math.pi - 0.01),
    clockwise=st.booleans(),
    rise=st.floats(-50, 50),
)
def test_chords_stay_on_the_arc_and_have_its_length(radius, begin, sweep, clockwise, rise):
    turn = -sweep if clockwise else sweep
    centre = (-radius * math.cos(begin), -radius * math.sin(begin))
    end = (centre[0] + radius * math.cos(begin + turn), centre[1] + radius * math.sin(begin + turn))
    one = arc(end, centre=centre, clockwise=clockwise, rise=rise)
    assert wrong(one) == {}
    points, owner = chords(one)
    assert (owner == 0).all()
    np.testing.assert_array_equal(points[:, -1], one.end[:, 0])
    away = np.hypot(points[0] - centre[0], points[1] - centre[1])
    np.testing.assert_allclose(away, radius, rtol=1e-9, atol=1e-9)
    gap = sweep / len(owner)
    assert radius * (1 - math.cos(gap / 2)) <= max(CHORD, radius * 1e-9) + 1e-9
    assert length(points) == pytest.approx(math.hypot(radius * sweep, rise), rel=0.01, abs=3 * CHORD)


@given(angle=st.floats(0.1, 2 * math.pi - 0.1), clockwise=st.booleans())
def test_an_arc_by_its_radius_is_the_arc_by_its_centre(angle, clockwise):
    if abs(angle - math.pi) < 0.05:
        return
    centre = (10.0, 0.0)
    turn = -angle if clockwise else angle
    end = (10 - 10 * math.cos(turn), -10 * math.sin(turn))
    by_radius, _ = chords(arc(end, radius=10 if angle < math.pi else -10, clockwise=clockwise))
    by_centre, _ = chords(arc(end, centre=centre, clockwise=clockwise))
    np.testing.assert_allclose(by_radius, by_centre, atol=1e-6)


def test_an_arc_that_ends_where_it_starts_is_a_whole_turn():
    points, _ = chords(arc((0, 0), centre=(5, 0)))
    assert length(points) == pytest.approx(2 * math.pi * 5, abs=0.02)
    helix, _ = chords(arc((0, 0), centre=(5, 0), rise=-3))
    assert length(helix) == pytest.approx(math.hypot(2 * math.pi * 5, 3), abs=0.02)
    assert helix[2].tolist() == sorted(helix[2].tolist(), reverse=True)


@pytest.mark.parametrize(
    ("one", "why"),
    [
        (arc((2, 0), centre=(1, 0)), None),
        (arc((2, 0.0015), centre=(1, 0)), None),
        (arc((2.003, 0), centre=(1, 0)), "1.0000 mm at the start and 1.0030 mm at the end"),
        (arc((2, 0), radius=0.9), "further apart than 2 R"),
        (arc((0, 0), radius=1), "full circle"),
        (arc((2, 0)), "neither a centre in its plane nor a radius"),
        (arc((2, 0), centre=(1, 0), radius=1), "both a centre and a radius"),
        (arc((2, 0), centre=(1, 0), across=True), "does not lie in its plane"),
        (arc((0, 0), centre=(0, 0)), "its centre is its start"),
        (arc((math.inf, 0), centre=(1, 0)), "not known"),
    ],
)
@pytest.mark.filterwarnings("ignore:invalid value")
def test_an_arc_that_is_none_says_why(one, why):
    found = wrong(one)
    assert (found == {}) if why is None else (why in found[0])
