"""Centre lines: at depth, in passes, without lifting between them."""

import numpy as np
import pytest
from shapely import LineString

from signplan.operations.model import Following
from signplan.toolpaths.cut import cut
from signplan.toolpaths.follow import follow
from signplan.toolpaths.model import Move

OPEN = LineString([(0, 0), (40, 0), (60, 20)])
CLOSED = LineString([(100, 0), (140, 0), (120, 30), (100, 0)])


def following(*lines: LineString, depth: float = 3.0, top: float = 0.0) -> Following:
    return Following(lines=lines, top=top, depth=depth)


def test_a_shallow_line_is_one_pass(tool):
    (stroke,) = follow(following(OPEN), tool("ball", 6))
    assert stroke.points[:, :2].tolist() == [list(point) for point in OPEN.coords]
    assert set(stroke.points[:, 2]) == {-3.0}


def test_a_deep_open_line_goes_there_and_back_without_lifting(machine, tool, operation):
    cutter = tool("vee", 3, angle=30)
    path = cut(operation("line", cutter, following(OPEN, depth=11), 11), cutter, machine)
    assert path.moves.tolist().count(Move.RAPID) == 2
    assert sorted(set(np.round(path.points[:, 2], 6)))[:2] == [-11, -5.5]


def test_a_closed_line_is_spiralled_down(machine, tool, operation):
    cutter = tool("flat", 3)
    path = cut(operation("line", cutter, following(CLOSED, depth=11), 11), cutter, machine)
    assert path.moves.tolist().count(Move.PLUNGE) == 1
    assert path.moves.tolist().count(Move.RAPID) == 3 - 1


def test_lines_follow_each_other_from_the_nearer_end(tool):
    far = LineString([(200, 0), (70, 20)])
    strokes = follow(following(OPEN, far), tool("ball", 6))
    assert strokes[1].points[0, :2] == pytest.approx((70, 20))


def test_a_line_on_lowered_ground_starts_there(tool):
    (stroke,) = follow(following(OPEN, top=5.0, depth=8.0), tool("ball", 6))
    assert stroke.top == -5
    assert stroke.points[0, 2] == -8
