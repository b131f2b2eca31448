"""Regions as a round cutter meets them: open sides, what is reached, what is left."""

import math

import pytest
from shapely import Point, box

from signplan.geometry.shapes import area_of, widest_circle
from signplan.operations.room import Room, leftover, narrowest, rest_of

OUTLINE = box(0, 0, 600, 400)


def test_what_a_cutter_leaves_in_a_square_corner():
    """r (sqrt 2 - 1) deep, (1 - pi / 4) r2 of area: geometry."""
    left = leftover(Room(region=area_of(box(0, 0, 60, 60))), 6)
    assert len(left) == 4
    for piece, reach in left:
        assert reach == pytest.approx(6 * (math.sqrt(2) - 1), rel=0.02)
        assert piece.area == pytest.approx((1 - math.pi / 4) * 36, rel=0.02)


def test_a_place_that_is_not_entered_at_all_reaches_infinitely_far():
    left = leftover(Room(region=area_of(box(0, 0, 60, 60).union(box(100, 0, 108, 8)))), 6)
    assert math.inf in [reach for _, reach in left]


def test_a_room_is_open_where_it_meets_the_edge_and_nowhere_else():
    room = Room(region=area_of(box(500, 100, 600, 200)), outline=OUTLINE)
    assert room.open_edge.length == pytest.approx(100, abs=0.1)
    assert room.within(6).contains(box(590, 110, 606, 190))
    assert not room.within(6).intersects(Point(499, 150))
    assert Room(region=area_of(box(500, 100, 599, 200)), outline=OUTLINE).open_at(6).is_empty


def test_all_of_an_open_side_is_reached():
    room = Room(region=area_of(box(500, 100, 600, 200)), outline=OUTLINE)
    left = room.region.difference(room.reached(6).buffer(1e-6))
    assert left.area == pytest.approx(2 * (1 - math.pi / 4) * 36, rel=0.02), "only the two inner corners"


def test_rest_overlaps_what_is_done_a_little():
    room = Room(region=area_of(box(0, 0, 60, 60)))
    done = room.reached(6)
    rest = rest_of(room, 1.5, done, 0.0)
    assert rest.intersection(done).area > 0
    assert rest.area < 60 * 60 * 0.02
    assert rest_of(room, 1.5, room.reached(1.5), 0.0).is_empty


def test_an_allowance_is_left_on_walls_and_not_on_open_sides():
    room = Room(region=area_of(box(500, 100, 600, 200)), outline=OUTLINE)
    within = room.within(6, 0.4)
    assert within.boundary.distance(Point(500, 150)) == pytest.approx(0.4, abs=1e-6)
    assert within.contains(Point(605, 150))


def test_the_narrowest_piece_says_which_cutter_would_do():
    gap, corner = box(0, 0, 20, 2), box(0, 0, 5, 5)
    assert narrowest([(gap, 9.0), (corner, 1.0)]) == pytest.approx(2.0, abs=0.02)


def test_the_widest_circle_is_that_of_the_widest_part():
    assert widest_circle(area_of(box(0, 0, 20, 6).union(box(30, 0, 50, 9)))) == pytest.approx(4.5, abs=0.011)
    assert widest_circle(area_of(Point())) == 0
