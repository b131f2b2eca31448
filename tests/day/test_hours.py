"""Clock times and breaks: what is read, and what is refused with the way out."""

import datetime

import pytest

from signplan.day.hours import Stretch, clock_of, minutes_of, read_hours
from signplan.errors import InputError


def test_a_day_with_breaks_falls_into_stretches():
    hours = read_hours("8:00", "16:30", breaks=["12:00-12:30", "10:00-10:15"], on="2026-03-09")
    assert hours.stretches == (Stretch(480, 600), Stretch(615, 720), Stretch(750, 990))
    assert hours.date == datetime.date(2026, 3, 9)


def test_a_break_at_the_edge_leaves_no_empty_stretch():
    assert read_hours("8:00", "12:30", breaks=["12:00-12:30"]).stretches == (Stretch(480, 720),)
    assert read_hours("8:00", "12:00", breaks=["8:00-8:15"]).stretches == (Stretch(495, 720),)


@pytest.mark.parametrize(
    ("start", "until", "breaks", "on", "told"),
    [
        ("8", "16:30", (), None, "--start: '8' is no time of day; write it as 8:00 or 16:30"),
        ("8:00", "24:00", (), None, "--until: '24:00' is no time of day; write it as 8:00 or 16:30"),
        ("8:00", "8:00", (), None, "--until: the day ends at 8:00, before it starts at 8:00"),
        ("8:00", "16:30", ("noon",), None, "--break: 'noon' is no break; write it as 12:00-12:30"),
        ("8:00", "16:30", ("12:00-11:00",), None, "--break: '12:00-11:00' does not lie in the day"),
        ("8:00", "16:30", ("7:00-8:30",), None, "--break: '07:00-08:30' does not lie in the day"),
        ("8:00", "16:30", ("12:00-12:30", "12:15-13:00"), None, "--break: '12:15-13:00' does not lie"),
        ("8:00", "16:30", (), "9.3.2026", "--date: '9.3.2026' is no date; write it as 2026-03-09"),
    ],
)
def test_what_is_no_day_is_refused(start, until, breaks, on, told):
    with pytest.raises(InputError) as caught:
        read_hours(start, until, breaks=breaks, on=on)
    assert str(caught.value).startswith(told)
    assert caught.value.exit_code == 2


@pytest.mark.parametrize("text", ["00:00", "08:05", "16:30", "23:59"])
def test_clock_and_minutes_undo_each_other(text):
    assert clock_of(minutes_of(text, "--start")) == text
