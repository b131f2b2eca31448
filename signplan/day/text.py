"""The planned day for people, as plain text to print or to pin up, and for programs, as JSON."""

import json
from collections.abc import Iterator, Sequence
from typing import Any

from signplan.day.hours import clock_of
from signplan.day.model import DayPlan, Loaded, PlacedHold
from signplan.units import Units, shop

FORMAT = "signplan-day/1"
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def day_text(day: DayPlan) -> str:
    """The day on one sheet: holds, what to load, what stays, what the order saves."""
    blocks = [list(_head(day)), list(_holds(day)), list(_loads(day)), list(_left(day)), list(_saved(day))]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _head(day: DayPlan) -> Iterator[str]:
    date = day.hours.date
    named = f"{_DAYS[date.weekday()]} {date.isoformat()}, " if date else ""
    rests = "".join(f", break {clock_of(each.start)} to {clock_of(each.end)}" for each in day.hours.breaks)
    yield f"DAY ON {day.machine.upper()}: {named}{_span(day)}{rests}"
    for job in day.jobs:
        head = job.plan.job.job
        state = "" if job.plan.ready else "   NOT READY: it has errors, nothing of it is planned"
        yield f"  {job.name}  {head.title}, revision {head.revision}, inputs {job.plan.hash}{state}"


def _span(day: DayPlan) -> str:
    return f"{clock_of(day.hours.open.start)} to {clock_of(day.hours.open.end)}"


# The holds

_HEADINGS = ("", "load", "vacuum on", "off", "at latest", "start by", "hold", "changes", "first tool")


def _holds(day: DayPlan) -> Iterator[str]:
    if not day.placed:
        yield "No hold fits into this day."
        return
    yield "HOLDS. Once begun, a hold is finished; after 'start by' do not begin it."
    yield f"Times {day.placed[0].length.reason}."
    yield from _table([_HEADINGS, *(_row(number, each) for number, each in enumerate(day.placed, 1))])
    for each in day.placed:
        yield from _remarks(each)


def _row(number: int, each: PlacedHold) -> tuple[str, ...]:
    tool = f"{each.first_tool}, in the spindle" if each.carried else each.first_tool
    return (
        f"[ ] {number}",
        clock_of(each.load),
        clock_of(each.on),
        clock_of(each.off),
        clock_of(each.off_late),
        clock_of(each.start_by),
        each.hold.name,
        str(each.changes),
        tool,
    )


def _remarks(each: PlacedHold) -> Iterator[str]:
    if each.over_break:
        yield f"  {each.hold.name} runs through a break: somebody stays with it."
    for reload in each.reloads:
        when = "in the hold, vacuum left on" if reload.in_hold else "before the hold"
        yield (
            f"  {each.hold.name}, {when}: take {reload.tool_out} out of place {reload.slot}, put in "
            f"{reload.tool_in}, measure it"
        )


def _table(rows: Sequence[Sequence[str]]) -> Iterator[str]:
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    for row in rows:
        yield "  " + "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()


# What to load


def _loads(day: DayPlan) -> Iterator[str]:
    if not day.loads:
        return
    if day.by_hand:
        yield "TOOLS for the whole day, in the order they are first used. Walk to the machine with these:"
    else:
        yield "MAGAZINE before the first hold. Check each against its place:"
    units = day.jobs[0].plan.job.job.units
    yield from _table([_load(each, units, by_hand=day.by_hand) for each in day.loads])


def _load(each: Loaded, units: Units, *, by_hand: bool) -> tuple[str, ...]:
    tool = each.tool
    mark = '"' if units == "in" else " mm"
    size = shop(tool.diameter, units).rstrip('"') + mark
    place = "" if by_hand else f"place {each.place}" if each.place else "on the rack"
    return ("[ ]", place, f"T{tool.number}", tool.id, f"{size} {tool.shape}, {tool.flutes} flutes")


# What stays, and what the order is worth


def _left(day: DayPlan) -> Iterator[str]:
    if day.left:
        yield "NOT TODAY: the day has no room for"
        yield from (f"  {hold.name}, {_minutes(hold.planned.hold.high)} at longest" for hold in day.left)


def _saved(day: DayPlan) -> Iterator[str]:
    if not day.placed:
        return
    proof = "the fewest possible" if day.changes == day.lower_bound else f"at least {day.lower_bound}"
    yield (
        f"{day.changes} tool changes, {proof} with every hold as on its traveller; each takes "
        f"{_minutes(day.each_change)}."
    )
    apart = day.changes_apart - day.changes
    if apart > 0:
        yield f"Tools kept from job to job save {apart} of them, {_minutes(apart * day.each_change)}."
    listed = day.changes_listed - day.changes
    if listed > 0:
        yield (
            f"In the order that the jobs list their work it would be {day.changes_listed}: "
            f"{_minutes(listed * day.each_change)} more."
        )


def _minutes(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"


# For programs


def day_json(day: DayPlan) -> str:
    """The day as one JSON object: clock times HH:MM, lengths of time s."""
    return json.dumps(_day(day), indent=2, ensure_ascii=False)


def _day(day: DayPlan) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "date": day.hours.date.isoformat() if day.hours.date else None,
        "start": clock_of(day.hours.open.start),
        "until": clock_of(day.hours.open.end),
        "breaks": [[clock_of(each.start), clock_of(each.end)] for each in day.hours.breaks],
        "machine": day.machine,
        "jobs": [
            {
                "name": job.name,
                "number": job.plan.job.job.number,
                "revision": job.plan.job.job.revision,
                "hash": job.plan.hash,
                "ready": job.plan.ready,
            }
            for job in day.jobs
        ],
        "holds": [_hold(each) for each in day.placed],
        "left": [{"job": each.job.name, "setup": each.planned.setup.id} for each in day.left],
        "tools": [
            {"tool": each.tool.id, "number": each.tool.number, "place": each.place or None}
            for each in day.loads
        ],
        "changes": {
            "day": day.changes,
            "lower_bound": day.lower_bound,
            "job_by_job": day.changes_apart,
            "as_listed": day.changes_listed,
            "seconds_each": day.each_change,
        },
    }


def _hold(each: PlacedHold) -> dict[str, Any]:
    return {
        "job": each.hold.job.name,
        "setup": each.hold.planned.setup.id,
        "load": clock_of(each.load),
        "vacuum_on": clock_of(each.on),
        "vacuum_off": clock_of(each.off),
        "off_at_latest": clock_of(each.off_late),
        "start_by": clock_of(each.start_by),
        "seconds": round(each.length.seconds, 3),
        "low": round(each.length.low, 3),
        "high": round(each.length.high, 3),
        "reason": each.length.reason,
        "changes": each.changes,
        "first_tool": each.first_tool,
        "in_spindle": each.carried,
        "over_break": each.over_break,
        "reloads": [
            {
                "before": reload.before.removeprefix(f"{each.hold.name} "),
                "in": reload.tool_in,
                "out": reload.tool_out,
                "place": reload.slot,
                "in_hold": reload.in_hold,
            }
            for reload in each.reloads
        ],
    }
