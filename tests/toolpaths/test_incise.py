"""Grooves: as deep as they are wide, flat where the cap is reached, nothing outside the letters."""

import math

import numpy as np
import pytest
from shapely import MultiPolygon, Point, Polygon, box

from signplan.geometry.shapes import EMPTY, area_of, grow
from signplan.operations.model import Grooving
from signplan.toolpaths.cut import cut, missed
from signplan.toolpaths.incise import Piece, incise, trails
from signplan.toolpaths.model import Move
from signplan.toolpaths.removal import BoardField

BAR = area_of(box(0, 0, 40, 6))
STAR = area_of(
    Polygon(
        [
            (20 + r * math.sin(a * math.pi / 5), 20 + r * math.cos(a * math.pi / 5))
            for a in range(10)
            for r in [18 if a % 2 == 0 else 8]
        ]
    )
)
RING = area_of(Point(20, 20).buffer(15, quad_segs=40).difference(Point(20, 20).buffer(9, quad_segs=40)))


def grooving(
    region: MultiPolygon, cap: float = 99.0, top: float = 0.0, cleared: MultiPolygon = EMPTY
) -> Grooving:
    return Grooving(region=region, top=top, cap=cap, cleared=cleared)


@pytest.mark.parametrize("angle", [60.0, 90.0])
@pytest.mark.parametrize("region", [BAR, STAR, RING], ids=["bar", "star", "ring"])
def test_a_groove_has_the_depth_that_its_walls_ask_for(region, angle, machine, tool, operation):
    vee = tool("vee", 25, angle=angle)
    path = cut(operation("incise", vee, grooving(region), 20), vee, machine)
    board = BoardField.over((-2, -4, 42, 42), 0.2).cut(path, vee)
    cells = board.inside(region)
    xx, yy = np.meshgrid(board.x, board.y)
    wall = np.array(
        [region.boundary.distance(Point(x, y)) for x, y in zip(xx[cells], yy[cells], strict=True)]
    )
    want = -wall / math.tan(math.radians(angle / 2))
    off = board.heights[cells] - want
    assert np.abs(off).max() < 0.12
    assert board.heights[~board.inside(grow(region, 0.02))].min() == 0


def test_the_middle_of_a_bar_is_half_its_width_over_the_tangent(tool, machine):
    strokes = incise(grooving(BAR), tool("vee", 12, angle=60, tip=0.4), machine)
    deepest = min(stroke.points[:, 2].min() for stroke in strokes)
    assert deepest == pytest.approx(-(3 - 0.2) / math.tan(math.radians(30)))


def test_corners_come_up_to_the_face(tool, machine):
    strokes = incise(grooving(BAR), tool("vee", 12, angle=90), machine)
    points = np.concatenate([stroke.points for stroke in strokes])
    for corner in [(0, 0), (40, 0), (40, 6), (0, 6)]:
        assert np.linalg.norm(points - (*corner, 0), axis=1).min() < 1e-3


def test_a_capped_groove_has_a_flat_bottom(machine, tool, operation):
    vee = tool("vee", 12, angle=90, tip=0.2)
    wide = area_of(box(0, 0, 10, 7))
    path = cut(operation("incise", vee, grooving(wide, cap=2.0), 2), vee, machine)
    board = BoardField.over((-1, -1, 11, 8), 0.05).cut(path, vee)
    assert board.heights.min() == pytest.approx(-2)
    bottom = board.inside(box(2, 2, 8, 5))
    assert board.heights[bottom].max() <= -2 + 0.1 * math.sqrt(2) + 0.03, "in a corner; a tenth beside it"
    assert np.percentile(board.heights[bottom], 90) <= -2 + 0.1


def test_a_bottom_that_another_cutter_cleared_is_only_gone_round(tool, machine):
    vee = tool("vee", 12, angle=90)
    wide = area_of(box(0, 0, 60, 30))
    alone = incise(grooving(wide, cap=2.0), vee, machine)
    helped = incise(grooving(wide, cap=2.0, cleared=area_of(box(2, 2, 58, 28))), vee, machine)
    assert sum(len(stroke.points) for stroke in helped) < sum(len(stroke.points) for stroke in alone) / 4


def test_grooves_and_the_rims_of_their_bottoms_make_one_trail(machine, tool, operation):
    vee = tool("vee", 12, angle=90)
    work = grooving(area_of(box(0, 0, 40, 12)), cap=2.0, cleared=area_of(box(2, 2, 38, 10)))
    path = cut(operation("incise", vee, work, 2), vee, machine)
    assert path.moves.tolist().count(Move.RAPID) == 2


def test_nothing_is_cut_where_the_tip_is_too_wide(machine, tool, operation):
    vee = tool("vee", 12, angle=60, tip=2.0)
    region = area_of(box(0, 0, 30, 6).union(box(30, 2.5, 40, 3.5)))
    groove = operation("incise", vee, grooving(region), 4)
    path = cut(groove, vee, machine)
    assert path.points[1:-1, 0].max() < 31
    assert missed(groove, vee) == pytest.approx(10 + 4 * (1 - math.pi / 4), abs=0.5)


def test_a_groove_in_lowered_ground_is_measured_from_that_ground(tool, machine):
    strokes = incise(grooving(BAR, top=5.0), tool("vee", 12, angle=90), machine)
    assert min(stroke.points[:, 2].min() for stroke in strokes) == pytest.approx(-8)
    assert {stroke.top for stroke in strokes} == {-5}


def straight(start: int, end: int, *places: tuple[float, float]) -> Piece:
    return Piece(points=np.array([(*place, 1.0) for place in places]), start=start, end=end)


def test_trails_cover_every_piece_once_and_go_back_over_short_ones():
    cross = [
        straight(0, 1, (0, 0), (10, 0)),
        straight(1, 2, (10, 0), (20, 0)),
        straight(1, 3, (10, 0), (10, 5)),
        straight(1, 4, (10, 0), (10, -5)),
    ]
    (line,) = trails(cross, back=30)
    way = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
    assert way == pytest.approx(10 + 10 + 2 * 5 + 2 * 5)
    assert len(trails(cross, back=1)) == 2


def test_pieces_that_meet_end_to_end_are_one():
    chain = [straight(k, k + 1, (k, 0), (k + 1, 0)) for k in range(5)]
    (line,) = trails([chain[k] for k in (3, 0, 4, 1, 2)], back=0)
    assert line[:, 0].tolist() in ([0, 1, 2, 3, 4, 5], [5, 4, 3, 2, 1, 0])
