import math
from itertools import pairwise

import numpy as np
import pytest
from ezdxf.math import bulge_to_arc
from numpy.typing import NDArray
from shapely import Polygon, box

from signplan.artwork import flatten
from signplan.geometry.arcs import BOW, FEWEST, bulged, circle_through
from signplan.geometry.precision import CHORD, SAME
from signplan.geometry.shapes import area_of, disc, grow, opened, simplified

Points = NDArray[np.float64]


def ring(polygon: Polygon) -> Points:
    return np.array(polygon.exterior.coords)[:-1]


def chords(rows: Points, *, closed: bool = True) -> Points:
    """A line with bulges, flattened as the drawings of the shop are."""
    ends = np.concatenate((rows, rows[:1])) if closed else rows
    pieces = [ends[:1, :2]]
    for (x, y, bulge), end in pairwise(ends):
        pieces.append(flatten.bulge((x, y), end[:2], bulge, error=CHORD)[1:])
    points = np.concatenate(pieces)
    return points[:-1] if closed else points


def off_arc(corners: Points, start: Points, end: Points, bulge: float) -> float:
    """How far any of the corners is from the circle of a bulge, by an independent library."""
    center, _, _, radius = bulge_to_arc(start, end, bulge)
    return float(np.abs(np.hypot(*(corners - (center.x, center.y)).T) - radius).max())


def rise(corners: Points, radius: float) -> float:
    """The greatest sagitta of the chords between the corners of an arc."""
    half = np.hypot(*np.diff(corners, axis=0).T) / 2
    return float((radius - np.sqrt(radius**2 - half**2)).max())


KEYHOLE = np.array(
    [
        (0, 0, 0),
        (300, 0, 0.41421356),  # a rounded corner that starts where a line ends
        (320, 20, 0),
        (320, 100, -0.6),  # a bite
        (320, 150, 0),
        (320, 200, 1.0),  # a half circle
        (260, 200, 0),
        (200, 180, 2.5),  # a head of more than a half circle
        (180, 180, 0.2),  # two arcs of other radii, one after another
        (90, 180, 0.05),
        (0, 150, 0),
    ],
    dtype=float,
)


@pytest.mark.parametrize("turned", range(0, 80, 7))
def test_the_arcs_of_a_drawing_come_back_wherever_its_ring_starts(turned: int) -> None:
    points = np.roll(chords(KEYHOLE), turned, axis=0)
    found = bulged(points, closed=True)
    first = int(np.argmin(np.hypot(*found[:, :2].T)))
    assert np.roll(found, -first, axis=0) == pytest.approx(KEYHOLE, abs=1e-6)


def test_a_mirrored_or_reversed_line_has_bulges_of_the_other_sign() -> None:
    points = chords(KEYHOLE)
    mirrored = bulged(points * (-1, 1), closed=True)
    assert mirrored == pytest.approx(KEYHOLE * (-1, 1, -1), abs=1e-6)
    back = bulged(points[::-1], closed=True)
    assert sorted(back[:, 2]) == pytest.approx(sorted(-KEYHOLE[:, 2]), abs=1e-6)


def test_an_open_line_keeps_its_ends() -> None:
    found = bulged(chords(KEYHOLE, closed=False), closed=False)
    assert found == pytest.approx(KEYHOLE * (1, 1, 1), abs=1e-6)


def test_a_line_of_arcs_alone_has_no_straight_end() -> None:
    arcs = np.array([(0, 0, 0.4), (80, 0, -0.3), (150, 10, 0.0)])
    assert bulged(chords(arcs, closed=False), closed=False) == pytest.approx(arcs, abs=1e-6)


@pytest.mark.parametrize("corners", [3, 4, 6, 8, 12, 24])
def test_a_polygon_drawn_with_flat_sides_is_left_as_it_is(corners: int) -> None:
    angles = np.arange(corners) * math.tau / corners
    points = 100 * np.column_stack((np.cos(angles), np.sin(angles)))
    assert (bulged(points, closed=True) == np.column_stack((points, np.zeros(corners)))).all()
    assert circle_through(points) is None


def test_straight_lines_with_corners_on_them_are_left_as_they_are() -> None:
    points = ring(box(0, 0, 100, 60).segmentize(3))
    assert (bulged(points, closed=True)[:, :2] == points).all()
    assert not bulged(points, closed=True)[:, 2].any()


def test_a_circle_is_found_whole() -> None:
    circle = circle_through(ring(disc(30, -40, 22)))
    assert circle
    assert (circle.x, circle.y, circle.radius) == pytest.approx((30, -40, 11), abs=1e-9)
    assert circle_through(ring(box(0, 0, 1, 1))) is None
    assert sorted(bulged(ring(disc(30, -40, 22)), closed=True)[:, 2]) == pytest.approx([-1, -1])


def test_too_few_chords_tell_nothing() -> None:
    arc = flatten.bulge((0, 0), (1, 0), math.tan(math.radians(14) / 4), error=CHORD)
    assert len(arc) - 1 == FEWEST - 1  # 14 degrees in steps of 5 at the most
    assert not bulged(arc, closed=False)[:, 2].any()


def test_what_the_program_rounds_has_arcs() -> None:
    grown = grow(box(0, 0, 100, 60), 12.5).geoms[0]
    rows = bulged(ring(grown), closed=True)
    assert len(rows) == 8
    assert sorted(abs(rows[:, 2])) == pytest.approx([0] * 4 + [math.tan(math.pi / 8)] * 4, abs=1e-6)
    pocket = simplified(opened(box(0, 0, 100, 60), 6.35)).geoms[0]
    assert np.count_nonzero(bulged(ring(pocket), closed=True)[:, 2]) == 4


def test_an_arc_cut_off_keeps_what_is_left_of_it() -> None:
    bitten = area_of(disc(0, 0, 100).intersection(box(-60, -60, 20.123, 60))).geoms[0]
    rows = bulged(ring(bitten), closed=True)
    (k,) = np.flatnonzero(rows[:, 2])
    end = rows[(k + 1) % len(rows), :2]
    assert off_arc(ring(disc(0, 0, 100)), rows[k, :2], end, rows[k, 2]) < SAME
    assert len(rows) <= 5  # the arc, and at each end what is left of a chord


def lettering(chance: np.random.Generator) -> Points:
    """A closed outline of Bezier curves, as letters have."""
    count, degree = chance.integers(2, 7), chance.integers(2, 4)
    ends = chance.uniform(-80, 80, (count, 2))
    inner = chance.uniform(-80, 80, (count, degree - 1, 2))
    curves = [
        np.array([start, *between, end])
        for start, between, end in zip(ends, inner, np.roll(ends, -1, axis=0), strict=True)
    ]
    return np.concatenate([flatten.bezier(curve, error=CHORD)[1:] for curve in curves])


def test_no_arc_leaves_the_chords_of_a_curve_by_more_than_it_says() -> None:
    chance, arcs = np.random.default_rng(7), 0
    for _ in range(60):
        line = lettering(chance)
        rows = bulged(line, closed=True)
        at = [int(np.flatnonzero((line == row[:2]).all(axis=1))[0]) for row in rows]
        for k in np.flatnonzero(rows[:, 2]):
            start, end, bulge = rows[k, :2], rows[(k + 1) % len(rows), :2], rows[k, 2]
            corners = np.roll(line, -at[k], axis=0)[: (at[(k + 1) % len(rows)] - at[k]) % len(line) + 1]
            assert off_arc(corners, start, end, bulge) < 2 * SAME
            assert rise(corners, bulge_to_arc(start, end, bulge)[3]) < BOW + SAME
            arcs += 1
    assert arcs <= 15  # of some 270 curves: where one bends like an arc for four chords, to the bound
