"""Checks of how a sign hangs: each rule fails on one thing too much, and is silent on its neighbour."""

from dataclasses import replace

import pytest

from signplan.checks.hanging import CHECKS, LEAN, Hung, check_hanging
from signplan.sign.hanging import HangingLoads, Share

LEFT, RIGHT = (Share(at=(x, 600.0), load=5.0, tension=5.0) for x in (100.0, 500.0))


def hung(**changes) -> Hung:
    stated = {"shares": (LEFT, RIGHT), "slack": False, "lean": 0.0, "tilt": 0.0} | changes
    return Hung(loads=HangingLoads(**stated), units="mm")


def codes(case: Hung) -> list[str]:
    return [finding.code for finding in check_hanging(case)]


def test_a_sign_that_hangs_true_and_one_that_does_not_hang():
    assert codes(hung()) == []
    assert codes(Hung(loads=None, units="in")) == []


def test_a_slack_point_is_told_with_both_loads():
    shares = (
        Share(at=(100.0, 600.0), load=-1.0, tension=-1.0),
        Share(at=(500.0, 600.0), load=11.0, tension=11.0),
    )
    (finding,) = check_hanging(hung(shares=shares, slack=True))
    assert (finding.code, finding.severity) == ("hang-slack", "warning")
    assert "-1.0 kg and 11.0 kg" in finding.message


@pytest.mark.parametrize("way", ["lean", "tilt"])
def test_a_lean_that_people_see(way):
    assert codes(hung(**{way: LEAN})) == []
    assert codes(hung(**{way: -LEAN * 1.01})) == ["hang-lean"]


def test_a_hanger_that_pulls_more_than_it_may():
    assert codes(hung(working=5.0)) == []
    (finding,) = check_hanging(hung(working=4.9))
    assert finding.code == "hang-load"
    assert "licensed engineer" in finding.hint


def test_pounds_in_an_inch_job():
    loads = HangingLoads(shares=(LEFT,), slack=False, lean=0.0, tilt=0.0, working=1.0)
    (finding,) = check_hanging(Hung(loads=loads, units="in"))
    assert (finding.unit, finding.measured) == ("lb", pytest.approx(5 / 0.45359237))


def test_the_steel_that_carries_is_named():
    left, right = (replace(share, by=name) for share, name in ((LEFT, "strap"), (RIGHT, "rod")))
    (lean,) = check_hanging(hung(shares=(left, right), lean=2.0))
    assert lean.message == "Hung free ('strap' and 'rod'), the sign leans 2.0 degrees front to back."
    (load,) = check_hanging(hung(shares=(left, replace(right, tension=6.0)), working=5.5))
    assert load.message.startswith("'rod' pulls 6.0 kg")


def test_each_rule_is_listed_once():
    assert len(CHECKS) == len(set(CHECKS)) == 3
