"""Feeds: what holds a cutter back, and that each figure is what the others say."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.errors import SignplanError
from signplan.job.shop import Board, Machine, Tool
from signplan.timing.feeds import (
    MOST_THINNING,
    SPINDLE_SHARE,
    chip_range,
    chip_really_cut,
    cutting_data,
    deepest_pass,
    effective_diameter,
    power_kw,
)

MM = {"units": "mm"}
TABLE = ((3.0, (0.1, 0.2)), (6.0, (0.2, 0.4)), (12.0, (0.3, 0.9)))


def tool(shape="flat", diameter=6.0, **more):
    fields = {"number": 1, "id": "em-6", "flutes": 2, "cutting_length": 25.0, "reach": 30.0}
    return Tool(shape=shape, diameter=diameter, **fields | more)


def machine(**more):
    """Speeds as a shop file writes them, per minute."""
    fields = {
        "name": "router",
        "bed": [1000, 600],
        "travel_z": 200,
        "feed_max": 12_000,
        "rapid": [30_000, 30_000, 6_000],
        "accel": [1000, 1000, 500],
        "rpm": [6000.0, 18000.0],
        "spindle_kw": 6.0,
        "clearance_z": 10,
    }
    return Machine.model_validate(fields | more, context=MM)


def board(force=10.0):
    fields = {
        "id": "hdu",
        "density_kg_m3": 240.0,
        "sheet": [2440, 1220],
        "thicknesses": [25],
        "chip_load": {"3": [0.1, 0.2], "6": [0.2, 0.4], "12": [0.3, 0.9]},
        "cutting_force_n_mm2": force,
    }
    return Board.model_validate(fields, context=MM)


def test_at_full_speed_the_middle_of_the_range_is_cut():
    data = cutting_data(tool(), board(), machine(), depth=6)
    assert data.limited_by == "spindle"
    assert data.rpm == 18000
    assert data.chip_range == pytest.approx((0.2, 0.4))
    assert data.chip_load == pytest.approx(0.3)
    assert data.feed == pytest.approx(18000 * 2 * 0.3 / 60)
    assert data.plunge_feed == pytest.approx(data.feed / 2)


def test_a_slow_machine_turns_slower_to_hold_the_chip():
    data = cutting_data(tool(), board(), machine(feed_max=6_000), depth=6)
    assert data.limited_by == "machine feed"
    assert data.feed == pytest.approx(100)
    assert data.chip_load == pytest.approx(0.3)
    assert data.rpm == data.rpm_wanted == pytest.approx(10_000)


def test_where_the_lowest_speed_is_too_fast_the_chip_that_results_is_told():
    data = cutting_data(tool(), board(), machine(feed_max=1_500), depth=6)
    assert data.limited_by == "lowest rpm"
    assert data.rpm == 6000
    assert data.rpm_wanted == pytest.approx(2500)
    assert data.chip_load == pytest.approx(0.125)
    assert data.chip_load < data.chip_range[0]


def test_an_axis_slower_than_the_feed_limits_it():
    data = cutting_data(tool(), board(), machine(rapid=[9_000, 30_000, 6_000]), depth=6)
    assert data.feed == pytest.approx(150)


def test_a_weak_spindle_cuts_a_smaller_chip():
    strong = cutting_data(tool(), board(force=60.0), machine(spindle_kw=20.0), depth=6)
    weak = cutting_data(tool(), board(force=60.0), machine(spindle_kw=0.6), depth=6)
    assert strong.limited_by == "spindle"
    assert weak.limited_by == "power"
    assert weak.power_kw == pytest.approx(SPINDLE_SHARE * 0.6)
    assert weak.chip_load < strong.chip_load


def test_torque_does_not_grow_as_the_spindle_slows_down():
    # Half the speed has half the power: the chip is the same, and so is the share of the power that is there.
    data = cutting_data(tool(), board(force=60.0), machine(spindle_kw=0.6, feed_max=2_000), depth=6)
    assert data.power_kw <= SPINDLE_SHARE * 0.6 * data.rpm / 18000 * (1 + 1e-12)


def test_deep_cuts_are_derated():
    data = cutting_data(tool(), board(), machine(), depth=12)
    assert data.chip_range == pytest.approx((0.15, 0.3))


def test_a_thin_engagement_is_fed_faster_up_to_a_limit():
    data = cutting_data(tool(), board(), machine(feed_max=60_000, rapid=[60_000] * 3), depth=6, width=6 * 0.2)
    assert data.chip_load == pytest.approx(0.3 / 0.8)
    data = cutting_data(tool(), board(), machine(feed_max=60_000, rapid=[60_000] * 3), depth=6, width=0.01)
    assert data.chip_load == pytest.approx(0.3 * MOST_THINNING)


def test_vee_and_ball_are_judged_by_the_width_that_cuts():
    vee = cutting_data(tool("vee", 25.0, angle=90.0), board(), machine(), depth=1.5)
    assert vee.diameter == pytest.approx(3)
    assert vee.chip_range == pytest.approx((0.1, 0.2))
    ball = cutting_data(tool("ball"), board(), machine(), depth=0.5)
    assert ball.diameter == pytest.approx(3.31662, rel=1e-5)


def test_a_drill_feeds_downwards_within_its_axis_and_is_not_derated():
    data = cutting_data(tool("drill"), board(), machine(), depth=24)
    assert data.feed == data.plunge_feed == pytest.approx(50)
    assert data.chip_range == pytest.approx((0.2, 0.4))
    assert data.rpm == machine().rpm[0]


def test_the_power_of_a_drill_is_that_of_the_area_it_sinks_into():
    data = cutting_data(tool("drill"), board(), machine(), depth=24)
    area = math.pi / 4 * tool("drill").diameter ** 2
    assert data.power_kw == pytest.approx(power_kw(area, data.feed, board().cutting_force_n_mm2))


def test_the_deepest_pass_is_told():
    assert deepest_pass(tool()) == 18
    assert deepest_pass(tool(cutting_length=10.0)) == 10
    assert deepest_pass(tool("drill")) == 25
    # A flute of one inch and a pass of an inch and a quarter must be seen to clash.
    data = cutting_data(tool(diameter=12.7, cutting_length=25.4, reach=40.0), board(), machine(), depth=31.75)
    assert data.depth > data.deepest


@pytest.mark.parametrize(
    ("depth", "width"), [(0, None), (-1, None), (math.nan, None), (math.inf, 1), (5, 0), (5, -1)]
)
def test_a_cut_of_no_size_is_refused(depth, width):
    with pytest.raises(SignplanError, match="em-6: a cut"):
        cutting_data(tool(), board(), machine(), depth=depth, width=width)


def test_the_chip_range_is_interpolated_over_the_diameter():
    assert chip_range(TABLE, 6) == (0.2, 0.4)
    assert chip_range(TABLE, 9) == pytest.approx((0.25, 0.65))
    assert chip_range(TABLE, 1.5) == pytest.approx((0.05, 0.1))
    assert chip_range(TABLE, 50) == (0.3, 0.9)


@given(
    depth=st.floats(0.05, 40),
    width=st.one_of(st.none(), st.floats(0.05, 30)),
    diameter=st.floats(0.5, 30),
    feed_max=st.floats(60, 60_000),
    kilowatts=st.floats(0.1, 20),
    shape=st.sampled_from(["flat", "ball", "vee", "drill"]),
)
def test_figures_agree_and_stay_within_the_machine(depth, width, diameter, feed_max, kilowatts, shape):
    cutter = tool(shape, diameter, angle=60.0)
    router = machine(feed_max=feed_max, spindle_kw=kilowatts)
    data = cutting_data(cutter, board(), router, depth=depth, width=width)
    assert data.feed == pytest.approx(data.rpm * 2 * data.chip_load / 60)
    assert 0 < data.feed <= router.feed_max * (1 + 1e-12)
    assert 0 < data.plunge_feed <= router.rapid[2]
    assert router.rpm[0] <= data.rpm <= router.rpm[1]
    assert data.power_kw <= SPINDLE_SHARE * kilowatts * (1 + 1e-9)
    assert data.chip_load <= sum(data.chip_range) / 2 * (1 + 1e-12)
    assert 0 < data.diameter == effective_diameter(cutter, depth) <= diameter
    if data.limited_by in ("spindle", "machine feed"):
        assert data.chip_load == pytest.approx(sum(data.chip_range) / 2)


def test_the_chip_really_cut_is_weighted_by_time():
    # 100 mm at 100 mm/s and 100 mm at 25 mm/s: 200 mm in 5 s, not the mean of the feeds.
    assert chip_really_cut([100, 100], [1, 4], rpm=12_000, flutes=2) == pytest.approx(60 * 40 / 24_000)
    assert chip_really_cut(np.zeros(0), np.zeros(0), rpm=12_000, flutes=2) == 0
