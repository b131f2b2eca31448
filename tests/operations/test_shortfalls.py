"""What the shop lacks, said so that a person can do something about it."""

import re

import numpy as np
import pytest
from shapely import Point, box

from signplan.findings import Severity
from signplan.geometry.shapes import area_of
from signplan.operations.cutters import bench
from signplan.operations.model import Sculpting
from signplan.operations.room import Room, leftover
from signplan.operations.shortfalls import (
    Spot,
    no_cutter,
    no_hole_cutter,
    no_way_in,
    none_of,
    relief_too_fine,
    told_once,
    too_fine,
    too_short,
    unknown_tool,
)
from signplan.sign.model import HeightMap
from signplan.sign.register import view

SPOT = Spot(key="carve[3]", panel="B", back=view("B", "outer", 600).inverse(), units="mm")


@pytest.fixture
def foam(shop):
    return bench(shop(), "foam")


@pytest.fixture
def em_6(shop):
    return shop().tool("em-6")


def test_corners_are_no_finding(em_6):
    assert list(too_fine(Room(region=area_of(box(0, 0, 60, 60))), em_6, SPOT)) == []


def test_a_gap_is_a_warning_with_its_place_in_the_assembly_frame(em_6):
    room = Room(region=area_of(box(0, 0, 60, 60).union(box(60, 29, 90, 31))))
    (found,) = too_fine(room, em_6, SPOT)
    assert (found.code, found.severity, found.where, found.panel) == (
        "art-too-fine",
        Severity.WARNING,
        "carve[3]",
        "B",
    )
    assert box(510, 29, 540, 31).contains(Point(found.spot))
    assert (found.measured, found.wanted) == (6, pytest.approx(2, abs=0.02))
    x, y = found.spot
    area = leftover(room, 3)[-1][0].area
    assert found.message == (
        "On side B, 'em-6' (6.00 mm) does not get into 1 place of the artwork, "
        f"{area:.1f} mm2 together, the worst at ({x:.2f} mm, {y:.2f} mm); a cutter of 2.00 mm would."
    )


def test_a_place_that_is_lost_altogether_is_an_error(em_6):
    room = Room(region=area_of(box(0, 0, 60, 60).union(box(100, 0, 110, 4))))
    (found,) = too_fine(room, em_6, SPOT)
    assert found.severity is Severity.ERROR
    assert found.wanted == pytest.approx(4, abs=0.02)


def grooved(wide: float) -> Sculpting:
    """A relief of 120 by 80 with grooves 4 mm deep every 20 mm."""
    column = np.tile(np.arange(1200) / 10 + 0.05, (800, 1))
    values = np.where(column % 20 < wide, 0.5, 1.0)
    heights = HeightMap(values=values, box=(0, 0, 120, 80))
    return Sculpting(region=area_of(box(0, 0, 120, 80)), heights=heights, depth=8.0, allowance=0.0)


def test_what_no_ball_reaches_of_a_relief_is_told_with_its_area_its_place_and_the_cutter(shop):
    """By hand: a 6 mm ball comes 0.17 mm down into a groove of 2 mm and leaves 3.83 mm of its depth."""
    (found,) = relief_too_fine(grooved(2.0), shop().tool("ball-6"), SPOT)
    assert (found.code, found.severity, found.where, found.panel) == (
        "art-too-fine",
        Severity.WARNING,
        "carve[3]",
        "B",
    )
    assert found.measured == 6
    assert 1.2 <= found.wanted <= 2.1
    x, y = found.spot
    assert (600 - x) % 20 < 2, "in a groove, which side B shows mirrored"
    assert 0 <= y <= 80
    said = re.search(r"bottom of ([\d.]+) mm2 .* where it leaves ([\d.]+) mm; a ball-nosed", found.message)
    assert float(said[1]) == pytest.approx(5 * 2 * 74, rel=0.25)
    assert float(said[2]) == pytest.approx(3.83, abs=0.3)


def test_a_relief_that_its_ball_reaches_is_no_finding(shop):
    assert list(relief_too_fine(grooved(8.0), shop().tool("ball-6"), SPOT)) == []


def test_the_same_artwork_on_both_sides_is_told_once_with_both_places(em_6):
    room = Room(region=area_of(box(0, 0, 60, 60).union(box(60, 29, 90, 31))))
    a = Spot(key="carve[3]", panel="A", back=view("A", "outer", 600).inverse(), units="mm")
    (on_a,), (on_b,) = too_fine(room, em_6, a), too_fine(room, em_6, SPOT)
    other = no_way_in("pocket", em_6, a)
    found = list(told_once([other, on_a, other, on_b], "mm"))
    assert [each.code for each in found] == ["tool-missing", "art-too-fine", "tool-missing"]
    (x, y), (u, v) = on_a.spot, on_b.spot
    assert found[1].message == (f"{on_a.message} The same on side B, at ({u:.2f} mm, {v:.2f} mm).")
    assert (found[1].spot, found[1].panel) == ((x, y), "A")
    assert u == pytest.approx(600 - x, abs=0.01)


def test_what_is_fine_on_one_side_otherwise_than_on_the_other_is_told_twice(em_6):
    a = Spot(key="carve[3]", panel="A", back=view("A", "outer", 600).inverse(), units="mm")
    rooms = [Room(region=area_of(box(0, 0, 60, 60).union(box(60, 29, 90, up)))) for up in (31, 32)]
    both = [*too_fine(rooms[0], em_6, a), *too_fine(rooms[1], em_6, SPOT)]
    assert list(told_once(both, "mm")) == both


def test_a_named_cutter_too_short_is_an_error_at_its_holder_and_a_warning_at_its_shank(em_6):
    assert list(too_short(em_6, 30, SPOT)) == []
    (shank,), (holder,) = too_short(em_6, 35, SPOT), too_short(em_6, 45, SPOT)
    assert (shank.severity, shank.measured) == (Severity.WARNING, 30)
    assert (holder.severity, holder.measured) == (Severity.ERROR, 40)
    assert holder.message == "'em-6' reaches 40.0 mm, but the cut is 45.0 mm deep."


def test_missing_and_short_are_told_apart(shop, foam):
    assert no_cutter(("ball",), 30, foam, SPOT, "'relief'").code == "tool-reach"
    assert no_cutter(("ball",), 30, bench(shop("ball-6"), "foam"), SPOT, "'relief'").code == "tool-missing"
    assert no_hole_cutter((6.0, 50.0), foam, SPOT, "holes").code == "tool-reach"
    assert no_hole_cutter((2.0, 5.0), foam, SPOT, "holes").code == "tool-missing"


def test_every_shortfall_says_where_and_what_to_do(em_6, foam):
    for found in (
        none_of(("vee",), SPOT, "'incise'"),
        no_cutter(("flat",), 99, foam, SPOT, "'lower'"),
        no_way_in("A/bar-1", em_6, SPOT),
        unknown_tool("em-99", SPOT),
    ):
        assert found.severity is Severity.ERROR
        assert (found.where, found.panel) == ("carve[3]", "B")
        assert found.hint
