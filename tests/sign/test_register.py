"""Frames: each mirror and turn stands on its own, so that swapping any one of them fails here."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Polygon

from signplan.sign.register import (
    STAY,
    half_turn,
    is_ambiguous,
    move,
    on_table,
    turned,
    view,
)

WIDTH = 36.0
FLAG = Polygon([(0, 0), (10, 0), (10, 4), (3, 4), (3, 9), (0, 9)])
"""A shape without any symmetry: a missing mirror cannot hide in it."""

numbers = st.floats(-1e4, 1e4)
placements = st.sampled_from(
    [
        STAY,
        move(3, -7),
        half_turn(36, 24),
        view("A", "inner", WIDTH),
        turned((80, 30), "end"),
        turned((80, 30), "side"),
    ]
)


@pytest.mark.parametrize(
    ("panel", "face", "seen"),
    [
        ("A", "outer", (10.0, 5.0)),
        ("A", "inner", (26.0, 5.0)),
        ("B", "outer", (26.0, 5.0)),
        ("B", "inner", (10.0, 5.0)),
    ],
)
def test_each_face_shows_a_point_where_a_person_looking_at_it_sees_it(panel, face, seen):
    assert view(panel, face, WIDTH).point(10.0, 5.0) == seen


@pytest.mark.parametrize(("panel", "face"), [("A", "outer"), ("B", "inner")])
def test_faces_that_look_toward_the_reader_of_a_are_not_mirrored(panel, face):
    assert view(panel, face, WIDTH).determinant == 1


@pytest.mark.parametrize(("panel", "face"), [("A", "inner"), ("B", "outer")])
def test_the_other_faces_are_mirrored(panel, face):
    assert view(panel, face, WIDTH).determinant == -1


def test_artwork_reads_right_on_both_outer_faces():
    """Placed by the inverse of its own view and seen through it again, art is as drawn: never mirrored."""
    for panel in ("A", "B"):
        face = view(panel, "outer", WIDTH)
        assert face.shape(face.inverse().shape(FLAG)).equals(FLAG)


@given(st.lists(st.tuples(numbers, numbers), min_size=2, max_size=9), st.floats(1.0, 5000.0))
def test_art_that_is_placed_on_side_b_and_looked_at_has_the_numbers_of_side_a(corners, width):
    art = LineString(corners)
    sides = [view(panel, "outer", width) for panel in ("A", "B")]
    seen = [side.shape(side.inverse().shape(art)) for side in sides]
    assert seen[0].equals_exact(seen[1], 0.0)


@given(placements, numbers, numbers)
def test_an_inverse_brings_a_point_back(placement, x, y):
    there = placement.point(x, y)
    assert placement.inverse().point(*there) == pytest.approx((x, y), abs=2e-7)


@given(placements, placements, numbers, numbers)
def test_placements_compose_in_reading_order(first, second, x, y):
    assert first.then(second).point(x, y) == pytest.approx(second.point(*first.point(x, y)), abs=2e-7)


@given(placements)
def test_a_shape_a_path_and_a_point_go_to_the_same_place(placement):
    corners = np.array([(*corner, -1.5) for corner in FLAG.exterior.coords])
    moved = placement.path(corners)
    assert moved[:, :2] == pytest.approx(np.array(placement.shape(FLAG).exterior.coords), abs=2e-7)
    assert moved[0, :2] == pytest.approx(placement.point(*FLAG.exterior.coords[0]), abs=2e-7)
    assert (moved[:, 2] == -1.5).all()


def test_a_path_that_is_moved_leaves_the_original_alone():
    points = np.zeros((2, 3))
    move(1, 1).path(points)
    assert (points == 0).all()


@pytest.mark.parametrize("turn", ["side", "end"])
def test_turning_twice_is_not_turning(turn):
    assert turned((80, 30), turn).then(turned((80, 30), turn)) == STAY


@pytest.mark.parametrize("panel", ["A", "B"])
def test_a_panel_turned_like_a_page_shows_its_other_face_upright(panel):
    blank, corner = (38.0, 26.0), (1.0, 1.0)
    first = on_table(view(panel, "inner", WIDTH), corner)
    assert first.then(turned(blank, "side")) == on_table(view(panel, "outer", WIDTH), corner)


@pytest.mark.parametrize("panel", ["A", "B"])
def test_a_panel_turned_end_over_end_shows_its_other_face_upside_down(panel):
    blank, corner = (38.0, 26.0), (1.0, 1.0)
    first = on_table(view(panel, "inner", WIDTH), corner)
    upright = on_table(view(panel, "outer", WIDTH), corner)
    assert first.then(turned(blank, "end")) == upright.then(half_turn(*blank))


@pytest.mark.parametrize("turn", ["side", "end"])
def test_one_pin_in_the_middle_allows_every_wrong_turn(turn):
    assert is_ambiguous(((18.0, 12.0, 0.375),), (36.0, 24.0), turn)
