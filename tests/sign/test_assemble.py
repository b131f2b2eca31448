"""The closing check: room on every side, in space, nominal and at worst registration."""

import math
from dataclasses import replace

import pytest
from shapely import MultiPolygon, affinity, box

from signplan.geometry.shapes import area_of
from signplan.sign.assemble import closing, overlaps
from signplan.sign.model import Bar, Item, PanelPlan, Plate, Sign

PLATE = """
[[hardware]]
name = "bar"
clearance = 1.5
depth_clearance = {floor}
split = "{split}"
[[hardware.part]]
shape = "flat"
size = [120, 30]
thickness = 10
center = [300, 150]
"""
ROD = """
[[hardware]]
name = "rod"
clearance = 1.5
depth_clearance = {floor}
held_by = "set screw"
[[hardware.part]]
shape = "round"
diameter = 20
from = [200, 150]
to = [400, 150]
"""


def fit(sign, play=0.0):
    (only,) = closing(sign, {item.name: play for item in sign.items})
    return only


def moved(sign, dx=0.0, dy=0.0, dz=0.0):
    """The same pockets, the steel moved."""

    def move(part):
        if isinstance(part, Plate):
            return replace(part, outline=affinity.translate(part.outline, dx, dy), z=part.z + dz)
        (x0, y0), (x1, y1) = part.start, part.end
        return replace(part, start=(x0 + dx, y0 + dy), end=(x1 + dx, y1 + dy), z=part.z + dz)

    items = tuple(replace(item, parts=tuple(move(p) for p in item.parts)) for item in sign.items)
    return replace(sign, items=items)


def test_the_room_is_the_clearance(judge):
    assert fit(judge(PLATE.format(floor=5, split="both")).sign).room == pytest.approx(1.5, abs=1e-6)


def test_the_floor_counts_as_well(judge):
    found = fit(judge(PLATE.format(floor=0.5, split="both")).sign)
    assert found.room == pytest.approx(0.5)
    assert abs(found.spot[2]) == 5.0


def test_a_corner_that_the_cutter_left_is_nearer_than_the_walls(judge):
    """c 1.8, r 6: too much for relief; sqrt(2) (c - r) + r = .060."""
    found = fit(
        judge(PLATE.format(floor=5, split="both").replace("clearance = 1.5\n", "clearance = 1.8\n")).sign
    )
    assert found.room == pytest.approx(math.sqrt(2) * (1.8 - 6) + 6, abs=0.01)


@pytest.mark.parametrize("play", [0.0, 0.4, 1.3])
def test_registration_takes_its_play_sideways_only(judge, play):
    sign = judge(PLATE.format(floor=0.5, split="both")).sign
    assert fit(sign, play).room_worst == pytest.approx(min(0.5, 1.5 - play), abs=1e-6)
    assert fit(sign, play).room == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("dx", "dy", "room", "edge"),
    [(0.5, 0, 1.0, (360.5, None)), (0, -1.2, 0.3, (None, 133.8)), (3, 0, -1.5, (363, None))],
)
def test_steel_out_of_place_says_where_it_is_nearest(judge, dx, dy, room, edge):
    found = fit(moved(judge(PLATE.format(floor=5, split="both")).sign, dx, dy))
    assert found.room == pytest.approx(room, abs=0.02)
    for value, wanted in zip(found.spot, edge, strict=False):
        assert wanted is None or value == pytest.approx(wanted, abs=0.02)


@pytest.mark.parametrize(("dz", "panel"), [(0.8, "A"), (-0.8, "B")])
def test_steel_that_stands_too_high_names_the_panel(judge, dz, panel):
    found = fit(moved(judge(PLATE.format(floor=0.5, split="both")).sign, dz=dz))
    assert found.room == pytest.approx(-0.3)
    assert found.panel == panel


def test_an_item_wholly_in_one_panel_touches_the_other_at_the_glue_plane(judge):
    """It rests on panel B, where none is needed: the least room is over the floor."""
    found = fit(judge(PLATE.format(floor=0.5, split="A")).sign)
    assert found.room == pytest.approx(0.5, abs=1e-9)


def test_the_flank_of_a_rod_against_the_edge_of_a_step(judge):
    """Pushed sideways under an overhang the nearest point is not at the widest section."""
    sign = judge(ROD.format(floor=12)).sign
    a, b = sign.panels
    shelf = tuple(replace(p, as_cut=area_of(p.as_cut.intersection(box(0, 0, 600, 157)))) for p in b.pockets)
    pinched = replace(sign, panels=(a, replace(b, pockets=shelf)))
    assert fit(pinched).room == pytest.approx(-3.0, abs=0.01)
    lifted = moved(pinched, dz=9.0)
    flank = math.hypot(7, 9) - 10
    assert fit(lifted).room == pytest.approx(flank, abs=0.01)


def test_a_missing_pocket_is_as_deep_an_overlap_as_the_steel_reaches(judge):
    sign = judge(PLATE.format(floor=0.5, split="both")).sign
    a, b = sign.panels
    found = fit(replace(sign, panels=(a, replace(b, pockets=()))))
    assert (found.room, found.panel) == (pytest.approx(-5.0), "B")


def test_far_from_any_board_the_room_is_still_measured(judge):
    sign = judge(PLATE.format(floor=5, split="both")).sign
    wide = area_of(box(200, 50, 400, 250))
    panels = tuple(
        replace(p, pockets=tuple(replace(q, as_cut=wide, depth=39.0) for q in p.pockets)) for p in sign.panels
    )
    assert fit(replace(sign, panels=panels)).room == pytest.approx(34.0)


def test_two_items_in_one_place():
    plate = Plate(outline=area_of(box(0, 0, 50, 20)), z=0, thickness=10)
    rod = Bar(start=(25, -30), end=(25, 60), z=0, profile="round", width=8, height=8)
    assert _overlaps(plate, rod) == pytest.approx(8.0, abs=0.05)
    assert _overlaps(plate, replace(rod, z=8.0)) == pytest.approx(1.0)
    assert _overlaps(plate, replace(rod, z=9.01)) is None
    assert _overlaps(plate, replace(rod, start=(54.01, -30), end=(54.01, 60))) is None
    assert _overlaps(plate, replace(rod, start=(53.9, -30), end=(53.9, 60))) == pytest.approx(0.1, abs=0.02)


def test_a_rod_through_the_hole_in_a_bar():
    """A bar on edge, drilled: strips above and below the hole, and the lengths beside it."""
    rod = Bar(start=(0, -50), end=(0, 50), z=0, profile="round", width=9.5, height=9.5)
    strip = MultiPolygon([box(-100, -3, 100, 3)])
    beside = MultiPolygon([box(-100, -3, -5.5, 3), box(5.5, -3, 100, 3)])
    drilled = [
        Plate(outline=strip, z=10.5, thickness=10),
        Plate(outline=strip, z=-10.5, thickness=10),
        Plate(outline=beside, z=0, thickness=11),
    ]
    assert all(_overlaps(part, rod) is None for part in drilled)
    assert _overlaps(replace(drilled[0], z=9.0), rod) is not None


def _overlaps(first, second):
    def item(name, part):
        return Item(name=name, key=name, parts=(part,), clearance=1, depth_clearance=1, split="both")

    outline = box(-500, -500, 500, 500)
    panels = PanelPlan(id="A", outline=outline), PanelPlan(id="B", outline=outline)
    sign = Sign(outline=outline, thickness=40, panels=panels, items=(item("a", first), item("b", second)))
    found = overlaps(sign)
    return found[0].by if found else None
