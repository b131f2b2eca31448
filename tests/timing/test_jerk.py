"""Jerk on profiles given by hand."""

import numpy as np
import pytest

from signplan.timing.jerk import jerk_delays

JERK = 20_000.0


def delays(length, speed, peak):
    return jerk_delays(
        *(np.array(each, dtype=float) for each in (length, speed, peak)), np.full(len(length), 1000.0), JERK
    )


def test_each_ramp_takes_half_the_time_of_its_jerk_more():
    # 100 mm at 100 mm/s: each of two ramps is a / j = 50 ms longer, half of which the cruise gives back.
    assert delays([100], [0, 0], [100]).sum() == pytest.approx(0.05)


def test_a_short_move_does_not_reach_its_top():
    # (32 L / j)^(1/3) instead of 2 sqrt(L / a).
    free = 2 * np.sqrt(1 / 1000)
    assert delays([1], [0, 0], [np.sqrt(1000)]).sum() == pytest.approx((32 / JERK) ** (1 / 3) - free)


def test_pieces_of_one_move_share_its_delay():
    times = delays([10, 80, 10], [0, 100, 100, 0], [100, 100, 100])
    assert times == pytest.approx([0.005, 0.04, 0.005])


def test_a_low_that_lasts_is_no_ramp():
    # 100 down to 20 and on at 20: the level stretch takes no longer.
    times = delays([50, 10, 50], [0, 20, 20, 0], [100, 20, 100])
    assert times[1] == 0
    assert times[0] == pytest.approx(times[2])
    assert times[0] == pytest.approx(0.05 * (100 + 80) / 200)


def test_a_ramp_that_a_curve_made_slow_stays_as_it_is():
    # Twenty pieces at an even pace of 100 mm/s2, a tenth of what the axes could.
    square = np.linspace(0, 2 * 100 * 50, 21)
    speed = np.sqrt(np.concatenate((square, square[-2::-1])))
    length = np.full(40, 2.5)
    assert delays(length, speed, np.maximum(speed[1:], speed[:-1])).sum() == pytest.approx(0, abs=1e-9)


def test_lows_come_down_where_one_ramp_does_not_fit():
    # From 80 mm/s to rest within 3.2 mm is what 1000 mm/s2 just allow, and a limit on jerk does not.
    times = delays([100, 3.2], [0, 80, 0], [100, 80 * (1 + 1e-5)])
    assert times.sum() > 0.05
    assert np.isfinite(times).all()


def test_no_path_no_delay():
    assert delays([], [0], []).size == 0
