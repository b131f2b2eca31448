"""Areas: one kind of result whatever comes in, and growing that keeps its word."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import GeometryCollection, LineString, MultiPolygon, Point, Polygon, box

from signplan.geometry.shapes import (
    EMPTY,
    area_of,
    disc,
    grow,
    grow_square,
    lines_of,
    opened,
    rings_of,
    union,
)

ANGLE = Polygon([(0, 0), (40, 0), (40, 8), (8, 8), (8, 30), (0, 30)])


@pytest.mark.parametrize(
    "shape", [Point(0, 0), LineString([(0, 0), (1, 1)]), Polygon(), box(0, 0, 0.01, 0.01)]
)
def test_what_has_no_area_is_empty(shape):
    assert area_of(shape).equals(EMPTY)


def test_the_polygons_of_a_collection_in_a_fixed_order():
    left, right = box(0, 0, 1, 1), box(5, 0, 6, 1)
    mixed = GeometryCollection([right, LineString([(0, 0), (9, 9)]), MultiPolygon([left])])
    assert area_of(mixed) == area_of(MultiPolygon([right.reverse(), left]))
    assert len(area_of(mixed).geoms) == 2


@given(st.floats(0.1, 4))
def test_square_growing_holds_round_growing(by):
    assert grow_square(ANGLE, by).buffer(1e-9).covers(grow(ANGLE, by))
    assert grow_square(ANGLE, by).bounds == pytest.approx(grow(ANGLE, by).bounds)


def test_square_corners_stay_square_and_sharp_ones_are_cut_blunt():
    assert grow_square(box(0, 0, 4, 2), 1).equals(box(-1, -1, 5, 3))
    needle = Polygon([(0, 0), (50, 1), (50, -1)])
    assert grow_square(needle, 1).bounds[0] >= -1.5 - 1e-9


def test_opening_loses_corners_and_narrow_places_and_nothing_else():
    radius = 2.0
    left = opened(ANGLE, radius)
    assert left.difference(ANGLE).area < 1e-9
    convex = 5
    lost = convex * radius**2 * (1 - math.pi / 4)
    assert ANGLE.area - left.area == pytest.approx(lost, rel=0.02)
    assert opened(ANGLE, 8).is_empty


def test_union_of_nothing_is_empty():
    assert union([]).is_empty


def test_lines_and_rings():
    frame = box(0, 0, 9, 9).difference(box(3, 3, 6, 6))
    assert len(rings_of(frame)) == 2
    assert lines_of(GeometryCollection([Point(0, 0), LineString([(0, 0), (1, 0)])])) == (
        LineString([(0, 0), (1, 0)]),
    )


def test_a_disc_does_not_stick_out():
    shape = disc(3, 4, 10)
    assert shape.area <= math.pi * 25
    assert max(Point(3, 4).distance(Point(xy)) for xy in shape.exterior.coords) <= 5 + 1e-9
