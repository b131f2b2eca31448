"""Clearing: all of a region, nothing outside it, climb along its walls."""

from itertools import pairwise

import numpy as np
import pytest
from shapely import LinearRing, MultiPolygon, Point, Polygon, box

from signplan.geometry.shapes import EMPTY, area_of, grow
from signplan.operations.model import Clearing
from signplan.operations.practice import STEPOVER
from signplan.toolpaths.clear import (
    centres_of,
    clear,
    clear_rest,
    quickest_passes,
    ring_passes,
    row_passes,
    swept,
)
from signplan.toolpaths.cut import cut, missed
from signplan.toolpaths.links import joined
from signplan.toolpaths.removal import BoardField

PLATE = area_of(box(0, 0, 90, 60).difference(box(30, 20, 50, 45)).difference(Point(70, 30).buffer(8)))
DUMBBELL = area_of(box(0, 0, 30, 30).union(box(60, 0, 90, 30)).union(box(30, 12, 60, 18)))


def clearing(region: MultiPolygon, floor: float = 8.0, within: MultiPolygon | None = None) -> Clearing:
    return Clearing(region=region, within=within or region, top=0.0, floor=floor)


@pytest.mark.parametrize("region", [PLATE, DUMBBELL], ids=["plate", "dumbbell"])
@pytest.mark.parametrize("diameter", [3.0, 5.5, 10.0])
def test_a_swept_region_is_what_its_cutter_can_reach(region, diameter, machine, tool, operation):
    cutter = tool("flat", diameter)
    rough = operation("rough", cutter, clearing(region), 8)
    path = cut(rough, cutter, machine)
    board = BoardField.over((-3, -3, 93, 63), 0.3).cut(path, cutter)
    assert board.heights.min() == pytest.approx(-8)
    assert board.area((board.heights < 0) & ~board.inside(grow(region, 0.02))) == 0
    left = board.area(board.inside(region) & (board.heights > -8 + 1e-6))
    edge = 0.3 * 0.3 * 12
    never = missed(rough, cutter)
    assert left == pytest.approx(never, abs=edge + 0.03 * never)
    assert board.struck == 0


def test_no_pass_is_deeper_than_two_diameters(machine, tool, operation):
    cutter = tool("flat", 3)
    path = cut(operation("rough", cutter, clearing(PLATE, 20), 20), cutter, machine)
    board = BoardField.over((-3, -3, 93, 63), 0.5).cut(path, cutter)
    assert board.heights.min() == pytest.approx(-20)
    assert board.bite == pytest.approx(5)


@pytest.mark.parametrize("make", [ring_passes, row_passes])
def test_passes_stay_in_the_room_of_the_cutter(make):
    room = grow(PLATE, -3).geoms[0]
    for line in make(room, 2.4):
        assert room.buffer(0.01).covers(
            LinearRing(line) if len(line) > 3 else Polygon(line[[0, 1, 0]]).boundary
        )


def test_rings_run_with_the_wall_on_their_right():
    rings = ring_passes(grow(PLATE, -3).geoms[0], 2.4)
    outermost = max(rings, key=lambda ring: Polygon(ring).area)
    assert LinearRing(outermost).is_ccw
    round_island = [
        ring for ring in rings if Polygon(ring).contains(Point(40, 30)) and not LinearRing(ring).is_ccw
    ]
    assert round_island, "the island is gone round clockwise"


def test_rings_come_from_the_inside_out():
    rings = ring_passes(box(0, 0, 50, 50), 4.0)
    areas = [Polygon(ring).area for ring in rings]
    assert areas == sorted(areas)


def test_rows_are_at_most_a_stepover_apart_and_cut_both_sides():
    lines = row_passes(box(0, 0, 100, 37), 4.0)
    heights = sorted({round(float(line[0, 1]), 6) for line in lines[:-1]})
    assert np.diff(heights).max() <= 4.0
    assert Polygon(lines[-1]).equals(box(0, 0, 100, 37)), "once round the wall at the end"


def test_the_quicker_of_rings_and_rows_is_taken(machine):
    comb = area_of(box(0, 0, 200, 3))
    lines = quickest_passes(comb.geoms[0], 2.4, None, machine)
    assert len(lines) == len(ring_passes(comb.geoms[0], 2.4))


def test_an_open_side_is_run_past_and_a_wall_is_not(machine, tool, operation):
    region, outside = area_of(box(0, 0, 40, 20)), box(40, -5, 50, 25)
    cutter = tool("flat", 6)
    work = clearing(region, within=area_of(region.union(outside)))
    board = BoardField.over((-5, -8, 60, 28), 0.25).cut(
        cut(operation("rough", cutter, work, 8), cutter, machine), cutter
    )
    assert board.heights[board.inside(box(30, 3, 39.9, 17))].max() == pytest.approx(-8)
    assert board.heights[board.inside(box(-5, -8, -0.05, 28))].min() == 0


def test_rest_takes_what_the_larger_cutter_left_and_little_else(machine, tool):
    small = tool("flat", 3)
    by_large = grow(grow(PLATE, -5), 5)
    left = area_of(grow(area_of(PLATE.difference(by_large)), 0.25).intersection(PLATE))
    work = Clearing(region=left, within=PLATE, top=0.0, floor=8.0)
    path = joined(clear_rest(work, small), tool=small, machine=machine, room=centres_of(work, small))
    board = BoardField.over((-3, -3, 93, 63), 0.2)
    board.heights[board.inside(by_large)] = -8
    board.cut(path, small)
    reach = grow(grow(PLATE, -1.5), 1.49)
    assert board.heights[board.inside(reach)].max() == pytest.approx(-8)
    assert board.struck == 0
    whole = joined(
        clear(clearing(PLATE), small, machine), tool=small, machine=machine, room=grow(PLATE, -1.5)
    )
    assert path.cut_length < whole.cut_length / 4


def test_each_place_is_finished_before_the_next(tool):
    region = area_of(box(0, 0, 3, 3).union(box(50, 0, 53, 3)))
    work = Clearing(region=region, within=area_of(box(0, 0, 53, 3)), top=0.0, floor=12.0)
    strokes = clear_rest(work, tool("flat", 2))
    right = [stroke.points[0, 0] > 25 for stroke in strokes]
    assert sum(a != b for a, b in pairwise(right)) == 1


def test_what_strokes_sweep_in_plan(machine, tool):
    strokes = clear(clearing(area_of(box(0, 0, 40, 20))), tool("flat", 6), machine)
    square_corners = 4 * (1 - np.pi / 4) * 9
    assert swept(strokes, 3).area == pytest.approx(800 - square_corners, rel=1e-3)
    assert swept((), 3) is EMPTY


def test_the_stepover_leaves_nothing_in_any_corner():
    assert STEPOVER <= 0.5


def test_the_same_work_gives_the_same_path(machine, tool, operation):
    cutter = tool("flat", 4)
    paths = [cut(operation("rough", cutter, clearing(PLATE), 8), cutter, machine) for _ in range(2)]
    assert paths[0].points.tobytes() == paths[1].points.tobytes()
