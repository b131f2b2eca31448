"""Links: into the board, from stroke to stroke, and out; never sideways through what stands."""

import numpy as np
import pytest
from shapely import MultiPolygon, box

from signplan.errors import SignplanError
from signplan.operations.practice import APPROACH, RAMP
from signplan.toolpaths.links import Stroke, joined, level
from signplan.toolpaths.model import Move

RING = np.array([(0, 0), (40, 0), (40, 20), (0, 20), (0, 0)], dtype=float)
ROOM = MultiPolygon([box(-5, -5, 100, 30)])


def straight(x: float, z: float = -4.0, top: float = 0.0) -> Stroke:
    return Stroke(points=level(np.array([(x, 0.0), (x, 20.0)]), z), top=top)


def test_a_path_begins_and_ends_at_clearance_over_its_first_and_last_cut(machine, tool):
    path = joined([straight(0), straight(30)], tool=tool("flat", 6), machine=machine)
    assert path.points[0] == pytest.approx((0, 0, 10))
    assert path.points[-1] == pytest.approx((30, 20, 10))
    assert len(path.moves) == len(path.points) - 1


def test_without_room_it_lifts_to_clearance_between_strokes(machine, tool):
    path = joined([straight(0), straight(5)], tool=tool("flat", 6), machine=machine)
    sideways = np.linalg.norm(np.diff(path.points[:, :2], axis=0), axis=1) > 1e-9
    rapid = path.moves == Move.RAPID
    assert (path.points[1:, 2][sideways & rapid] == 10).all()
    assert (path.points[:-1, 2][sideways & rapid] == 10).all()
    assert (sideways & rapid).sum() == 1


def test_with_room_it_stays_down(machine, tool):
    path = joined([straight(0), straight(5)], tool=tool("flat", 6), machine=machine, room=ROOM)
    assert (path.points[1:-1, 2] == 10).sum() == 0
    assert path.moves.tolist().count(Move.RAPID) == 2


def test_a_link_longer_than_three_lifts_is_not_worth_it(machine, tool):
    path = joined([straight(0), straight(90)], tool=tool("flat", 6), machine=machine, room=ROOM)
    assert (path.points[:, 2] == 10).sum() == 4


def test_it_goes_round_a_corner_of_the_room_along_its_wall(machine, tool):
    room = MultiPolygon([box(0, 0, 30, 30).difference(box(10, 10, 30, 30))])
    strokes = [
        Stroke(points=level(np.array([(25.0, 5.0), (20.0, 10.0)]), -4), top=0.0),
        Stroke(points=level(np.array([(10.0, 20.0), (5.0, 25.0)]), -4), top=0.0),
    ]
    path = joined(strokes, tool=tool("flat", 6), machine=machine, room=room)
    assert (path.points[1:-1, 2] == 10).sum() == 0
    assert [10, 10, -4] in path.points.tolist()


def test_a_ring_is_entered_by_a_ramp_of_the_stated_slope(machine, tool):
    stroke = Stroke(points=level(RING, -4), top=0.0, closed=True)
    path = joined([stroke], tool=tool("flat", 6), machine=machine)
    steps = np.diff(path.points, axis=0)
    falling = (steps[:, 2] < -1e-9) & (path.moves == Move.CUT)
    flat = np.linalg.norm(steps[falling, :2], axis=1)
    assert -steps[falling, 2].sum() == pytest.approx(4)
    assert -steps[falling, 2] / flat == pytest.approx(RAMP)


def test_after_its_ramp_a_ring_is_cut_whole_at_depth(machine, tool):
    stroke = Stroke(points=level(RING, -4), top=0.0, closed=True)
    path = joined([stroke], tool=tool("flat", 6), machine=machine)
    level_cut = (path.points[1:, 2] == -4) & (path.points[:-1, 2] == -4)
    assert np.linalg.norm(np.diff(path.points, axis=0), axis=1)[level_cut].sum() == pytest.approx(120)


def test_a_deep_ramp_goes_round_more_than_once(machine, tool):
    small = RING / 20
    stroke = Stroke(points=level(small, -6), top=0.0, closed=True)
    path = joined([stroke], tool=tool("flat", 3), machine=machine)
    cut = path.moves == Move.CUT
    length = np.linalg.norm(np.diff(path.points[:, :2], axis=0), axis=1)[cut].sum()
    assert length == pytest.approx(6 / RAMP + 6)


def test_an_open_stroke_is_ramped_along_and_back(machine, tool):
    path = joined([straight(0)], tool=tool("flat", 6), machine=machine)
    level_cut = (path.points[1:, 2] == -4) & (path.points[:-1, 2] == -4)
    assert np.linalg.norm(np.diff(path.points, axis=0), axis=1)[level_cut].sum() == pytest.approx(20)
    assert path.points[:, :2].min(axis=0) == pytest.approx((0, 0))


def test_a_pointed_cutter_plunges(machine, tool):
    path = joined([straight(0)], tool=tool("vee", 6, angle=60), machine=machine)
    assert path.points.tolist() == [
        [0, 0, 10],
        [0, 0, APPROACH],
        [0, 0, 0],
        [0, 0, -4],
        [0, 20, -4],
        [0, 20, 10],
    ]
    assert path.moves.tolist() == [Move.RAPID, Move.PLUNGE, Move.PLUNGE, Move.CUT, Move.RAPID]


def test_a_cutter_that_cannot_plunge_ramps_even_a_speck(machine, tool):
    speck = Stroke(points=level(RING / 100, -2), top=0.0, closed=True)
    path = joined([speck], tool=tool("flat", 12, plunges=False), machine=machine)
    down = np.diff(path.points[:, 2]) < -1e-9
    assert (path.points[1:, 2][down & (path.moves == Move.PLUNGE)] >= 0).all()


def test_the_next_level_starts_from_the_floor_of_the_last(machine, tool):
    strokes = [
        Stroke(points=level(RING, -3), top=0.0, closed=True),
        Stroke(points=level(RING, -6), top=-3.0, closed=True),
    ]
    path = joined(strokes, tool=tool("flat", 6), machine=machine)
    assert path.moves.tolist().count(Move.RAPID) == 2
    assert path.points[:, 2].min() == -6


def test_nothing_to_cut_is_an_error(machine, tool):
    with pytest.raises(SignplanError, match="nothing to cut"):
        joined([], tool=tool("flat", 6), machine=machine)
