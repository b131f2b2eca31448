"""Estimates: what a setup costs, part by part, and what is promised of it."""

import math
from pathlib import Path

import numpy as np
import pytest

from signplan.job.read import read_job
from signplan.sign.setups import Setup
from signplan.timing.calibrate import UNLOGGED
from signplan.timing.estimate import (
    LONGER,
    SHORTER,
    band,
    change_seconds,
    handling_seconds,
    latest_start,
    lead_seconds,
    link_time,
    motion_limits,
    together,
)
from signplan.timing.feeds import CuttingData
from signplan.timing.model import Seconds
from signplan.timing.motion import travel_time
from signplan.toolpaths.model import Toolpath

SHOP = read_job(Path(__file__).parents[2] / "demo_jobs" / "gannet-and-thrum").shop
CUTTING = CuttingData(
    rpm=18000,
    feed=100.0,
    plunge_feed=20.0,
    chip_load=0.2,
    chip_range=(0.1, 0.3),
    power_kw=0.1,
    limited_by="spindle",
    rpm_wanted=18000,
    depth=5.0,
    deepest=25.0,
    diameter=6.0,
)


def path(*points, moves) -> Toolpath:
    return Toolpath(points=np.array(points, dtype=float), moves=np.array(moves, dtype=np.int8))


DOWN_AND_ALONG = path((0, 0, 10), (0, 0, 2), (0, 0, -5), (200, 0, -5), (200, 0, 10), moves=(0, 1, 2, 0))


def setup(turn="") -> Setup:
    return Setup(
        id="A-inner",
        face="inner",
        panels=("A",),
        blank=(900, 600, 38),
        placements=(),
        pins=(),
        turn=turn,
        cuts_out=False,
    )


def test_a_link_is_a_rapid_from_exit_to_entry():
    there = path((500, 0, 10), (500, 0, -5), moves=(1,))
    limits = motion_limits(SHOP.machine)
    assert link_time(DOWN_AND_ALONG, there, SHOP.machine) == pytest.approx(
        travel_time(np.array([[200.0, 0, 0], [500.0, 0, 0]]), math.inf, limits)
    )


def test_a_link_of_no_length_takes_no_time():
    assert link_time(DOWN_AND_ALONG, path((200, 0, 10), (200, 0, -5), moves=(1,)), SHOP.machine) == 0.0


def test_before_an_operation_come_its_way_there_its_change_and_its_reload():
    there = path((500, 0, 10), (500, 0, -5), moves=(1,))
    lead = lead_seconds(DOWN_AND_ALONG, there, change=True, reload=True, shop=SHOP)
    way = link_time(DOWN_AND_ALONG, there, SHOP.machine)
    assert change_seconds(SHOP) == 12 + 5
    assert lead == Seconds(travel=way, changes=12 + 5 + 4 * 60)
    assert lead_seconds(None, there, change=False, reload=False, shop=SHOP) == Seconds()


def test_a_turned_blank_takes_more_handling():
    assert handling_seconds(setup(), SHOP) == Seconds(handling=(2 + 2) * 60)
    assert handling_seconds(setup("side"), SHOP) == Seconds(handling=(2 + 2 + 5) * 60)


def test_a_job_is_its_holds_and_its_handling():
    job = together([band(600.0, "why"), band(300.0, "why")], handling=100.0)
    assert (job.seconds, job.low, job.high) == pytest.approx((1000, 1000 * SHORTER, 1000 * LONGER))
    assert job.reason == "why"


def test_a_hold_is_the_setup_without_its_handling_and_comes_as_a_band():
    seconds = Seconds(cutting=600.0, travel=200.0, changes=100.0, handling=480.0)
    held = UNLOGGED.hold(seconds)
    assert held.seconds == 900.0
    assert (held.low, held.high) == (900 * SHORTER, 900 * LONGER)
    assert held.reason


def test_bands_widen_with_time():
    assert band(100.0).high - band(100.0).low < band(200.0).high - band(200.0).low


@pytest.mark.parametrize(
    ("until", "high", "start"),
    [
        ("16:30", 3600.0, "15:30"),
        ("16:30", 3601.0, "15:29"),
        ("00:30", 3600.0, "not today"),
        (None, 3600.0, ""),
    ],
)
def test_the_latest_start_ends_before_closing(until, high, start):
    assert latest_start(until, high) == start
