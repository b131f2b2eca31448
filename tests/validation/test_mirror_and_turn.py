"""Mirroring and turning against worked cases of plane geometry.

Source of each: a reflection or rotation of the plane, worked by hand for a 36 x 24 panel; for pins, two-sided
machining as practised (common practice): pins on the turning axis, not symmetric end for end.
"""

import pytest
from shapely import Polygon

from signplan.sign.register import half_turn, is_ambiguous, turned, view

PANEL = (36.0, 24.0)


def test_turning_like_a_page_maps_10_5_to_26_5():
    assert turned(PANEL, "side").point(10, 5) == (26, 5)


def test_tumbling_end_over_end_maps_10_5_to_10_19():
    assert turned(PANEL, "end").point(10, 5) == (10, 19)


def test_a_half_turn_is_not_a_turn_over():
    assert half_turn(*PANEL).point(10, 5) == (26, 19)
    assert half_turn(*PANEL).determinant == 1
    assert turned(PANEL, "side").determinant == turned(PANEL, "end").determinant == -1


def test_a_turn_changes_the_sign_of_an_area_and_keeps_its_size():
    triangle = Polygon([(1, 1), (9, 2), (3, 7)])
    over = turned(PANEL, "side").shape(triangle)
    assert triangle.exterior.is_ccw
    assert not over.exterior.is_ccw
    assert over.area == pytest.approx(triangle.area, rel=1e-12)


def test_glue_faces_of_two_panels_are_mirror_images_of_each_other():
    """A feature 10 from the left as read on A: at 26 on A's glue face, at 10 on B's, 26 on B's show face."""
    seen = [
        view(panel, face, 36).point(10, 5)[0]
        for panel, face in (("A", "inner"), ("B", "outer"), ("B", "inner"))
    ]
    assert seen == [26, 26, 10]


@pytest.mark.parametrize("turn", ["side", "end"])
def test_a_turn_makes_a_counterclockwise_arc_clockwise(turn):
    """So it exchanges G2 and G3, and the sign of a DXF bulge: a quarter turn's bulge tan(90/4) = 0.41421."""
    quarter = [turned(PANEL, turn).point(*p) for p in ((10, 5), (9, 6), (8, 5))]
    (ax, ay), (bx, by), (cx, cy) = quarter
    assert (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < 0


def test_pins_one_inch_off_symmetry_allow_only_the_turn_that_was_meant():
    pins = ((18.0, 2.0, 0.375), (18.0, 21.0, 0.375))
    assert [turned(PANEL, "side").point(x, y) for x, y, _ in pins] == [(18, 2), (18, 21)]
    assert [half_turn(*PANEL).point(x, y) for x, y, _ in pins] == [(18, 22), (18, 3)]
    assert not is_ambiguous(pins, PANEL, "side")


def test_symmetric_pins_allow_a_half_turn_and_fail():
    assert is_ambiguous(((18.0, 2.0, 0.375), (18.0, 22.0, 0.375)), PANEL, "side")


@pytest.mark.parametrize(
    ("mismatch", "ambiguous"), [(0.010, True), (0.1, True), (0.374, True), (0.376, False)]
)
def test_a_mismatch_below_a_pin_diameter_is_no_protection(mismatch, ambiguous):
    """It must exceed clearance and slop: .010 is nothing beside a clearance of .020; a diameter is plenty."""
    pins = ((18.0, 2.0, 0.375), (18.0, 22.0 - mismatch, 0.375))
    assert is_ambiguous(pins, PANEL, "side") == ambiguous
