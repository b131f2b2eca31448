"""The pace of a path: only what cuts sideways counts, and its mean is weighted by time."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from signplan.job.read import read_job
from signplan.timing.estimate import motion_limits
from signplan.timing.feeds import cutting_data
from signplan.timing.motion import segment_times, travel_time
from signplan.timing.pace import STILL, timed
from signplan.toolpaths.model import Move, Toolpath

SHOP = read_job(Path(__file__).parents[2] / "demo_jobs" / "gannet-and-thrum").shop
TOOL = SHOP.tool("em-1/4")
assert TOOL is not None
CUTTING = cutting_data(TOOL, SHOP.boards[0], SHOP.machine, depth=5.0)


def path(points: list[tuple[float, float, float]], moves: list[Move]) -> Toolpath:
    return Toolpath(points=np.array(points), moves=np.array(moves, dtype=np.int8))


DOWN_AND_ALONG = path(
    [(0, 0, 10), (0, 0, 1), (0, 0, -5), (200, 0, -5), (200, 0, 10)],
    [Move.RAPID, Move.PLUNGE, Move.CUT, Move.RAPID],
)


def test_plunges_and_rapids_do_not_count():
    time, pace = timed(DOWN_AND_ALONG, CUTTING, SHOP.machine)
    assert pace.length == 200
    assert pace.seconds < time.cutting


def test_cutting_and_travel_add_up_to_the_path_at_its_feeds():
    time, _ = timed(DOWN_AND_ALONG, CUTTING, SHOP.machine)
    feeds = [math.inf, CUTTING.plunge_feed, CUTTING.feed, math.inf]
    whole = travel_time(DOWN_AND_ALONG.points, feeds, motion_limits(SHOP.machine))
    assert time.total == pytest.approx(whole)
    assert time.cutting > 200 / CUTTING.feed
    assert 0 < time.travel < time.cutting


def test_a_faster_feed_cuts_sooner():
    slow, _ = timed(DOWN_AND_ALONG, replace(CUTTING, feed=CUTTING.feed / 2), SHOP.machine)
    fast, _ = timed(DOWN_AND_ALONG, CUTTING, SHOP.machine)
    assert fast.cutting < slow.cutting


def test_a_rapid_is_travel():
    time, _ = timed(path([(0, 0, 10), (100, 0, 10)], [Move.RAPID]), CUTTING, SHOP.machine)
    assert time.cutting == 0.0 < time.travel


def test_a_long_straight_cut_takes_the_chip_of_its_feed():
    _, pace = timed(path([(0, 0, -5), (50_000, 0, -5)], [Move.CUT]), CUTTING, SHOP.machine)
    assert pace.chip(CUTTING, TOOL.flutes) == pytest.approx(CUTTING.chip_load, rel=0.01)


def test_a_zigzag_of_short_moves_takes_a_fraction_of_it():
    """By hand: between full stops of exact corners the mean speed of a move of length L is sqrt(a L) / 2."""
    there_and_back = [(2.0 * (k % 2), 0.0, -5.0) for k in range(101)]
    _, pace = timed(path(there_and_back, [Move.CUT] * 100), CUTTING, SHOP.machine)
    mean = math.sqrt(SHOP.machine.accel[0] * 2.0) / 2
    assert pace.chip(CUTTING, TOOL.flutes) == pytest.approx(60 * mean / CUTTING.rpm / TOOL.flutes, rel=1e-6)


def test_a_mean_over_slow_and_fast_moves_is_weighted_by_time():
    mixed = path(
        [(0, 0, -5), (300, 0, -5), *[(300, 0.5 * (k % 2), -5) for k in range(1, 40)]], [Move.CUT] * 40
    )
    _, pace = timed(mixed, CUTTING, SHOP.machine)
    seconds = segment_times(mixed.points, CUTTING.feed, motion_limits(SHOP.machine))
    way = np.linalg.norm(np.diff(mixed.points, axis=0), axis=1)
    chips = 60 * way / seconds / CUTTING.rpm / TOOL.flutes
    assert pace.chip(CUTTING, TOOL.flutes) == pytest.approx(np.average(chips, weights=seconds), rel=1e-9)
    assert pace.chip(CUTTING, TOOL.flutes) < np.average(chips, weights=way)


def test_what_cuts_nothing_sideways_has_no_chip():
    assert STILL.chip(CUTTING, 2) is None
