"""Holds into hours: a hold is never split, and must end in time even if it takes its longest."""

from collections.abc import Sequence
from dataclasses import dataclass

from signplan.day.hours import Hours, Stretch


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """A hold as the clock sees it, minutes: loading before, the hold itself, its longest, cleaning after."""

    before: float
    expected: float
    longest: float
    after: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Slot:
    """Where a span lies in the day, minutes after midnight; see `PlacedHold`."""

    load: float
    on: float
    off: float
    off_late: float
    start_by: float
    over_break: bool


def fit(spans: Sequence[Span], hours: Hours) -> tuple[Slot, ...] | None:
    """Every span in its place, in the order given; None if the day has no room for all of them.

    A span waits for the next stretch of work if a break would come into its longest. One that is longer than
    every stretch goes through a break: somebody stays.
    """
    found: list[tuple[float, Stretch]] = []
    clock = hours.open.start
    for span in spans:
        stretch = _stretch(span, clock, hours)
        if stretch is None:
            return None
        load = max(clock, stretch.start)
        found.append((load, stretch))
        clock = load + span.before + span.expected + span.after
    starts = _starts_by(spans, [stretch for _, stretch in found])
    return tuple(
        Slot(
            load=load,
            on=load + span.before,
            off=load + span.before + span.expected,
            off_late=load + span.before + span.longest,
            start_by=start_by,
            over_break=any(stretch.start < each.start < stretch.end for each in hours.breaks),
        )
        for span, (load, stretch), start_by in zip(spans, found, starts, strict=True)
    )


def ends(span: Span, clock: float, hours: Hours) -> float | None:
    """When a span loaded at `clock` or later is expected to be cleaned away; None if it has no room."""
    stretch = _stretch(span, clock, hours)
    if stretch is None:
        return None
    return max(clock, stretch.start) + span.before + span.expected + span.after


def _stretch(span: Span, clock: float, hours: Hours) -> Stretch | None:
    """The first stretch that the span's longest ends in, if it is loaded at `clock` or later."""
    need = span.before + span.longest
    for each in hours.stretches:
        if max(clock, each.start) + need <= each.end:
            return each
    over = Stretch(clock, hours.open.end)
    longer = all(need > each.minutes for each in hours.stretches)
    return over if longer and over.minutes >= need else None


def _starts_by(spans: Sequence[Span], stretches: Sequence[Stretch]) -> list[float]:
    """Latest vacuum on: its longest ends in its stretch, and later spans have the time that they expect."""
    found: list[float] = []
    loading = float("inf")  # the latest that the next span may begin to be loaded
    for span, stretch in zip(reversed(spans), reversed(stretches), strict=True):
        on = min(stretch.end - span.longest, loading - span.after - span.expected)
        found.append(on)
        loading = on - span.before
    return found[::-1]
