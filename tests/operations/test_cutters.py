"""The choice of cutters: by reach, by the narrowest place, by time."""

import numpy as np
import pytest
from shapely import Point, Polygon, box

from signplan.errors import SignplanError
from signplan.geometry.shapes import area_of
from signplan.operations.cutters import (
    bench,
    clearing_cutters,
    cutout_cutter,
    hole_cutter,
    line_cutter,
    point_length,
    quick_feed,
    relief_cutters,
    vee_cutter,
    vee_reach,
)
from signplan.operations.model import Sculpting
from signplan.operations.room import Room
from signplan.sign.model import HeightMap


def ids(tools):
    return [tool.id for tool in tools]


@pytest.fixture
def foam(shop):
    return bench(shop(), "foam")


# By reach


def test_a_cutter_that_does_not_reach_is_not_chosen(foam):
    room = Room(region=area_of(box(0, 0, 30, 30)))
    assert "em-3" in ids(clearing_cutters(room, (0, 10), foam))
    assert "em-3" not in ids(clearing_cutters(room, (0, 14), foam))
    assert clearing_cutters(room, (0, 51), foam) == ()


def test_of_two_cutters_of_one_size_the_longer_one_counts(shop):
    twin = shop().model_copy(
        update={
            "tools": (
                *shop().tools,
                shop().tools[2].model_copy(update={"id": "em-3-long", "cutting_length": 25.0, "reach": 30.0}),
            )
        }
    )
    assert "em-3-long" in ids(
        clearing_cutters(Room(region=area_of(box(0, 0, 30, 30))), (0, 14), bench(twin, "foam"))
    )


# By the narrowest place


def test_the_last_cutter_gets_into_the_corners(foam):
    square = Room(region=area_of(box(0, 0, 60, 60)))
    assert clearing_cutters(square, (0, 5), foam)[-1].id == "em-3"
    round_pocket = Room(region=area_of(Point(0, 0).buffer(30, quad_segs=64)))
    assert ids(clearing_cutters(round_pocket, (0, 5), foam)) == ["em-12"]


def test_a_place_that_only_the_smallest_enters_takes_the_smallest(foam):
    slot = Room(region=area_of(Point(0, 0).buffer(30, quad_segs=64).union(box(0, -1.6, 60, 1.6))))
    assert clearing_cutters(slot, (0, 5), foam)[-1].id == "em-3"


def test_nothing_enters_a_hair(foam):
    assert clearing_cutters(Room(region=area_of(box(0, 0, 60, 1))), (0, 5), foam) == ()


# By time


def test_a_large_ground_is_roughed_large_and_a_small_one_is_not(foam):
    assert ids(clearing_cutters(Room(region=area_of(box(0, 0, 400, 300))), (0, 5), foam)) == ["em-12", "em-3"]
    assert ids(clearing_cutters(Room(region=area_of(box(0, 0, 25, 20))), (0, 5), foam)) == ["em-3"]


def test_a_cutter_that_is_in_use_anyway_costs_no_change(foam):
    small = Room(region=area_of(box(0, 0, 100, 60)))
    (em_12,) = [tool for tool in foam.shop.tools if tool.id == "em-12"]
    assert foam.change_cost(em_12) == 12
    assert foam.with_tools([em_12]).change_cost(em_12) == 0
    assert len(clearing_cutters(small, (0, 5), foam.with_tools([em_12]))) >= len(
        clearing_cutters(small, (0, 5), foam)
    )


def test_a_given_last_cutter_is_kept(foam):
    (em_6,) = [tool for tool in foam.shop.tools if tool.id == "em-6"]
    assert (
        ids(clearing_cutters(Room(region=area_of(box(0, 0, 400, 300))), (0, 5), foam, last=em_6))[-1]
        == "em-6"
    )


def test_the_feed_for_comparing_is_the_chip_load_formula(foam):
    """feed = rpm x flutes x chip load: 24000 x 2 x 0.175 mm / 60 s, within what the machine can do."""
    tools = {tool.id: tool for tool in foam.shop.tools}
    assert quick_feed(tools["em-3"], foam.board, foam.shop.machine) == pytest.approx(140)
    assert quick_feed(tools["em-12"], foam.board, foam.shop.machine) == 250


# Other kinds of cutter


def test_holes_take_a_drill_of_their_size_or_what_fits(foam):
    chosen = {
        (10.0, False): "drill-10",
        (10.0, True): "em-6",
        (14.0, False): "em-12",
        (7.0, True): "em-6",
        (2.0, False): None,
    }
    for (diameter, flat), want in chosen.items():
        tool = hole_cutter(diameter, 16, foam, flat_bottom=flat)
        assert (tool.id if tool else None) == want


def test_of_the_cutters_for_a_blind_hole_one_in_use_comes_first(foam):
    (em_3,) = [tool for tool in foam.shop.tools if tool.id == "em-3"]
    tool = hole_cutter(10, 8, foam.with_tools([em_3]), flat_bottom=True)
    assert tool is not None
    assert tool.id == "em-3"


def test_the_length_of_a_drill_point(foam):
    (drill,) = foam.of_shape("drill")
    assert point_length(drill) == pytest.approx(0.30043 * 10, abs=1e-4)
    assert point_length(foam.of_shape("flat")[0]) == 0


@pytest.mark.parametrize(
    ("widest", "cap", "want"),
    [(3, 99, "v-60"), (5, 8, "v-90"), (8, 99, "v-90"), (5, 2, "v-90"), (15, 99, "v-90")],
)
def test_the_sharpest_vee_that_stays_above_the_cap(widest, cap, want, foam):
    tool = vee_cutter(widest, cap, foam)
    assert tool is not None
    assert tool.id == want


def test_a_vee_goes_as_deep_as_it_is_wide_or_its_flutes_are_long(foam):
    tools = {tool.id: tool for tool in foam.shop.tools}
    assert vee_reach(tools["v-90"]) == pytest.approx(10)
    assert vee_reach(tools["v-60"]) == pytest.approx(10), "flutes; its flank is 10.39 long"


def test_lines_take_a_vee_then_a_ball_then_a_flat_cutter(shop):
    def chosen(*without):
        tool = line_cutter(3, bench(shop(*without), "foam"))
        return tool.id if tool else None

    assert chosen() == "v-60"
    assert chosen("v-60", "v-90") == "ball-6"
    assert chosen("v-60", "v-90", "ball-6") == "em-3"


def relief(values=None, depth=8.0) -> Sculpting:
    """A relief of 300 by 200; without values a smooth dome."""
    row, column = np.mgrid[-1:1:201j, -1.5:1.5:301j]
    values = np.clip(1 - row**2 - column**2, 0, 1) if values is None else values
    heights = HeightMap(values=values, box=(0, 0, 300, 200))
    return Sculpting(region=area_of(box(0, 0, 300, 200)), heights=heights, depth=depth, allowance=0.0)


def with_balls(shop, *diameters: float):
    """The shop with these balls in place of its own."""
    ball = shop().tool("ball-6")
    others = [tool for tool in shop().tools if tool.shape != "ball"]
    balls = [ball.model_copy(update={"id": f"ball-{size:g}", "diameter": size}) for size in diameters]
    return bench(shop().model_copy(update={"tools": (*others, *balls)}), "foam")


def test_reliefs_take_a_flat_and_a_ball(foam):
    rough, finish = relief_cutters(relief(), foam)
    assert rough is not None
    assert finish is not None
    assert (rough.id, finish.id) == ("em-12", "ball-6")


def test_a_smooth_relief_takes_the_largest_ball_and_detail_a_smaller_one(shop):
    column = np.arange(601) / 2
    ripples = np.tile(0.9 + 0.1 * np.sin(2 * np.pi * column / 5), (401, 1))
    balls = with_balls(shop, 12, 6, 3)
    assert relief_cutters(relief(), balls)[1].id == "ball-12"
    assert relief_cutters(relief(ripples), balls)[1].id == "ball-3"


def test_where_no_ball_reaches_the_detail_the_smallest_is_taken(shop):
    noise = np.random.default_rng(0).random((200, 300))
    assert relief_cutters(relief(noise), with_balls(shop, 12, 6, 3))[1].id == "ball-3"
    assert relief_cutters(relief(noise), with_balls(shop))[1] is None


def test_a_ball_too_short_for_a_relief_is_not_taken(shop):
    deep = 1 + shop().tool("ball-6").cutting_length
    assert relief_cutters(relief(depth=deep), with_balls(shop, 12, 6))[1] is None


def test_the_cut_out_takes_the_largest_that_passes_and_keeps_the_corners(foam):
    notch = Polygon([(0, 0), (300, 0), (300, 100), (160, 100), (160, 60), (140, 60), (140, 100), (0, 100)])

    def chosen(outline, depth, border):
        tool = cutout_cutter(outline, depth, border, foam)
        return tool.id if tool else None

    assert chosen(box(0, 0, 300, 200), 12, 40) == "em-12"
    assert chosen(box(0, 0, 300, 200), 12, 8) == "em-6"
    assert chosen(notch, 12, 40) == "em-3", "its inside corners are sharp"
    assert chosen(notch, 38.5, 40) == "em-12", "nothing smaller goes through"
    assert chosen(notch, 60, 40) is None


def test_a_bench_needs_the_board(shop):
    with pytest.raises(SignplanError, match="no board 'oak'"):
        bench(shop(), "oak")
