"""Walls, edges and the cut-out: to size, climb, held by what was asked for."""

import math

import numpy as np
import pytest
from shapely import LinearRing, LineString, MultiPolygon, Point, Polygon, box

from signplan.errors import SignplanError
from signplan.geometry.shapes import EMPTY, area_of, grow
from signplan.operations.model import CuttingOut, Rounding, Walls
from signplan.operations.practice import ALLOWANCE, BREAKTHROUGH
from signplan.toolpaths.contour import cut_out, edge, edge_offset, lead_room, wall_room, walls
from signplan.toolpaths.cut import cut, missed
from signplan.toolpaths.model import Move
from signplan.toolpaths.removal import BoardField

POCKET = area_of(box(0, 0, 50, 30))
OUTLINE = Polygon([(0, 0), (200, 0), (200, 80), (120, 140), (0, 140)])


def finishing(region: MultiPolygon = POCKET, **more: object) -> Walls:
    usual = {"region": region, "open_at": EMPTY, "top": 0.0, "floor": 8.0}
    return Walls(**{**usual, **more})


def cutting_out(**more: object) -> CuttingOut:
    usual = {"outline": OUTLINE, "depth": 38.0, "left": 5.0, "tabs": 5, "tab_width": 10.0}
    return CuttingOut(**{**usual, **more})


def lengths(points: np.ndarray) -> np.ndarray:
    return np.linalg.norm(np.diff(points, axis=0), axis=1)


# Walls


def test_a_wall_is_cut_to_size_at_full_depth(machine, tool, operation):
    cutter = tool("flat", 6)
    finish = operation("finish", cutter, finishing(), 8)
    path = cut(finish, cutter, machine)
    board = BoardField.over((-2, -2, 52, 32), 0.1)
    board.heights[board.inside(grow(grow(POCKET, -ALLOWANCE - 3), 3))] = -8
    board.cut(path, cutter)
    left = board.inside(POCKET) & (board.heights > -8)
    assert board.area(left) == pytest.approx(4 * (1 - math.pi / 4) * 9, abs=0.3)
    assert missed(finish, cutter) == pytest.approx(4 * (1 - math.pi / 4) * 9, abs=0.3)
    assert board.area(board.heights[~board.inside(grow(POCKET, 0.01))] < 0) == 0
    assert board.struck == 0


def test_a_wall_is_led_onto_and_off_sideways(tool):
    (stroke,) = walls(finishing(), tool("flat", 6))
    room = wall_room(finishing(), tool("flat", 6))
    for end in (stroke.points[0], stroke.points[-1]):
        assert Point(end[:2]).distance(room.boundary) > 2
    on_wall = [point for point in stroke.points if room.boundary.distance(Point(point[:2])) < 1e-6]
    ring = LinearRing([point[:2] for point in on_wall])
    assert ring.is_ccw
    assert ring.length == pytest.approx(2 * (44 + 24))


def test_an_island_is_gone_round_clockwise(tool):
    region = area_of(POCKET.difference(Point(25, 15).buffer(5)))
    rings = [stroke for stroke in walls(finishing(region), tool("flat", 4)) if len(stroke.points) > 40]
    around = [stroke for stroke in rings if Polygon(stroke.points[:, :2]).contains(Point(25, 15))]
    assert not LinearRing(around[0].points[:, :2]).is_ccw


def test_no_wall_is_cut_along_an_open_side(tool):
    open_at = box(50, -5, 60, 35)
    (stroke,) = walls(finishing(open_at=area_of(open_at)), tool("flat", 6))
    assert stroke.points[:, 0].max() > 50, "it runs out past the edge"
    at_edge = (stroke.points[:, 0] > 45) & (stroke.points[:, 1] > 5) & (stroke.points[:, 1] < 25)
    assert not at_edge.any()


def test_corners_are_relieved_by_a_step_aside(tool):
    cutter = tool("flat", 6)
    centre = (3 - 3 / math.sqrt(2), 3 - 3 / math.sqrt(2))
    (stroke,) = walls(finishing(relief=(centre,)), cutter)
    hits = np.linalg.norm(stroke.points[:, :2] - centre, axis=1) < 1e-9
    assert hits.sum() == 1
    k = int(np.flatnonzero(hits)[0])
    assert stroke.points[k - 1, :2] == pytest.approx((3, 3))
    assert stroke.points[k + 1, :2] == pytest.approx((3, 3))


def test_a_slot_no_wider_than_the_cutter_goes_down_in_passes(tool):
    slot = area_of(box(0, 0, 50, 6.2))
    strokes = walls(finishing(slot, floor=20.0), tool("flat", 6))
    assert [stroke.points[0, 2] for stroke in strokes] == pytest.approx([-10, -20])
    (stroke,) = walls(finishing(floor=20.0), tool("flat", 6))
    assert stroke.points[0, 2] == -20


def test_links_at_full_depth_keep_to_what_roughing_cleared():
    room = area_of(box(0, 0, 20, 20).union(box(20, 9.8, 60, 10.2)).union(box(60, 0, 80, 20)))
    cleared = lead_room(room)
    assert cleared.covers(box(1, 1, 19, 19))
    assert not cleared.intersects(Point(40, 10))


# Edge


@pytest.mark.parametrize(
    ("shape", "more", "offset"),
    [("round-over", {"radius": 6}, 3.0), ("vee", {"angle": 90, "tip": 1}, 0.5), ("ball", {}, 0.0)],
)
def test_a_form_cutter_touches_the_outline_with_its_narrow_end(shape, more, offset, tool):
    assert edge_offset(tool(shape, 18, **more)) == offset


def test_a_flat_cutter_shapes_no_edge(tool):
    with pytest.raises(SignplanError, match="shapes no edge"):
        edge_offset(tool("flat", 6))


def test_an_edge_is_rounded_to_its_radius_clockwise(machine, tool, operation):
    cutter = tool("round-over", 18, radius=6)
    work = Rounding(outline=OUTLINE, depth=6.0)
    (stroke,) = edge(work, cutter)
    assert not LinearRing(stroke.points[:, :2]).is_ccw
    board = BoardField.over((60, -3, 70, 10), 0.1).cut(
        cut(operation("edge", cutter, work, 6), cutter, machine), cutter
    )
    column = board.heights[:, 50]
    for y in (0.55, 2.05, 4.05, 5.95):
        want = -(6 - math.sqrt(36 - (6 - y) ** 2))
        assert column[np.argmin(abs(board.y - y))] == pytest.approx(want, abs=0.15)
    assert column[board.y > 6.1].max() == 0


def test_an_edge_on_lowered_ground_stands_on_that_ground(tool):
    (stroke,) = edge(Rounding(outline=OUTLINE, depth=14.0, top=8.0), tool("round-over", 18, radius=6))
    assert stroke.top == -8
    assert stroke.points[:, 2].max() == -14


# Cut-out


def test_the_cut_out_keeps_the_panel_and_goes_round_it_clockwise(machine, tool, operation):
    cutter = tool("flat", 6)
    for stroke in cut_out(cutting_out(), cutter):
        ring = LinearRing(stroke.points[:, :2])
        assert not ring.is_ccw
        assert LineString(stroke.points[:, :2]).distance(OUTLINE) == pytest.approx(3, abs=0.01)
    board = BoardField.over((-10, -10, 210, 150), 0.5)
    board.cut(cut(operation("cutout", cutter, cutting_out(), 38.5), cutter, machine), cutter)
    assert board.heights[board.inside(grow(OUTLINE, -0.02))].min() == 0
    assert board.heights.min() == pytest.approx(-38 - BREAKTHROUGH)
    assert board.struck == 0


def test_tabs_are_as_many_as_thick_and_as_wide_as_asked(tool):
    last = cut_out(cutting_out(), tool("flat", 6))[-1].points
    over = np.isclose(last[:, 2], -33)
    starts = np.flatnonzero(over[1:] & ~over[:-1])
    assert len(starts) == 5
    assert lengths(last)[over[1:] & over[:-1]].sum() == pytest.approx(5 * (10 + 6), rel=0.02)


def test_tabs_stand_where_the_outline_is_straight(tool):
    last = cut_out(cutting_out(tabs=8), tool("flat", 6))[-1].points
    over = np.isclose(last[:, 2], -33)
    starts, ends = np.flatnonzero(over[1:] & ~over[:-1]) + 1, np.flatnonzero(over[:-1] & ~over[1:])
    chords = np.linalg.norm(last[ends, :2] - last[starts, :2], axis=1)
    assert chords == pytest.approx(np.full(8, 10 + 6))


def test_a_skin_stays_everywhere(tool):
    strokes = cut_out(cutting_out(tabs=0, left=1.0), tool("flat", 6))
    assert min(stroke.points[:, 2].min() for stroke in strokes) == -37


def test_holes_of_the_outline_are_cut_before_the_outside(tool):
    outline = OUTLINE.difference(box(40, 40, 80, 80))
    strokes = cut_out(cutting_out(outline=outline), tool("flat", 6))
    first, last = Polygon(strokes[0].points[:, :2]), Polygon(strokes[-1].points[:, :2])
    assert box(40, 40, 80, 80).contains(first)
    assert last.contains(OUTLINE)


def test_a_ramp_does_not_cut_the_tabs_away(machine, tool, operation):
    cutter = tool("flat", 6)
    path = cut(operation("cutout", cutter, cutting_out(tabs=8), 38.5), cutter, machine)
    board = BoardField.over((-10, -10, 210, 150), 0.2).cut(path, cutter)
    slot = board.inside(grow(OUTLINE, 3).boundary.buffer(0.8))
    standing = board.area(slot & (board.heights > -33.01)) / 1.6
    assert standing == pytest.approx(8 * 10, rel=0.05)
    assert path.moves.tolist().count(Move.RAPID) == 2
