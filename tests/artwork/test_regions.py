import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Polygon

from signplan.artwork import regions
from signplan.artwork.flatten import ShapeError
from signplan.artwork.regions import Ring, fill


def ring(*points, source="r"):
    return Ring(np.array([*points, points[0]], dtype=float), (source,))


def square(left, size, clockwise=False):
    corners = [(left, left), (left + size, left), (left + size, left + size), (left, left + size)]
    return ring(*(corners[::-1] if clockwise else corners))


def test_even_odd_by_nesting():
    areas = fill([square(0, 10), square(2, 6), square(4, 2)])
    assert [area.shape.area for area in areas] == [100 - 36, 4]
    assert [area.rings for area in areas] == [(0, 1), (2,)]


def test_nonzero_goes_by_direction():
    assert [a.shape.area for a in fill([square(0, 10), square(2, 6)], "nonzero")] == [100]
    assert [a.shape.area for a in fill([square(0, 10), square(2, 6, clockwise=True)], "nonzero")] == [64]


def test_a_five_pointed_star_by_both_rules():
    star = ring((25, 1), (40, 45), (2, 18), (48, 18), (10, 45))
    (whole,) = fill([star], "nonzero")
    points = fill([star], "evenodd")
    assert len(points) == 5
    middle = whole.shape.area - sum(area.shape.area for area in points)
    assert middle > 0
    assert not any(area.shape.intersects(Polygon(whole.shape).centroid) for area in points)


def test_outlines_that_share_an_edge_become_one_area():
    (area,) = fill([ring((0, 0), (10, 0), (10, 10), (0, 10)), ring((10, 0), (20, 0), (20, 10), (10, 10))])
    assert area.shape.area == 200
    assert area.rings == (0, 1)


def test_a_scribble_is_refused_before_it_takes_minutes():
    points = np.random.default_rng(1).random((3000, 2)) * 100
    with pytest.raises(ShapeError, match="cross each other more than"):
        fill([Ring(np.concatenate((points, points[:1])), ())])


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, 9), st.integers(0, 9), st.integers(1, 6), st.integers(1, 6), st.booleans()),
        min_size=1,
        max_size=6,
    ),
    st.sampled_from(["evenodd", "nonzero"]),
)
def test_rectangles_anywhere_fill_the_same_cells_as_counting(boxes, rule):
    """Oracle: count on a grid how often the rectangles go round every cell."""
    count = np.zeros((20, 20), dtype=int)
    rings = []
    for x, y, w, h, clockwise in boxes:
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        rings.append(ring(*(corners[::-1] if clockwise else corners)))
        count[y : y + h, x : x + w] += -1 if clockwise else 1
    parity = np.zeros((20, 20), dtype=int)
    for x, y, w, h, _ in boxes:
        parity[y : y + h, x : x + w] += 1
    filled = (count != 0) if rule == "nonzero" else parity % 2 == 1
    areas = fill(rings, rule)
    assert sum(area.shape.area for area in areas) == pytest.approx(filled.sum())
    for row, column in np.argwhere(filled):
        assert any(area.shape.covers(regions.shapely.Point(column + 0.5, row + 0.5)) for area in areas)
