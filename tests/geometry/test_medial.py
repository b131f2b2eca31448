"""The medial axis of shapes whose axis is known, and its laws on others."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, affinity, box

from signplan.geometry.medial import Branch, medial_axis
from signplan.geometry.shapes import area_of


def axis(shape: shapely.Geometry) -> tuple[Branch, ...]:
    return medial_axis(area_of(shape))


def length(branches: tuple[Branch, ...]) -> float:
    return sum(float(np.linalg.norm(np.diff(b.points[:, :2], axis=0), axis=1).sum()) for b in branches)


def places(branches: tuple[Branch, ...]) -> np.ndarray:
    return np.concatenate([branch.points for branch in branches])


def test_a_rectangle_has_a_spine_and_four_diagonals():
    found = axis(box(0, 0, 10, 4))
    assert length(found) == pytest.approx(6 + 4 * 2 * math.sqrt(2), abs=1e-5)
    assert places(found)[:, 2].max() == pytest.approx(2, abs=1e-5)
    assert len(found) == 5


def test_a_regular_hexagon_has_six_spokes():
    hexagon = Polygon([(math.cos(k * math.pi / 3), math.sin(k * math.pi / 3)) for k in range(6)])
    found = axis(affinity.scale(hexagon, 10, 10, origin=(0, 0)))
    assert length(found) == pytest.approx(60, abs=1e-3)
    assert places(found)[:, 2].max() == pytest.approx(10 * math.sqrt(3) / 2, abs=1e-3)


def test_an_annulus_has_a_circle():
    ring = Point(0, 0).buffer(5, quad_segs=90).difference(Point(0, 0).buffer(3, quad_segs=90))
    found = axis(ring)
    assert length(found) == pytest.approx(2 * math.pi * 4, rel=1e-3)
    assert np.hypot(*places(found)[:, :2].T) == pytest.approx(4, abs=2e-3)


def test_the_chords_of_a_curve_have_no_branches_of_their_own():
    found = axis(Point(0, 0).buffer(20, quad_segs=40).intersection(box(-30, -5, 30, 5)))
    ends = [branch for branch in found if branch.points[:, 2].min() < 1e-3]
    assert len(ends) == 4, "one into each real corner"


def test_between_two_inner_corners_the_radius_is_a_hyperbola():
    found = axis(
        box(0, 0, 20, 20)
        .difference(Polygon([(0, 8), (9, 10), (0, 12)]))
        .difference(Polygon([(20, 8), (11, 10), (20, 12)]))
    )
    points = places(found)
    narrow = points[np.abs(points[:, 1] - 10) < 2]
    narrow = narrow[np.abs(narrow[:, 0] - 10) < 1e-6]
    assert len(narrow) > 5
    assert narrow[:, 2] == pytest.approx(np.hypot(1, narrow[:, 1] - 10), abs=1e-6)


def test_every_radius_is_the_distance_to_the_boundary():
    shape = box(0, 0, 40, 30).difference(Point(12, 15).buffer(6)).difference(box(25, 5, 32, 20))
    points = places(axis(shape))
    assert points[:, 2] == pytest.approx(
        shapely.distance(shapely.points(points[:, :2]), shape.boundary), abs=1e-3
    )


def test_branches_share_their_nodes():
    found = axis(box(0, 0, 10, 4))
    at: dict[int, set[tuple[float, ...]]] = {}
    for branch in found:
        at.setdefault(branch.start, set()).add(tuple(branch.points[0].round(6)))
        at.setdefault(branch.end, set()).add(tuple(branch.points[-1].round(6)))
    assert all(len(spots) == 1 for spots in at.values())
    assert len(at) == 6


def test_separate_parts_have_separate_nodes():
    found = axis(MultiPolygon([box(0, 0, 10, 4), box(20, 0, 30, 4)]))
    left = {n for b in found for n in (b.start, b.end) if b.points[0, 0] < 15}
    right = {n for b in found for n in (b.start, b.end) if b.points[0, 0] > 15}
    assert not left & right
    assert len(found) == 10


def test_an_outline_that_crosses_itself_once_rounded_is_mended_first():
    needle = Polygon([(0, 0), (30, 0), (30, 10), (15.00002, 10), (15, 0.00003), (14.99998, 10), (0, 10)])
    points = places(axis(needle))
    assert points[:, 2].max() <= 5 + 1e-3


def test_nothing_has_no_axis():
    assert medial_axis(MultiPolygon()) == ()


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.floats(4, 20), min_size=5, max_size=9),
    st.floats(0, 360),
    st.floats(0.5, 3),
)
def test_turning_and_scaling_a_shape_turns_and_scales_its_axis(radii, degrees, factor):
    count = len(radii)
    star = Polygon(
        [
            (r * math.cos(2 * math.pi * k / count), r * math.sin(2 * math.pi * k / count))
            for k, r in enumerate(radii)
        ]
    )
    moved = affinity.scale(affinity.rotate(star, degrees, origin=(0, 0)), factor, factor, origin=(0, 0))
    before, after = axis(star), axis(moved)
    assert places(after)[:, 2].max() == pytest.approx(places(before)[:, 2].max() * factor, rel=1e-3)
    points = places(after)
    inside = shapely.distance(shapely.points(points[:, :2]), moved) < 1e-3
    assert inside.all()
    assert points[:, 2] == pytest.approx(
        shapely.distance(shapely.points(points[:, :2]), moved.boundary), abs=2e-3
    )
