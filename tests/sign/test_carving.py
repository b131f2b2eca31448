"""Carvings: placed on their side, with the cutter whose form they take and the depth that follows."""

import math

import pytest
from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon, affinity, box

from signplan.sign.carving import on_their_ground, vee_depth, vee_for, widest_stroke
from signplan.sign.model import Carving
from signplan.sign.terraces import terraces

FLAG = Polygon([(110, 120), (160, 120), (160, 130), (120, 130), (120, 170), (110, 170)])


def carve(treatment, *, side="A", depth="depth = 5", more=""):
    return (
        f'[[carve]]\nside = "{side}"\nas = "{treatment}"\n'
        f'art = {{ file = "face.dxf", layer = "ART" }}\n{depth}\n{more}\n'
    )


def only(judged, panel="A"):
    (carving,) = judged.sign.panel(panel).carvings
    return carving


def test_raised_letters_keep_and_the_ground_round_them_goes(judge):
    carving = only(judge(carve("raise"), ART=FLAG))
    assert carving.keep.equals(FLAG)
    assert carving.shape.area == pytest.approx(600 * 400 - 5000 - FLAG.area)
    assert not carving.shape.intersects(FLAG.buffer(-0.01))


def test_the_ground_may_be_a_part_of_the_face(judge):
    within = 'within = { file = "face.dxf", layer = "GROUND" }'
    carving = only(judge(carve("raise", more=within), ART=FLAG, GROUND=box(100, 100, 200, 200)))
    assert carving.shape.area == pytest.approx(100 * 100 - FLAG.area)


def test_the_same_art_on_both_sides_reads_right_on_each(judge):
    judged = judge(carve("lower", side="both"), ART=FLAG)
    assert only(judged, "A").shape.equals(FLAG)
    assert only(judged, "B").shape.equals(affinity.scale(FLAG, -1, 1, origin=(300, 0)))
    assert [only(judged, panel).id for panel in "AB"] == ["A/lower-1", "B/lower-1"]


def test_ids_count_each_treatment_on_its_own(judge):
    text = carve("lower") + carve("incise") + carve("lower")
    assert [c.id for c in judge(text, ART=FLAG).sign.panels[0].carvings] == [
        "A/lower-1",
        "A/incise-1",
        "A/lower-2",
    ]


def test_a_carving_knows_where_it_came_from(judge):
    carving = only(judge(carve("lower"), ART=MultiPolygon([FLAG, box(300, 100, 320, 120)])))
    assert (carving.key, carving.sources) == ("carve[0]", ("ART-0", "ART-1"))


@pytest.mark.parametrize(("width", "depth"), [(6.0, 3 / math.tan(math.pi / 6)), (30.0, 5.0)])
def test_an_incised_stroke_is_as_deep_as_its_width_asks_for_up_to_the_cap(judge, width, depth):
    carving = only(judge(carve("incise"), ART=box(100, 100, 300, 100 + width)))
    assert carving.depth == pytest.approx(min(depth, 5.0), abs=0.02)


def test_the_vee_is_the_most_pointed_that_is_wide_enough(shop):
    assert vee_for(10.0, shop).id == "v-60"
    assert vee_for(14.0, shop).id == "v-90"
    assert vee_for(40.0, shop).id == "v-90"


def test_a_named_vee_is_taken(judge):
    assert only(judge(carve("incise", more='tools = ["v-90"]'), ART=FLAG)).cutter.id == "v-90"


@pytest.mark.parametrize("width", [3.0, 11.0])
def test_widest_stroke_and_its_depth(shop, width):
    """d = w / (2 tan 30)."""
    stroke = widest_stroke(MultiPolygon([box(0, 0, 100, 2), box(0, 10, 100, 10 + width)]))
    assert stroke == pytest.approx(width, abs=0.03)
    assert vee_depth(width, shop.tool("v-60")) == pytest.approx(width / 2 / math.tan(math.pi / 6))


def test_a_line_is_cut_along_open_lines_and_round_closed_ones(judge):
    drawn = MultiLineString([[(100, 100), (300, 100)]])
    carving = only(judge(carve("line", more='tools = ["v-90"]'), ART=drawn))
    assert carving.lines == (LineString([(100, 100), (300, 100)]),)
    assert carving.shape.bounds[1] == pytest.approx(95, abs=0.01)
    ring = only(judge(carve("line", more='tools = ["em-6"]'), ART=box(100, 100, 200, 200)))
    assert ring.lines[0].is_closed
    assert ring.shape.bounds == pytest.approx((97, 97, 203, 203), abs=0.01)


def test_an_edge_is_as_deep_as_its_cutter_is_round(judge):
    edge = only(judge('[[carve]]\nside = "A"\nas = "edge"\n'))
    assert (edge.depth, edge.tools) == (6.0, ("ro-6",))
    assert edge.shape.covers(Point(5.9, 200))
    assert not edge.shape.covers(Point(6.1, 200))
    assert edge.lines[0].is_closed


@pytest.mark.parametrize(
    ("lines", "depth", "wide"),
    [
        ('tools = ["v-90"]\ndepth = 3', 3.0, 3.0),  # a chamfer
        ('tools = ["ro-6"]\ndepth = 8', 8.0, 6.0),  # sunk 2 deeper than it is round
        ('tools = ["ro-6"]\ndepth = 4', 4.0, 6 - math.sqrt(36 - 16)),  # not all of its curve
    ],
)
def test_an_edge_is_as_deep_as_the_job_says(judge, lines, depth, wide):
    edge = only(judge(f'[[carve]]\nside = "A"\nas = "edge"\n{lines}\n'))
    assert edge.depth == depth
    assert edge.shape.covers(Point(wide - 0.05, 200))
    assert not edge.shape.covers(Point(wide + 0.05, 200))


@pytest.mark.parametrize(("side", "mirrored"), [("A", False), ("B", True)])
def test_a_relief_lies_on_the_box_of_its_art(judge, side, mirrored):
    text = carve("relief", side=side, more='image = "heights.png"')
    relief = only(judge(text, ART=box(100, 100, 180, 140)), side).relief
    assert relief.mirrored == mirrored
    assert relief.box == ((100, 100, 180, 140) if side == "A" else (420, 100, 500, 140))
    assert relief.values.shape == (8, 8)


def test_holes_are_bored_where_they_are(judge):
    holes = MultiPolygon([Point(100, 100).buffer(3), Point(200, 100).buffer(3)])
    assert only(judge(carve("bore"), ART=holes)).shape.symmetric_difference(holes).area < 1e-4


def test_what_stands_on_lowered_ground_knows_how_deep_it_is(shop):
    def made(treatment, shape, depth):
        shape = MultiPolygon([shape])
        return Carving(id=treatment, key="", side="A", treatment=treatment, shape=shape, depth=depth)

    ground = made("lower", box(0, 0, 100, 100), 5.0)
    on_it = made("incise", box(10, 10, 90, 20), 3.0)
    half_on_it = made("line", box(50, 50, 150, 60), 3.0)
    edge = made("edge", box(50, 50, 150, 60), 6.0)
    hole = made("bore", box(10, 30, 20, 40), 12.0)
    stood = on_their_ground([ground, on_it, half_on_it, edge, hole])
    assert [(each.ground, each.depth) for each in stood] == [(0, 5), (5, 3), (0, 3), (5, 6), (5, 7)]
    assert [terraces(each)[-1].depth for each in stood] == [5, 8, 3, 11, 12]


def test_open_art_is_found_with_its_ends(judge):
    found = judge(carve("lower"), ART=LineString([(100, 100), (150, 100), (150, 160)])).the("art-open")
    assert found.message == (
        "Layer 'ART' is to be cut as 'lower', but ART-0 is open: its ends, at (100.00 mm, 100.00 mm) and "
        "(150.00 mm, 160.00 mm), lie 78.10 mm apart."
    )
    assert found.where == "carve[0].art"


def test_art_outside_says_where_and_by_how_much(judge):
    found = judge(carve("incise", side="B"), ART=box(560, 100, 612.5, 105)).the("art-outside")
    assert found.message == (
        "On side B, layer 'ART': outline ART-0 leaves the sign by 12.50 mm at (-12.50 mm, 100.00 mm)."
    )
    assert (found.measured, found.unit, found.panel) == (12.5, "mm", "B")


def test_a_ground_that_leaves_the_sign_is_art_outside_too(judge):
    text = carve("raise", more='within = { file = "face.dxf", layer = "GROUND" }')
    found = judge(text, ART=FLAG, GROUND=box(-3, 100, 200, 200)).the("art-outside")
    assert (found.where, found.measured) == ("carve[0].within", 3.0)
    assert "layer 'GROUND'" in found.message


def test_an_open_line_is_no_mistake_in_a_line(judge):
    judged = judge(carve("line"), ART=LineString([(100, 100), (150, 100)]))
    assert "art-open" not in judged.codes
