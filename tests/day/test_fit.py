"""Holds into hours: never split, in time even at their longest, each with its latest start."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.day.fit import Span, fit
from signplan.day.hours import Hours, Stretch

DAY = Hours(open=Stretch(480, 960), breaks=(Stretch(720, 750),))


def span(expected: float, *, longest: float | None = None, before: float = 5, after: float = 2) -> Span:
    return Span(before=before, expected=expected, longest=longest or expected * 1.25, after=after)


def test_holds_follow_each_other():
    first, second = fit([span(40), span(20)], DAY)
    assert (first.load, first.on, first.off, first.off_late) == (480, 485, 525, 535)
    assert second.load == 525 + 2


def test_a_hold_waits_when_a_break_would_come_into_its_longest():
    """The first is off and cleaned at 480 + 5 + 100 + 2 = 587; from there 5 + 128 ends at 720 sharp."""
    _, before_break = fit([span(100), span(100, longest=128)], DAY)
    assert (before_break.load, before_break.off_late) == (587, 720)
    _, after_break = fit([span(100), span(100, longest=129)], DAY)
    assert (after_break.load, after_break.over_break) == (750, False)


def test_a_hold_longer_than_every_stretch_runs_through_the_break():
    (only,) = fit([span(300)], DAY)
    assert only.over_break
    assert only.off_late == 480 + 5 + 375


def test_a_hold_longer_than_the_day_has_no_place():
    assert fit([span(400)], DAY) is None
    assert fit([span(180), span(180), span(10)], DAY) is None


def test_the_latest_start_of_the_last_hold_is_closing_less_its_longest():
    (only,) = fit([span(80, longest=100)], DAY)
    assert only.start_by == 720 - 100
    alone = Hours(open=Stretch(480, 960))
    assert fit([span(80, longest=100)], alone)[0].start_by == 860


def test_an_earlier_hold_leaves_the_later_one_its_time():
    alone = Hours(open=Stretch(480, 960))
    first, second = fit([span(60), span(80, longest=100)], alone)
    assert second.start_by == 860
    assert first.start_by == 860 - 5 - 2 - 60


@given(st.lists(st.tuples(st.floats(1, 120), st.floats(1, 1.5)), min_size=1, max_size=8))
def test_every_plan_keeps_its_promises(holds):
    spans = [span(expected, longest=expected * more) for expected, more in holds]
    slots = fit(spans, DAY)
    if slots is None:
        return
    end = DAY.open.start
    for each, slot in zip(spans, slots, strict=True):
        assert slot.load >= end
        assert slot.on <= slot.start_by + 1e-6
        assert slot.off_late <= DAY.open.end + 1e-6
        crossed = slot.load < 720 and slot.off_late > 720
        assert crossed == slot.over_break or slot.off_late == pytest.approx(720)
        end = slot.off + each.after
