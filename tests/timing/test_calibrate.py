"""Estimates against logged holds: from how many on, which ones count, and what the band says of itself."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.job.log import LoggedHold
from signplan.job.read import read_job
from signplan.timing.calibrate import UNLOGGED, calibrate, timing_figures
from signplan.timing.estimate import LONGER, SHORTER
from signplan.timing.model import Seconds

SHOP = read_job(Path(__file__).parents[2] / "demo_jobs" / "gannet-and-thrum").shop
FIGURES = timing_figures(SHOP)
SETUP = Seconds(cutting=1800.0, travel=240.0, changes=360.0, handling=540.0)


def logged(cutting=30.0, travel=4.0, changes=6.0, *, took, figures=FIGURES) -> LoggedHold:
    return LoggedHold(
        job="GT-041",
        revision="A",
        setup="AB-outer",
        cutting=cutting,
        travel=travel,
        changes=changes,
        took=took,
        inputs="0f0f0f0f0f0f",
        figures=figures,
    )


@pytest.mark.parametrize(
    ("holds", "reason"),
    [
        (0, "computed: no logged holds yet"),
        (1, "computed: 1 logged hold, 3 needed"),
        (2, "computed: 2 logged holds, 3 needed"),
        (3, "from 3 logged holds"),
        (7, "from 7 logged holds"),
    ],
)
def test_the_band_says_what_it_is_from(holds, reason):
    found = calibrate([logged(took=44.0)] * holds, SHOP)
    assert found.reason == found.hold(SETUP).reason == reason


def test_below_three_holds_nothing_changes():
    found = calibrate([logged(took=80.0)] * 2, SHOP)
    assert found.of(SETUP) == SETUP
    held = found.hold(SETUP)
    assert (held.seconds, held.low, held.high) == pytest.approx((2400, 2400 * SHORTER, 2400 * LONGER))
    assert found.hold(SETUP).seconds == UNLOGGED.hold(SETUP).seconds


def test_from_three_on_a_hold_lasts_as_those_did():
    found = calibrate([logged(took=48.0), logged(took=47.0), logged(took=49.0)], SHOP)
    held = found.hold(SETUP)
    assert held.seconds == pytest.approx(48 * 60, rel=0.01)
    assert held.low < 47 * 60 < 49 * 60 < held.high
    assert held.seconds == pytest.approx(found.of(SETUP).total - SETUP.handling)
    assert found.of(SETUP).handling == SETUP.handling


def test_one_slip_does_not_run_off_with_every_estimate():
    """A hold at 1,400 times what was computed says no more than one at ten times."""
    rows = [logged(took=40.0), logged(took=41.0)]
    slipped = calibrate([*rows, logged(0.5, 0.1, 0.4, took=1400.0)], SHOP)
    assert slipped == calibrate([*rows, logged(0.5, 0.1, 0.4, took=10.0)], SHOP)
    assert max(slipped.factors) <= 10.0


def test_slow_changes_show_in_the_changes():
    """Holds with many changes and with few, changes twice as long as stated and all else right."""
    rows = [
        logged(c, 4.0, k, took=c + 4.0 + 2 * k) for c, k in ((30, 2), (10, 12), (25, 6), (8, 14), (20, 9))
    ]
    cutting, _, changes = calibrate(rows * 4, SHOP).factors
    assert changes == pytest.approx(2.0, abs=0.15)
    assert cutting == pytest.approx(1.0, abs=0.15)


def test_logs_of_other_machine_figures_are_told_and_left_out():
    """Who corrects an acceleration starts anew: computed times of before would be corrected twice."""
    machine = SHOP.machine.model_copy(update={"accel": (500.0, 500.0, 300.0)})
    other = timing_figures(SHOP.model_copy(update={"machine": machine}))
    assert other != FIGURES
    found = calibrate([logged(took=80.0, figures=other)] * 5 + [logged(took=40.0)], SHOP)
    assert found.factors == (1.0, 1.0, 1.0)
    assert found.reason == (
        "computed: 1 logged hold, 3 needed (5 more of another machine or other change times)"
    )


@pytest.mark.parametrize(
    ("key", "other"),
    [
        ("feed_max", 2.0),
        ("rpm", (1000.0, 2000.0)),
        ("spindle_kw", 0.1),
        ("rapid", (10.0, 10.0, 10.0)),
        ("clearance_z", 99.0),
        ("corner_tolerance", 0.5),
        ("exact_stop", True),
        ("jerk", 5000.0),
        ("spin_up_seconds", 60.0),
    ],
)
def test_every_figure_of_the_machine_that_times_depend_on_counts(key, other):
    """Or its correction would be counted twice: in the computed time, and in the factors of older logs."""
    machine = SHOP.machine.model_copy(update={key: other})
    assert timing_figures(SHOP.model_copy(update={"machine": machine})) != FIGURES


def test_what_is_not_of_the_pace_may_change():
    more = SHOP.model_copy(update={"name": "another name", "tools": SHOP.tools[:3]})
    assert timing_figures(more) == FIGURES


def test_a_hold_without_work_takes_no_time():
    assert calibrate([logged(took=44.0)] * 3, SHOP).hold(Seconds(handling=60.0)).high == 0.0


@given(st.lists(st.floats(10.0, 160.0), min_size=3, max_size=8))
def test_a_band_is_never_negative_and_holds_its_middle(took):
    held = calibrate([logged(took=each) for each in took], SHOP).hold(SETUP)
    assert 0.0 <= held.low <= held.seconds <= held.high
