"""Lines: rings turned so that the wall is on the right, started anywhere, chained without turning them."""

from itertools import permutations

import numpy as np
import pytest
from shapely import LinearRing, Point, Polygon, box

from signplan.toolpaths.lines import chained, cut_at, distances, ring_from, ring_lines, stop_length, tour

SQUARE = np.array([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0)], dtype=float)


def test_shells_run_counter_clockwise_and_holes_clockwise():
    shape = box(0, 0, 10, 10).difference(box(4, 4, 6, 6))
    shell, hole = ring_lines(shape)
    assert LinearRing(shell).is_ccw
    assert not LinearRing(hole).is_ccw


@pytest.mark.parametrize("near", [(0, 0), (10, 5), (5, -3), (0, 9.99), (12, 12)])
def test_a_ring_started_elsewhere_is_the_same_ring(near):
    turned = ring_from(SQUARE, np.array(near, dtype=float))
    assert distances(turned)[-1] == pytest.approx(40)
    assert Polygon(turned).equals(Polygon(SQUARE))
    assert LinearRing(turned).is_ccw
    assert Point(turned[0]).distance(Point(near)) == pytest.approx(LinearRing(SQUARE).distance(Point(near)))


def test_a_ring_takes_its_heights_along():
    ring = np.column_stack([SQUARE, [-1, -1, -3, -1, -1]])
    turned = ring_from(ring, np.array([10.0, 5.0]))
    assert turned[0] == pytest.approx((10, 5, -2))
    assert turned[-1] == pytest.approx((10, 5, -2))
    assert turned[:, 2].min() == -3


@pytest.mark.parametrize(
    ("far", "end"), [(0, (0, 0)), (5, (5, 0)), (10, (10, 0)), (25, (5, 10)), (99, (0, 0))]
)
def test_a_line_is_cut_at_a_length(far, end):
    assert cut_at(SQUARE, distances(SQUARE), far)[-1] == pytest.approx(end)


def test_lines_are_chained_to_the_nearest_start_and_never_turned_if_that_matters():
    lines = [np.array([(0, 0), (10, 0)]), np.array([(30, 5), (30, 0)]), np.array([(20, 5), (11, 5)])]
    kept = chained([line.astype(float) for line in lines], keep_direction=True)
    assert [tuple(line[0]) for line in kept] == [(0, 0), (20, 5), (30, 5)]
    free = chained([line.astype(float) for line in lines], keep_direction=False)
    assert [tuple(line[0]) for line in free] == [(0, 0), (11, 5), (30, 5)]


def test_a_square_corner_costs_half_a_stop(machine):
    line = np.array([(0, 0), (10, 0), (10, 10)], dtype=float)
    assert stop_length(line, machine) == pytest.approx(100**2 / 1500 / 2)
    assert stop_length(line[:2], machine) == 0


def way(places: np.ndarray, order: list[int]) -> float:
    return float(np.linalg.norm(np.diff(places[order], axis=0), axis=1).sum())


def test_a_tour_visits_every_place_once_from_the_first():
    places = np.random.default_rng(3).random((40, 2))
    order = tour(places)
    assert sorted(order) == list(range(40))
    assert order[0] == 0


@pytest.mark.parametrize("seed", range(6))
def test_a_tour_is_within_a_fifth_of_the_shortest(seed):
    places = np.random.default_rng(seed).random((7, 2))
    shortest = min(way(places, [0, *rest]) for rest in permutations(range(1, 7)))
    assert way(places, tour(places)) <= 1.2 * shortest


def test_places_on_a_circle_are_visited_round_it():
    angle = np.linspace(0, 2 * np.pi, 24, endpoint=False)[np.random.default_rng(1).permutation(24)]
    places = np.column_stack([np.cos(angle), np.sin(angle)])
    assert way(places, tour(places)) == pytest.approx(23 * 2 * np.sin(np.pi / 24))
