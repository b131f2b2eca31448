"""Run time by the motion model: path modes, rests, tool changes, and lots."""

import numpy as np
import pytest

from signplan.programs import clock as clock_module
from signplan.programs.clock import Clock
from signplan.timing.estimate import motion_limits
from signplan.timing.motion import travel_time


def seconds(moves_of, shop, text):
    clock = Clock(shop.machine)
    for batch in moves_of(text):
        clock.add(batch.moves)
    return clock.seconds()


def test_the_time_is_that_of_the_motion_model(moves_of, shop):
    text = "G0 X0 Y0 Z0\nG1 X100 F6000\nY50\nG0 X0 Y0\nM30\n"
    points = [(0, 0, 0), (100, 0, 0), (100, 50, 0), (0, 0, 0)]
    wanted = travel_time(points, [100, 100, np.inf], motion_limits(shop.machine))
    assert seconds(moves_of, shop, text) == {0: pytest.approx(wanted, rel=1e-12)}


@pytest.mark.parametrize("stop", ["M0", "G4 P1", "T2 M6", "M3"])
def test_the_machine_rests_at_what_stops_it(moves_of, shop, stop):
    plain = sum(seconds(moves_of, shop, "G0 X0 Y0 Z0\nG1 X50 F6000\nX100\nM30\n").values())
    stopped = sum(seconds(moves_of, shop, f"G0 X0 Y0 Z0\nG1 X50 F6000\n{stop}\nX100\nM30\n").values())
    assert stopped == pytest.approx(plain + 100 / 900)  # v / a, once down and once up, less the way


def test_exact_modes_take_longer_than_continuous(moves_of, shop):
    corners = "".join(f"X{k * 10} Y{(k % 2) * 2}\n" for k in range(1, 30))
    times = [
        sum(seconds(moves_of, shop, f"{mode}\nG0 X0 Y0 Z0\nG1 F6000\n{corners}M30\n").values())
        for mode in ("G61.1", "G61", "G64")
    ]
    assert times[0] > 1.02 * times[1] > 1.02 * 1.02 * times[2]
    every = 29 * (np.hypot(10, 2) / 100 + 100 / 918)  # each from rest to rest, X alone at 900 mm/s2
    assert times[0] == pytest.approx(every, rel=0.02)


def test_the_mode_may_change_on_the_way(moves_of, shop):
    both = seconds(moves_of, shop, "G0 X0 Y0 Z0\nG61.1\nG1 X50 F6000\nX100\nG64\nX150\nX200\nM30\n")
    one = travel_time([(0, 0, 0), (50, 0, 0)], 100, motion_limits(shop.machine))
    rest = travel_time([(0, 0, 0), (100, 0, 0)], 100, motion_limits(shop.machine))
    assert both == {0: pytest.approx(2 * one + rest)}


def test_time_is_kept_apart_by_tool_change(moves_of, shop):
    found = seconds(moves_of, shop, "G0 X0 Y0 Z0\nT1 M6\nG1 X100 F6000\nT2 M6\nX300\nM30\n")
    assert sorted(found) == [1, 2]
    assert found[2] == pytest.approx(found[1] + 1.0)


def test_moves_from_unknown_places_take_no_time(moves_of, shop):
    assert seconds(moves_of, shop, "G0 X5\nY5\nM30\n") == {}


def test_a_feed_of_nothing_still_has_an_end(moves_of, shop):
    assert np.isfinite(sum(seconds(moves_of, shop, "G0 X0 Y0 Z0\nG1 X5\nX7 F0\nM30\n").values()))


def test_lots_cost_no_more_than_a_rest_each(moves_of, shop, monkeypatch):
    text = "G0 X0 Y0 Z0\nG1 F6000\n" + "".join(f"X{k}\n" for k in range(1, 400)) + "M30\n"
    whole = sum(seconds(moves_of, shop, text).values())
    monkeypatch.setattr(clock_module, "AT_ONCE", 1)
    clock = Clock(shop.machine)
    for batch in moves_of(text, size=64):
        clock.add(batch.moves)
    lots = sum(clock.seconds().values())
    assert whole < lots < whole + 100 / 900 * len(moves_of(text, size=64))
