"""Pockets: nested levels, mouths without a corner left in them, and a cutter that gets in."""

from dataclasses import replace
from itertools import pairwise

import pytest
from shapely import LineString, Point, Polygon, box

from signplan.geometry.shapes import area_of, union
from signplan.job.shop import Tool
from signplan.sign.model import Bar, Item, Plate
from signplan.sign.pockets import MOUTH_MARGIN, Bench, foot, pockets_of, reach, slugs

OUTLINE = Polygon([(0, 0), (300, 0), (300, 150), (220, 200), (0, 200)])


def flat(diameter, number, cutting=40.0):
    return Tool.model_validate(
        {
            "number": number,
            "id": f"em-{diameter:g}",
            "shape": "flat",
            "diameter": diameter,
            "flutes": 2,
            "cutting_length": cutting,
            "reach": cutting + 5,
        },
        context={"units": "mm"},
    )


CUTTERS = (flat(12.0, 1), flat(6.0, 2, 20.0), flat(3.0, 3, 10.0))
BENCH = Bench(outline=OUTLINE, wall=20.0, cutters=CUTTERS)


def rod(start, end, size=12.0, z=0.0):
    return Bar(start=start, end=end, z=z, profile="round", width=size, height=size)


def plate(x, y, long=60.0, wide=20.0, thickness=10.0, z=0.0):
    shape = box(x - long / 2, y - wide / 2, x + long / 2, y + wide / 2)
    return Plate(outline=area_of(shape), z=z, thickness=thickness)


def item(*parts, clearance=1.0, split="both"):
    return Item(
        name="Left hanger",
        key="hardware[0]",
        parts=parts,
        clearance=clearance,
        depth_clearance=clearance,
        split=split,
    )


def test_a_bar_makes_one_pocket_in_each_panel_and_they_coincide():
    (a,) = pockets_of(item(plate(100, 100)), "A", BENCH)
    (b,) = pockets_of(item(plate(100, 100)), "B", BENCH)
    assert (a.id, b.id) == ("A/left-hanger-1", "B/left-hanger-1")
    assert (a.above, a.depth) == (0, 6)
    assert a.drawn.equals(box(69, 89, 131, 111))
    assert a.as_cut.equals(b.as_cut)


def test_every_item_has_pockets_of_its_own_name():
    names = ["rod 1", "rod-1", "rod-1-2", "Rod_1", "стержень", "!", "rod"]
    found = slugs(names)
    assert found == ("rod-1", "rod-1-3", "rod-1-2", "rod-1-4", "item", "item-2", "rod")
    ids = [p.id for slug in found for p in pockets_of(item(plate(100, 100)), "A", BENCH, slug=slug)]
    assert len(set(ids)) == len(names)


def test_no_pocket_is_deeper_than_the_panel():
    bench = replace(BENCH, thickness=20.0)
    steps = item(plate(100, 100, thickness=60.0), plate(100, 100, long=30.0, thickness=80.0))
    assert [pocket.depth for pocket in pockets_of(steps, "A", bench)] == [20.0]


@pytest.mark.parametrize(("split", "panels"), [("A", "A"), ("B", "B"), ("both", "AB")])
def test_an_item_in_one_panel_leaves_the_other_alone(split, panels):
    made = [p for p in "AB" if pockets_of(item(plate(100, 100), split=split), p, BENCH)]
    assert "".join(made) == panels


def test_a_part_that_stays_in_one_panel_makes_no_pocket_in_the_other():
    high = item(plate(100, 100, z=9.0))
    assert pockets_of(high, "A", BENCH)[0].depth == 15.0
    assert pockets_of(high, "B", BENCH) == ()


def test_a_rod_off_the_glue_plane_is_as_wide_in_each_panel_as_it_is_there():
    part = rod((50, 100), (150, 100), z=4.0)
    assert (reach(part, "A"), reach(part, "B")) == (10.0, 2.0)
    assert foot(part, "A").bounds == pytest.approx((50, 94, 150, 106))
    half = (36 - 16) ** 0.5
    assert foot(part, "B").bounds == pytest.approx((50, 100 - half, 150, 100 + half))


def test_deeper_levels_lie_inside_shallower_ones():
    made = pockets_of(
        item(plate(100, 100, 120, 40, 6), plate(100, 100, 60, 20, 20), plate(100, 100, 30, 8, 30)), "A", BENCH
    )
    assert [(p.above, p.depth) for p in made] == [(0, 4), (4, 11), (11, 16)]
    for upper, lower in pairwise(made):
        assert upper.as_cut.covers(lower.as_cut)
    assert [p.id[-1] for p in made] == ["1", "2", "3"]


def test_floors_that_hardly_differ_are_one():
    (only,) = pockets_of(item(plate(100, 100, 60, 20, 10), plate(130, 100, 60, 20, 10.4)), "A", BENCH)
    assert only.depth == pytest.approx(6.2)


def test_a_level_that_adds_no_floor_is_left_out():
    (only,) = pockets_of(item(plate(100, 100, 60, 20, 10), plate(100, 100, 60, 20, 20)), "A", BENCH)
    assert (only.above, only.depth) == (0, 11)


def test_a_mouth_runs_past_the_edge_so_that_no_corner_stays_in_it():
    part = rod((100, 120), (100, 205))
    (pocket,) = pockets_of(item(part), "A", BENCH)
    assert pocket.mouth
    radius = 6.0
    assert pocket.drawn.bounds[3] == pytest.approx(200 + radius + MOUTH_MARGIN)
    assert pocket.as_cut.covers(LineString([(93.001, 150), (93.001, 200), (106.999, 200), (106.999, 150)]))


def test_a_mouth_through_a_slanting_edge():
    (pocket,) = pockets_of(item(rod((260, 100), (260, 230))), "A", BENCH)
    edge = LineString([(220, 200), (300, 150)])
    assert pocket.as_cut.covers(edge.intersection(box(253.01, 0, 266.99, 300)))


def test_a_plate_that_overhangs_the_edge_has_its_mouth_square_to_it():
    (pocket,) = pockets_of(item(plate(0, 100, 61, 20)), "A", BENCH)
    assert pocket.mouth
    assert pocket.as_cut.covers(LineString([(0, 89.001), (0, 110.999)]))
    assert pocket.drawn.bounds[0] == pytest.approx(-7)


def test_a_hole_in_the_sign_can_be_a_mouth_too():
    frame = OUTLINE.difference(box(80, 80, 120, 120))
    bench = Bench(outline=frame, wall=10.0, cutters=CUTTERS)
    (pocket,) = pockets_of(item(plate(125, 100, 30, 20)), "A", bench)
    assert pocket.as_cut.covers(LineString([(120, 89.001), (120, 110.999)]))


def test_steel_inside_with_its_clearance_over_the_edge_is_no_mouth():
    """The pocket breaks the edge where nothing should leave: the wall check must see it."""
    (pocket,) = pockets_of(item(plate(30.5, 100, 60, 20)), "A", BENCH)
    assert not pocket.mouth


def test_the_largest_cutter_that_gets_in_is_taken():
    def tool(*parts):
        return pockets_of(item(*parts, clearance=0.5), "A", BENCH)[-1].tool

    assert tool(plate(100, 100, 60, 20)) == "em-12"
    assert tool(plate(100, 100, 60, 10)) == "em-6"
    assert tool(plate(100, 100, 60, 4)) == "em-3"


def test_a_cutter_that_is_too_short_is_not():
    (pocket,) = pockets_of(item(plate(100, 100, 60, 10, 46.0), clearance=0.5), "A", BENCH)
    assert pocket.tool == "em-12"


def test_a_slot_that_no_cutter_enters_gets_the_smallest_and_stays_uncut():
    (pocket,) = pockets_of(item(plate(100, 100, 60, 1), clearance=0.5), "A", BENCH)
    assert pocket.tool == "em-3"
    assert pocket.as_cut.is_empty


def test_without_any_flat_cutter_the_pocket_is_only_drawn():
    bench = Bench(outline=OUTLINE, wall=20.0, cutters=())
    (pocket,) = pockets_of(item(plate(100, 100)), "A", bench)
    assert pocket.tool == ""


def test_steel_always_goes_into_what_is_cut_for_it():
    """Also where the deeper level's corner bites reach through the shallower one."""
    steel = item(plate(100, 100, 80, 30, 6), plate(100, 100, 80, 14, 16), clearance=0.4)
    for pocket in pockets_of(steel, "A", BENCH):
        parts = [p for p in steel.parts if reach(p, "A") > pocket.above]
        for part in parts:
            assert foot(part, "A").difference(pocket.as_cut).area < 1e-6


def test_what_is_cut_is_never_more_than_drawn_but_for_its_bites():
    (pocket,) = pockets_of(item(plate(100, 100), clearance=0.3), "A", BENCH)
    bites = union(Point(xy).buffer(6.001 + 6, quad_segs=200) for xy in pocket.relief)
    assert len(pocket.relief) == 4
    assert pocket.as_cut.difference(pocket.drawn).difference(bites).area < 1e-6
