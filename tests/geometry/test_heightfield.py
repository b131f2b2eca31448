"""Height fields: sampled, bounded by a region, and dilated by a cutter."""

import math

import numpy as np
import pytest
import shapely
from shapely import Point, box

from signplan.geometry.heightfield import (
    SUBSAMPLES,
    Grid,
    ball_left,
    guarded,
    inside,
    lowest_near,
    rise,
    sampled,
    tool_heights,
)
from signplan.geometry.shapes import area_of

GRID = Grid.over((0, 0, 20, 10), 0.5, 0.5)


def test_a_grid_reaches_from_edge_to_edge():
    grid = Grid.over((1, 2, 11, 7), 0.3, 0.4)
    assert (grid.x[0], grid.x[-1], grid.y[0], grid.y[-1]) == pytest.approx((1, 11, 2, 7))
    assert grid.dx <= 0.3
    assert grid.dy <= 0.4


def test_a_finer_grid_holds_the_coarse_one():
    fine = GRID.finer(2, 6)
    assert fine.x[6 + 2 * 5] == pytest.approx(GRID.x[5])
    assert fine.y[6 + 2 * 5] == pytest.approx(GRID.y[5])
    assert fine.x[0] == pytest.approx(-6 * 0.25)


@pytest.mark.parametrize("shape", [box(2, 2, 9, 7), Point(8, 5).buffer(4).difference(Point(8, 5).buffer(2))])
def test_cells_inside_are_those_that_points_in_polygons_finds(shape):
    xx, yy = np.meshgrid(GRID.x, GRID.y)
    clear_of_the_rim = shapely.distance(shapely.points(xx, yy), shape.boundary) > 1e-6
    assert (inside(area_of(shape), GRID) == shapely.contains_xy(shape, xx, yy))[clear_of_the_rim].all()


def test_an_image_is_sampled_from_its_top_down():
    values = np.array([[1.0, 1.0], [0.0, 0.0]])
    field = sampled(values, (0, 0, 20, 10), GRID, mirrored=False)
    assert field[0].max() == 0
    assert field[-1].min() == 1
    assert field[GRID.rows // 2] == pytest.approx(np.full(GRID.columns, 0.5))


def test_a_mirrored_image_has_its_columns_the_other_way():
    values = np.array([[0.0, 1.0]])
    assert sampled(values, (0, 0, 20, 10), GRID, mirrored=False)[0, -1] == 1
    assert sampled(values, (0, 0, 20, 10), GRID, mirrored=True)[0, -1] == 0


def test_a_spike_finer_than_the_grid_is_kept():
    values = np.zeros((400, 800))
    values[203, 377] = 1.0
    assert sampled(values, (0, 0, 20, 10), GRID, mirrored=False).max() > 0.2


def test_a_wall_is_moved_out_and_a_slope_is_not():
    wall = np.where(GRID.x < 10, 0.0, -5.0)[None].repeat(GRID.rows, axis=0).astype(np.float32)
    first = int(np.flatnonzero(wall[0] < 0)[0])
    assert guarded(wall, GRID)[0, first] == 0
    assert guarded(wall, GRID)[0, first + 1] == -5
    slope = (-GRID.x)[None].repeat(GRID.rows, axis=0).astype(np.float32)
    assert (guarded(slope, GRID) == slope).all()


def test_the_underside_of_a_ball_is_a_sphere():
    assert rise("ball", 3, np.array([0, 3])) == pytest.approx([0, 3])
    assert rise("ball", 3, np.array([1.5])) == pytest.approx([3 - math.sqrt(9 - 2.25)])
    assert rise("flat", 3, np.array([1.5])) == [0]


@pytest.mark.parametrize("shape", ["flat", "ball"])
def test_tool_heights_are_the_brute_force_dilation(shape):
    radius = 2.0
    margin = math.ceil(radius / GRID.dx * SUBSAMPLES)
    fine = GRID.finer(SUBSAMPLES, margin)
    xx, yy = np.meshgrid(fine.x, fine.y)
    board = (np.sin(xx) * np.cos(yy * 1.3)).astype(np.float32)
    found = tool_heights(board, GRID, shape=shape, radius=radius, margin=margin)
    for i, j in [(0, 0), (5, 17), (20, 40), (11, 3)]:
        distance = np.hypot(xx - GRID.x[j], yy - GRID.y[i])
        near = distance <= radius
        want = (board[near] - rise(shape, radius, distance[near])).max()
        assert found[i, j] == pytest.approx(want, abs=1e-5)


def test_a_ball_stands_on_a_plane_with_its_tip():
    margin = math.ceil(3.0 / GRID.dx * SUBSAMPLES)
    board = np.zeros(
        (GRID.finer(SUBSAMPLES, margin).rows, GRID.finer(SUBSAMPLES, margin).columns), np.float32
    )
    assert tool_heights(board, GRID, shape="ball", radius=3.0, margin=margin) == pytest.approx(0)


@pytest.mark.parametrize("wide", [0.5, 1.5, 3.0])
def test_a_ball_leaves_a_groove_as_deep_as_it_comes_down_in_it(wide):
    """By hand: it stands on both edges of a groove w wide, its tip r - sqrt(r2 - w2 / 4) below them."""
    grid = Grid(x0=0, y0=0, dx=0.05, dy=0.05, rows=60, columns=160)
    groove = np.where(np.abs(grid.x - 4.0) < wide / 2, -5.0, 0.0)[None].repeat(grid.rows, axis=0)
    left = ball_left(groove.astype(np.float32), grid, 2.0)
    assert left[30, 80] == pytest.approx(math.sqrt(4 - wide**2 / 4) - 2, abs=0.08)
    assert (left[:, np.abs(grid.x - 4.0) > wide / 2 + 0.1] == 0).all()
    assert (left >= groove).all()


def test_what_is_no_sharper_than_a_ball_is_left_as_it_is():
    x = GRID.x - GRID.x.mean()
    bowl = (6 - np.sqrt(36 - np.clip(x, -4, 4) ** 2))[None].repeat(GRID.rows, axis=0).astype(np.float32)
    assert ball_left(bowl, GRID, 2.0) == pytest.approx(bowl, abs=0.03)


def test_the_lowest_near_is_that_of_a_disc():
    pit = np.zeros((41, 41), dtype=np.float32)
    pit[20, 20] = -1.0
    found = lowest_near(pit, Grid(x0=0, y0=0, dx=1, dy=1, rows=41, columns=41), 5.0)
    row, column = np.mgrid[-20:21, -20:21]
    assert ((found == -1) == (row**2 + column**2 <= 25)).all()
