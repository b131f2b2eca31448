"""Corner relief: only where steel meets the fillet, and where the wall stays."""

import math

import pytest
from shapely import MultiPolygon, Point, Polygon, box

from signplan.geometry.shapes import area_of, opened, union
from signplan.sign.relief import bitten, corner_room_needed, reliefs

EVERYWHERE = MultiPolygon([box(-500, -500, 500, 500)])


def bites(steel, clearance, radius, *, keep=EVERYWHERE):
    drawn = area_of(steel.buffer(clearance, join_style="mitre"))
    cleared = opened(drawn, radius)
    found = reliefs(drawn, cleared, area_of(steel), radius=radius, keep_within=keep)
    return found, union([cleared, bitten(found, drawn, radius)])


@pytest.mark.parametrize("clearance", [0.0, 0.5, 1.7])
def test_relieved_corners_take_the_steel(clearance):
    steel = box(0, 0, 80, 40)
    found, cut = bites(steel, clearance, 6.0)
    assert len(found) == 4
    assert steel.difference(cut).area < 1e-3


@pytest.mark.parametrize("radius", [3.0, 6.0, 10.0])
def test_the_rule_agrees_with_geometry(radius):
    """Just inside the rule steel meets the fillet, just outside it does not."""
    steel = box(0, 0, 80, 40)
    needed = corner_room_needed(radius)
    assert len(bites(steel, needed - 0.02, radius)[0]) == 4
    assert len(bites(steel, needed + 0.02, radius)[0]) == 0


def test_a_bite_goes_through_the_drawn_corner():
    (first, *_), _ = bites(box(0, 0, 80, 40), 0.5, 6.0)
    corner = min([(-0.5, -0.5), (80.5, -0.5), (80.5, 40.5), (-0.5, 40.5)], key=lambda c: math.dist(c, first))
    assert math.dist(corner, first) == pytest.approx(6.0)


def test_only_the_corners_with_steel_in_them():
    """Steel with one sharp corner in a pocket with four."""
    drawn = area_of(box(-1, -1, 81, 41))
    steel = area_of(Polygon([(0, 0), (60, 0), (60, 20), (20, 40), (10, 40), (0, 20)]))
    cleared = opened(drawn, 6.0)
    (only,) = reliefs(drawn, cleared, steel, radius=6.0, keep_within=EVERYWHERE)
    assert math.dist(only, (-1, -1)) == pytest.approx(6.0)


def test_a_bite_that_would_break_the_wall_goes_along_the_other_one():
    """Below there is no board to spare: the bite goes sideways, r along the wall."""
    keep = MultiPolygon([box(-50, -0.5 - 0.01, 150, 90)])
    found, cut = bites(box(0, 0, 80, 40), 0.5, 6.0, keep=keep)
    assert len(found) == 4
    assert cut.bounds[1] >= -0.5 - 0.02
    assert box(0, 0, 80, 40).difference(cut).area < 1e-3


def test_a_corner_that_is_round_already_is_relieved_at_its_farthest():
    steel = box(0, 0, 80, 40).buffer(-2).buffer(2, quad_segs=64)
    found, cut = bites(steel, 0.2, 6.0)
    assert len(found) == 4
    assert steel.difference(cut).area < 1e-3


def test_an_inner_corner_needs_none():
    """A cutter goes round a corner that points into the pocket."""
    steel = Polygon([(0, 0), (80, 0), (80, 20), (30, 20), (30, 60), (0, 60)])
    found, _ = bites(steel, 0.5, 6.0)
    assert all(Point(xy).distance(Point(30, 20)) > 10 for xy in found)
    assert len(found) == 5
