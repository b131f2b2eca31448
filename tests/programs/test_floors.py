"""Maps of squares: how deep a place is cut."""

import numpy as np
import pytest

from signplan.programs.floors import SQUARE, Squares, between, flat_radius, planned_floors
from signplan.sign.setups import Setup


@pytest.fixture
def squares():
    return Squares(np.array([0.0, 0.0]), np.array([100.0, 60.0]))


def places(*points):
    return np.array(points, dtype=float).T


def test_a_cut_lowers_every_square_on_its_way(squares):
    squares.cut(places((5, 5, -3)), places((55, 5, -3)))
    assert squares.at(places((6, 5), (30, 5), (54.9, 5))).tolist() == [-3, -3, -3]
    assert squares.at(places((30, 8), (70, 5))).tolist() == [0, 0]


def test_a_slope_is_as_deep_as_it_is_there(squares):
    squares.cut(places((0, 5, 0)), places((80, 5, -8)))
    x = np.arange(4, 80, 3.0)
    assert squares.at(np.stack((x, 0 * x + 5))) == pytest.approx(-x / 10, abs=SQUARE / 10 + 1e-6)


def test_the_deepest_cut_stays(squares):
    for z in (-2.0, -5.0, -1.0):
        squares.cut(places((5, 5, z)), places((9, 5, z)))
    assert squares.at(places((7, 5))).tolist() == [-5]
    assert squares.near(12, 9, 6.0) == -5
    assert squares.near(40, 40, 6.0) == 0


@pytest.mark.parametrize("place", [(-1e9, 5), (1e9, 5), (5, -1), (5, 63), (-0.1, -0.1)])
def test_off_the_map_nothing_is_cut(squares, place):
    squares.cut(places((*place, -9)), places((*place, -9)))
    assert squares.z.min() == 0
    assert squares.at(places(place)).tolist() == [0]


def test_points_between_are_no_further_apart_than_a_square():
    start, end = places((0, 0, 0), (0, 0, 0), (1, 1, 1)), places((11, 0, -11), (1, 1, 0), (1, 30, 1))
    points, owner = between(start, end)
    assert set(owner.tolist()) == {0, 2}
    first = points[:, owner == 0]
    assert np.diff(np.concatenate(([0], first[0], [11]))).max() <= SQUARE
    assert first[2] == pytest.approx(-first[0])


def test_the_plans_floor_is_where_its_cutters_go(setups):
    planned = setups[1]
    assert isinstance(planned.setup, Setup)
    floors = planned_floors(planned.operations, planned.setup.blank)
    inside = floors.at(places((100, 80), (60, 60), (230, 70), (100, 150)))
    assert inside.tolist() == [-10, -10, -5, -3]
    # A cutter of 12 mm covers 6 mm more, and a square or two are given; not 12 mm more.
    assert floors.at(places((55, 80), (100, 118))).tolist() == [-10, -10]
    assert floors.at(places((48, 80), (100, 124), (100, 156), (290, 70))).tolist() == [0, 0, 0, 0]


def test_only_flat_cutters_are_as_deep_beside_their_axis(shop):
    assert [flat_radius(tool) for tool in shop.tools] == [6.0, 3.0, 0.0, 4.0]
