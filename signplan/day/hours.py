"""The shop's hours: clock times as minutes after midnight, and the stretches of work between breaks."""

import datetime
import re
from collections.abc import Sequence
from dataclasses import dataclass

from signplan.errors import InputError, Problem

_CLOCK = re.compile(r"(\d{1,2}):([0-5]\d)")


@dataclass(frozen=True, slots=True)
class Stretch:
    """From one minute of the day to another."""

    start: float
    end: float

    @property
    def minutes(self) -> float:
        """How long it is."""
        return self.end - self.start


@dataclass(frozen=True, kw_only=True, slots=True)
class Hours:
    """A working day: when it begins and ends, and its breaks in order. `date` is for the heading only."""

    open: Stretch
    breaks: tuple[Stretch, ...] = ()
    date: datetime.date | None = None

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Work between the breaks."""
        starts = [self.open.start, *(each.end for each in self.breaks)]
        ends = [*(each.start for each in self.breaks), self.open.end]
        pairs = zip(starts, ends, strict=True)
        return tuple(Stretch(start, end) for start, end in pairs if end > start)


def read_hours(start: str, until: str, *, breaks: Sequence[str] = (), on: str | None = None) -> Hours:
    """The hours of a day from texts: `8:00`, `16:30`, breaks such as `12:00-12:30`, a date as 2026-03-09.

    Raises:
        InputError: a text that is none of these, or hours that contradict each other.
    """
    whole = Stretch(minutes_of(start, "--start"), minutes_of(until, "--until"))
    if whole.minutes <= 0:
        raise _refusal("--until", f"the day ends at {until}, before it starts at {start}")
    rests = sorted((_break(text) for text in breaks), key=lambda each: each.start)
    ends = [whole.start, *(each.end for each in rests)]
    for rest, before in zip(rests, ends, strict=False):
        if rest.minutes <= 0 or rest.start < before or rest.end > whole.end:
            text = f"{clock_of(rest.start)}-{clock_of(rest.end)}"
            raise _refusal("--break", f"'{text}' does not lie in the day, after the break before it")
    return Hours(open=whole, breaks=tuple(rests), date=_date(on) if on else None)


def minutes_of(text: str, option: str) -> float:
    """Minutes after midnight of a time of day.

    Raises:
        InputError: the text is none.

    >>> minutes_of("8:00", "--start"), minutes_of("16:30", "--until")
    (480.0, 990.0)
    """
    match = _CLOCK.fullmatch(text.strip())
    if not match or int(match[1]) > 23:
        raise _refusal(option, f"'{text}' is no time of day; write it as 8:00 or 16:30")
    return int(match[1]) * 60.0 + int(match[2])


def clock_of(minutes: float) -> str:
    """A time of day, to the whole minute that has begun.

    >>> clock_of(485.9)
    '08:05'
    """
    whole = int(minutes + 1e-9)
    return f"{whole // 60:02d}:{whole % 60:02d}"


def _break(text: str) -> Stretch:
    parts = text.split("-")
    if len(parts) != 2:
        raise _refusal("--break", f"'{text}' is no break; write it as 12:00-12:30")
    return Stretch(minutes_of(parts[0], "--break"), minutes_of(parts[1], "--break"))


def _date(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise _refusal("--date", f"'{text}' is no date; write it as 2026-03-09") from None


def _refusal(option: str, message: str) -> InputError:
    return InputError(Problem(file=option, message=message))
