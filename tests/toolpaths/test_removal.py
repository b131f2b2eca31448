"""The height field against shapes whose size is known."""

import math

import numpy as np
import pytest
from shapely import LineString

from signplan.toolpaths.model import Move, Toolpath
from signplan.toolpaths.removal import BoardField, underside


def along(points: list[tuple[float, float, float]], move: Move = Move.CUT) -> Toolpath:
    return Toolpath(points=np.array(points, dtype=float), moves=np.full(len(points) - 1, move, dtype=np.int8))


def test_a_flat_cutter_leaves_a_slot_with_round_ends(tool):
    board = BoardField.over((0, 0, 60, 30), 0.1).cut(along([(15, 15, -4), (45, 15, -4)]), tool("flat", 8))
    assert board.area(board.heights == -4) == pytest.approx(30 * 8 + math.pi * 16, rel=2e-3)
    assert board.area(board.heights < 0) == board.area(board.heights == -4)
    assert not (board.heights[~board.inside(LineString([(15, 15), (45, 15)]).buffer(4.01))] < 0).any()


def test_a_ramp_cuts_deepest_where_the_cutter_was_deepest(tool):
    board = BoardField.over((0, 0, 60, 30), 0.5).cut(along([(15, 15, 0), (45, 15, -6)]), tool("flat", 8))
    middle = board.heights[len(board.y) // 2]
    assert middle[np.searchsorted(board.x, 30)] == pytest.approx(-(30 - 15 + 4) / 30 * 6, abs=0.15)
    assert board.heights.min() == pytest.approx(-6)


def test_a_vee_leaves_a_groove_as_wide_as_its_angle_says(tool):
    vee = tool("vee", 12, angle=60, tip=0.5)
    board = BoardField.over((0, 0, 40, 20), 0.05).cut(along([(10, 10, -4), (30, 10, -4)]), vee)
    column = board.heights[:, len(board.x) // 2]
    assert (column < 0).sum() * 0.05 == pytest.approx(0.5 + 2 * 4 * math.tan(math.radians(30)), abs=0.06)


def test_a_round_over_leaves_a_quarter_circle(tool):
    distance = np.array([3.0, 4.5, 9.0, 9.1])
    rise = underside(tool("round-over", 18, radius=6), distance)
    assert rise == pytest.approx([0, math.sqrt(36 - 4.5**2), 6, math.inf])


@pytest.mark.parametrize(
    ("shape", "more"), [("ball", {}), ("vee", {"angle": 60}), ("vee", {"angle": 90, "tip": 0.6})]
)
def test_a_sloping_move_is_swept_as_by_many_places_along_it(shape, more, tool):
    cutter = tool(shape, 8, **more)
    move = np.array([(10.0, 12.0, -1.0), (30.0, 17.0, -4.5)])
    exact = BoardField.over((0, 0, 40, 30), 0.4).cut(along([tuple(p) for p in move]), cutter)
    xx, yy = np.meshgrid(exact.x, exact.y)
    many = np.zeros_like(xx)
    for share in np.linspace(0, 1, 2000):
        x, y, z = move[0] + share * (move[1] - move[0])
        many = np.minimum(many, z + underside(cutter, np.hypot(xx - x, yy - y)))
    assert np.abs(exact.heights - many).max() < 0.02


@pytest.mark.parametrize("shape", ["ball", "drill"])
def test_other_forms_reach_their_tip(shape, tool):
    board = BoardField.over((0, 0, 20, 20), 0.1).cut(
        along([(10.05, 10.05, 5), (10.05, 10.05, -3)]), tool(shape, 6)
    )
    assert board.heights.min() == pytest.approx(-3)


def test_a_rapid_into_board_is_noticed(tool):
    board = BoardField.over((0, 0, 40, 20), 0.5)
    assert board.cut(along([(10, 10, 5), (30, 10, 5)], Move.RAPID), tool("flat", 6)).struck == 0
    assert board.cut(along([(10, 10, -2), (30, 10, -2)], Move.RAPID), tool("flat", 6)).struck == 2


def test_the_bite_is_what_is_taken_at_once(tool):
    board = BoardField.over((0, 0, 40, 20), 0.5)
    board.cut(along([(10, 10, -2), (30, 10, -2), (30, 10, -5), (10, 10, -5)]), tool("flat", 6))
    assert board.bite == 3
