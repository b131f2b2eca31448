"""What each treatment becomes: its operations, its cutters, where its depth counts from."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import MultiPolygon, Point, box

from signplan.findings import Severity
from signplan.operations.build import build_operations
from signplan.operations.model import Clearing, Grooving, Rounding, Sculpting, Walls
from signplan.sign.model import HeightMap


def built(sign, job, shop):
    operations, findings = build_operations(sign, job, shop)
    assert not [each for each in findings if each.severity is Severity.ERROR]
    return {each.id: each for each in operations}


def test_ground_that_reaches_the_edge_is_open_there(carving, sign, job, shop):
    ground = carving("raise", box(0, 0, 600, 100).difference(box(100, 30, 200, 60)), 6.0)
    rough = built(sign(ground), job(), shop())["A/outer/raise-1/rough"].work
    assert isinstance(rough, Clearing)
    assert rough.within.intersects(Point(300, -3))
    assert not rough.within.intersects(Point(300, 100))


def test_incise_on_lowered_ground_is_measured_from_it(carving, sign, job, shop):
    made = built(
        sign(
            carving("lower", box(100, 100, 400, 200), 5.0),
            carving("incise", box(150, 140, 300, 146), 6.0, tools=("v-60",)),
        ),
        job(),
        shop(),
    )
    groove = made["A/outer/incise-1/incise"]
    assert isinstance(groove.work, Grooving)
    assert (groove.work.top, groove.work.cap) == (5.0, 11.0)
    assert groove.depth == pytest.approx(5 + 3 * 3**0.5)


def test_an_edge_on_lowered_ground_stands_on_it(carving, sign, job, shop):
    ground = carving("raise", box(0, 0, 600, 400).difference(box(100, 100, 200, 200)), 6.0)
    rim = box(0, 0, 600, 400).difference(box(6, 6, 594, 394))
    edge = carving("edge", rim, 6.0, tools=("ro-6",))
    work = built(sign(ground, edge), job(), shop())["A/outer/edge-1/edge"].work
    assert isinstance(work, Rounding)
    assert (work.top, work.depth) == (6.0, 12.0)


def test_the_wide_bottom_of_a_groove_is_cleared_by_a_flat_cutter_first(carving, sign, job, shop):
    wide = carving("incise", box(100, 100, 300, 150), 4.0, tools=("v-60",))
    made = built(sign(wide), job(), shop())
    assert made["A/outer/incise-1/rough"].tool == "em-12"
    assert made["A/outer/incise-1/rough"].stage < made["A/outer/incise-1/incise"].stage
    groove = made["A/outer/incise-1/incise"].work
    assert isinstance(groove, Grooving)
    assert groove.cleared.area > 0.9 * box(103, 103, 297, 147).area


def test_a_relief_is_shown_to_the_cutter_as_its_side_reads(everything, job, shop):
    work = built(everything, job(), shop())["A/outer/relief-1/relief-finish"].work
    assert isinstance(work, Sculpting)
    assert (work.heights.box, work.heights.mirrored) == ((380, 60, 500, 150), False)


def test_bores_of_two_sizes_are_two_operations(carving, sign, job, shop):
    holes = MultiPolygon([Point(50, 50).buffer(5), Point(90, 50).buffer(5), Point(150, 50).buffer(8)])
    made = built(sign(carving("bore", holes, 60.0)), job(), shop())
    assert [each.depth > 38 for each in made.values() if each.kind == "bore"] == [True, True]
    assert made["A/outer/bore-1/bore"].tool == "drill-10"
    assert made["A/outer/bore-1-2/bore"].tool == "em-12"


def test_named_tools_are_used_in_the_order_named(carving, sign, job, shop):
    named = carving("lower", box(40, 40, 120, 100), 5.0, tools=("em-6", "em-3"))
    made = built(sign(named), job(), shop())
    assert [each.tool for each in made.values() if each.feature == "A/lower-1"] == ["em-6", "em-3", "em-3"]


def test_a_hole_that_is_not_round_is_cleared(carving, sign, job, shop):
    made = built(sign(carving("bore", MultiPolygon([box(50, 50, 80, 70)]), 12.0)), job(), shop())
    assert {each.kind for each in made.values() if each.feature == "A/bore-1"} == {"rough", "finish"}
    finish = made["A/outer/bore-1/finish"].work
    assert isinstance(finish, Walls)
    assert finish.floor == 12


def test_a_shallow_relief_needs_no_roughing(carving, sign, job, shop):
    ramp = HeightMap(values=np.tile(np.linspace(0, 1, 40), (30, 1)), box=(380, 60, 500, 150))
    made = built(sign(carving("relief", box(380, 60, 500, 150), 0.7, relief=ramp)), job(), shop())
    assert [each.kind for each in made.values() if each.feature == "A/relief-1"] == ["relief-finish"]


def test_a_relief_of_side_b_reads_right_on_its_own_face(carving, sign, job, shop):
    """In the assembly frame its columns run against x; in the view of B's outer face they do not."""
    ramp = HeightMap(values=np.tile(np.linspace(0, 1, 40), (30, 1)), box=(100, 60, 220, 150), mirrored=True)
    bare = sign()
    relief = replace(carving("relief", box(100, 60, 220, 150), 8.0, relief=ramp), side="B", id="B/relief-1")
    b = replace(bare.panels[1], carvings=(relief,))
    made = built(replace(bare, panels=(bare.panels[0], b)), job(), shop())
    work = made["B/outer/relief-1/relief-finish"].work
    assert isinstance(work, Sculpting)
    assert (work.heights.box, work.heights.mirrored) == ((380, 60, 500, 150), False)


RAMP = HeightMap(values=np.tile(np.linspace(0, 1, 40), (30, 1)), box=(50, 50, 150, 150))


@pytest.mark.parametrize(
    ("treatment", "without", "lacks"),
    [
        ("incise", ("v-60", "v-90"), "The shop has no vee cutter for 'incise'."),
        ("edge", ("ro-6",), "The shop has no round-over cutter for 'edge'."),
        (
            "line",
            ("v-60", "v-90", "ball-6", "em-12", "em-6", "em-3"),
            "The shop has no vee, ball-nosed or flat cutter for 'line'.",
        ),
        ("relief", ("ball-6",), "The shop has no ball-nosed cutter for 'relief'."),
        (
            "bore",
            ("em-12", "em-6", "em-3", "drill-10"),
            "The shop has no drill or flat cutter for holes of 20.00 mm.",
        ),
    ],
)
def test_a_carving_that_the_shop_has_no_cutter_for_is_an_error_that_says_which(
    treatment, without, lacks, carving, sign, job, shop
):
    """Nothing is ever left out in silence."""
    one = carving(treatment, Point(100, 100).buffer(10, quad_segs=64), 5.0, relief=RAMP)
    operations, findings = build_operations(sign(one), job(), shop(*without))
    assert not [each for each in operations if each.feature == one.id]
    assert [(each.code, each.severity, each.message) for each in findings if each.where == "carve[1]"] == [
        ("tool-missing", Severity.ERROR, lacks)
    ]


@pytest.mark.parametrize(
    ("treatment", "tool", "shape"),
    [
        ("raise", "drill-10", "drill"),
        ("raise", "ro-6", "round-over cutter"),
        ("raise", "v-60", "vee cutter"),
        ("lower", "ball-6", "ball-nosed cutter"),
        ("relief", "v-60", "vee cutter"),
        ("bore", "v-60", "vee cutter"),
        ("incise", "em-3", "flat cutter"),
        ("line", "ro-6", "round-over cutter"),
        ("edge", "em-3", "flat cutter"),
    ],
)
def test_a_named_cutter_of_a_wrong_shape_is_an_error(treatment, tool, shape, carving, sign, job, shop):
    one = carving(treatment, box(50, 50, 150, 150), 5.0, tools=(tool,), relief=RAMP)
    operations, findings = build_operations(sign(one), job(), shop())
    assert not [each for each in operations if each.feature == one.id]
    (found,) = [each for each in findings if each.where == "carve[1]"]
    assert (found.code, found.severity) == ("tool-missing", Severity.ERROR)
    assert f"'{tool}'" in found.message
    assert f"is a {shape}; what it needs is a " in found.message
    assert "(" in found.hint, "the cutters of the shop that do"


def test_a_form_cutter_is_the_last_named_and_the_way_out_says_so(carving, sign, job, shop):
    one = carving("incise", box(50, 50, 150, 56), 5.0, tools=("em-3",))
    _, findings = build_operations(sign(one), job(), shop())
    (found,) = [each for each in findings if each.where == "carve[1]"]
    assert found.message == (
        "On side A, 'incise' takes its form from 'em-3', the last of its 'tools', which is a flat cutter; "
        "what it needs is a vee cutter."
    )
    assert found.hint == (
        "Name one that fits, the last if there are several (v-60, v-90), or leave 'tools' out."
    )


def test_a_named_drill_makes_holes_of_its_own_size_only(carving, sign, job, shop):
    holes = MultiPolygon(
        [Point(50, 50).buffer(5, quad_segs=32), Point(150, 50).buffer(8, quad_segs=32), box(200, 50, 230, 70)]
    )
    made = built(sign(carving("bore", holes, 12.0, tools=("drill-10",))), job(), shop())
    bored = {round(each.work.diameter): each.tool for each in made.values() if each.kind == "bore"}
    assert bored == {10: "drill-10", 16: "em-3"}, "em-3 is in the spindle for the square one anyway"
    assert {each.tool for each in made.values() if each.kind == "finish"} <= {"em-12", "em-6", "em-3"}
