"""Holes: pecks that clear their chips, helices that make a hole to size."""

import math

import numpy as np
import pytest
from shapely import Point

from signplan.operations.model import Drilling
from signplan.toolpaths.cut import cut
from signplan.toolpaths.drill import bore, holes_in_order, is_to_size
from signplan.toolpaths.model import Move
from signplan.toolpaths.removal import BoardField


def drilling(
    diameter: float = 10.0, depth: float = 16.0, points=((20.0, 20.0),), top: float = 0.0
) -> Drilling:
    return Drilling(points=points, diameter=diameter, top=top, depth=depth)


def test_a_drill_pecks_two_diameters_at_a_time_and_comes_out_after_each(machine, tool, operation):
    cutter = tool("drill", 4, angle=90)
    path = cut(operation("bore", cutter, drilling(4, 30), 32), cutter, machine)
    ends = path.points[1:][path.moves == Move.PLUNGE][:, 2]
    assert ends == pytest.approx([-8, -16, -24, -32])
    after = path.points[2:][path.moves[:-1] == Move.PLUNGE][:, 2]
    assert (after > 0).all()


def test_the_full_diameter_reaches_the_depth_and_the_point_goes_on(machine, tool, operation):
    cutter = tool("drill", 6, angle=118)
    path = cut(operation("bore", cutter, drilling(6, 20), 22), cutter, machine)
    assert path.points[:, 2].min() == pytest.approx(-(20 + 1.80258), abs=1e-5)


def test_no_rapid_of_a_peck_touches_the_bottom_of_the_hole(machine, tool, operation):
    cutter = tool("drill", 4, angle=118)
    path = cut(operation("bore", cutter, drilling(4, 30), 32), cutter, machine)
    assert BoardField.over((15, 15, 25, 25), 0.2).cut(path, cutter).struck == 0


@pytest.mark.parametrize("diameter", [4.0, 6.0, 9.0, 10.0])
def test_a_smaller_flat_cutter_bores_the_hole_to_size(diameter, machine, tool, operation):
    cutter = tool("flat", diameter)
    path = cut(operation("dowel", cutter, drilling(10), 16), cutter, machine)
    board = BoardField.over((12, 12, 28, 28), 0.1).cut(path, cutter)
    assert board.area(board.heights < -15.999) == pytest.approx(math.pi * 25, rel=0.01)
    assert board.area(board.heights < 0) == pytest.approx(math.pi * 25, rel=0.01)
    assert board.struck == 0


def test_a_wide_hole_is_opened_from_the_inside_out(machine, tool, operation):
    cutter = tool("flat", 4)
    path = cut(operation("bore", cutter, drilling(30, 6), 6), cutter, machine)
    board = BoardField.over((0, 0, 40, 40), 0.2).cut(path, cutter)
    assert board.heights[board.inside(Point(20, 20).buffer(14.9))].max() == pytest.approx(-6)
    assert board.area(board.heights < 0) == pytest.approx(math.pi * 225, rel=0.01)


def test_a_helix_turns_counter_clockwise_climbing_along_the_wall(tool):
    points = bore(drilling(), tool("flat", 6))[0].points
    angle = np.unwrap(np.arctan2(points[:, 1] - 20, points[:, 0] - 20))
    assert (np.diff(angle) > 0).all()


def test_a_cutter_of_the_holes_size_goes_straight_down(tool):
    assert is_to_size(drilling(10), tool("flat", 10))
    assert is_to_size(drilling(10), tool("drill", 9.9))
    assert not is_to_size(drilling(10), tool("flat", 8))


def test_holes_are_visited_nearest_next():
    points = ((0.0, 0.0), (100.0, 0.0), (10.0, 0.0), (90.0, 0.0))
    assert holes_in_order(drilling(points=points)) == [(0, 0), (10, 0), (90, 0), (100, 0)]


def test_holes_in_lowered_ground_are_reached_from_above_the_face(machine, tool, operation):
    cutter = tool("drill", 6)
    path = cut(operation("bore", cutter, drilling(6, 20, top=8.0), 22), cutter, machine)
    assert path.points[[0, -1], 2].tolist() == [10, 10]
