"""What is done in a setup: before the vacuum, the tools, the operations as they run, the first cuts."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import repeat

from reportlab.platypus import Table

from signplan.documents.measures import deepest, feature_tag, put_in_later, running_clock
from signplan.documents.sheet import Page, Pen, Space
from signplan.documents.tables import Cell, Column, Entry, Tick, paged, table
from signplan.documents.traveller import numbers
from signplan.documents.traveller.parts import fields, heading, ticks, words
from signplan.documents.views import next_of_blank
from signplan.documents.words import (
    blocks,
    clock,
    count,
    duration,
    exact,
    face_up,
    feed,
    feed_unit,
    hold_words,
    length,
    marked_corner,
    minutes_seconds,
    operation_numbers,
    parts_words,
    place,
    spindle,
    tool_words,
    turn_words,
    work_words,
)
from signplan.plan import Plan
from signplan.schedule.by_tool import by_tool
from signplan.schedule.model import PlannedOperation, PlannedSetup, why_again


def pages(plan: Plan, planned: PlannedSetup, content: Space) -> Iterator[Page]:
    """Tools and readiness, the numbers, and the operations."""
    number = [each.setup.id for each in plan.setups].index(planned.setup.id) + 1
    name = f"SETUP {number} · {face_up(planned.setup)}"
    yield from _ready(plan, planned, content, name)
    yield from numbers.pages(plan, planned, content, name)
    yield from _operations(plan, planned, content, name)


# Before the vacuum

TOOLS = (
    Column("", 11),
    Column("place", 18, bold=True),
    Column("tool", 27, bold=True),
    Column("what it is", 60),
    Column("min:s", 18, "right"),
    Column("stick-out", 27, "right"),
    Column("cuts to", 22, "right"),
    Column("measured", 28, "right"),
)


def _ready(plan: Plan, planned: PlannedSetup, content: Space, name: str) -> Iterator[Page]:
    units = plan.job.job.units
    tools = {each.tool.id: each.tool for each in planned.operations}
    later = put_in_later(planned, plan)
    times = {each.tool.id: each.seconds.total for each in by_tool(planned.operations)}
    rows: list[Sequence[Cell]] = [
        (
            Tick(f"T{tools[tool].number} {tool}, in its place and measured"),
            f"T{tools[tool].number}",
            tool,
            tool_words(tools[tool], units) + (" · put in at its RELOAD" if tool in later else ""),
            minutes_seconds(times[tool]),
            exact(tools[tool].reach, units).split(" ")[0]
            if units == "in"
            else length(tools[tool].reach, units),
            place(depth, units),
            Entry(f"T{tools[tool].number} {tool}, measured length"),
        )
        for tool, depth in deepest(planned).items()
    ]
    width = content.width
    listing = table(TOOLS, rows, width * 0.64, size=10.5, row_height=10)

    yield Page(
        title=f"{name} · get ready",
        subtitle=f"Setup {planned.setup.id}: {count(planned.changes, 'tool change')}, "
        f"{duration(planned.seconds.total)} with loading and cleaning",
        draw=partial(_get_ready, plan, planned, listing),
        setup=planned.setup.id,
    )


def _get_ready(plan: Plan, planned: PlannedSetup, listing: Table, pen: Pen, space: Space) -> None:
    left, right = space.columns(0.64, 0.33)
    left = heading(pen, left, "Tools for this setup, in the order they are used")
    left = left.below(pen.flow(listing, left.x, left.y, left.width) + 8)
    left = heading(pen, left, "The hold")
    said = f"VACUUM ON FOR {hold_words(planned)}"
    if planned.latest_start:
        said += f", start by {planned.latest_start}"
    left = words(pen, left.below(1), said, size=14, bold=True)
    left = words(pen, left, f"Times {planned.hold.reason}. {parts_words(planned.seconds)}.", size=11)
    words(pen, left.below(1), pause_words(planned), size=11)
    right = ticks(pen, heading(pen, right, "Before the vacuum"), tuple(_before(plan, planned)))
    _took(planned, pen, right.below(4))


def _took(planned: PlannedSetup, pen: Pen, space: Space) -> None:
    """What the hold really took, and what the office types to keep it."""
    space = heading(pen, space, "What the hold took")
    space = fields(pen, space, ("Vacuum on at", "Vacuum off at", "Minutes between them"), size=11, step=9)
    words(pen, space.below(1), f"office: signplan log JOB {planned.setup.id} MINUTES", size=9)


def _before(plan: Plan, planned: PlannedSetup) -> Iterator[str]:
    setup, holding = planned.setup, plan.shop.holding
    if setup.turn:
        yield f"blank {setup.blank_id}: {turn_words(setup.turn)}"
        if setup.locate == "index pins":
            yield "holes seat on the index pins by hand, no rocking"
        else:
            edge, stop = ("right", "left") if setup.turn == "side" else ("far", "near")
            yield f"pushed into the corner stops; its {edge} edge of before now lies against the {stop} stop"
        yield f"the corner that was marked X0 Y0 now lies {marked_corner(setup)}"
    else:
        yield f"blank {setup.blank_id} measured (stock sheet), seated in the corner stops"
    yield f"{face_up(setup)}: look, and say it aloud"
    yield "X0 Y0 at the near left corner, Z0 on top of the blank"
    if put_in_later(planned, plan):
        yield f"tools without RELOAD beside them in place, measured; first in spindle: {planned.first_tool}"
        yield "the others laid ready: they go in when the operations sheet says RELOAD"
    else:
        yield f"every tool below in its place, measured; first in the spindle: {planned.first_tool}"
    if holding.kind != "screws":
        yield f"vacuum gauge at {holding.inches_of_mercury:g} inHg or more"
    if holding.kind != "vacuum":
        yield "screws in the marked places only, heads below the board's face"
    yield "dust extraction on, dry run above the board done"


def pause_words(planned: PlannedSetup) -> str:
    """Where the work may rest."""
    cut_out = any(each.operation.kind == "cutout" for each in planned.operations)
    said = (
        "Safe to pause: after any operation that is ticked, spindle stopped, VACUUM LEFT ON. The lines "
        "between tools in the list are the best places. Never in the middle of an operation."
    )
    return said + (" Once the cut-out has begun, finish it." if cut_out else "")


# The operations

OPERATIONS = (
    Column("", 9),
    Column("no.", 12, bold=True),
    Column("what", 86),
    Column("rpm", 20, "right"),
    Column("feed", 20, "right"),
    Column("deep", 20, "right"),
    Column("min:s", 20, "right"),
    Column("done at", 22, "right", bold=True),
    Column("   initials", 34),
)


def _operations(plan: Plan, planned: PlannedSetup, content: Space, name: str) -> Iterator[Page]:
    units, numbered = plan.job.job.units, operation_numbers(plan)
    times = dict(zip((e.operation.id for e in planned.operations), running_clock(planned), strict=True))
    rows: list[Sequence[Cell]] = []
    bands: set[int] = set()
    for first, block in enumerate(blocks(planned)):
        rows += _reload_rows(plan, block, bands, len(rows))
        bands.add(len(rows))
        rows.append(_band(plan, planned, block, first=first == 0))
        rows += [
            _operation(plan, each, numbered[each.operation.id], times[each.operation.id][1]) for each in block
        ]
    bands.add(len(rows))
    rows.append(_end(plan, planned))
    columns = tuple(
        Column(f"feed {feed_unit(units)}", c.share, c.align) if c.title == "feed" else c for c in OPERATIONS
    )
    whole = table(columns, rows, content.width, size=10.5, row_height=7.7, bands=frozenset(bands))
    parts = list(paged(whole, content.width, repeat(content.height)))
    for number, part in enumerate(parts, 1):
        run = f", sheet {number} of {len(parts)}" if len(parts) > 1 else ""
        yield Page(
            title=f"{name} · operations",
            subtitle=f"In this order; tick each when it is done. The clock runs from vacuum on{run}",
            draw=partial(_flow, part),
            setup=planned.setup.id,
        )


def _flow(part: Table | None, pen: Pen, space: Space) -> None:
    if part:
        pen.flow(part, space.x, space.y, space.width)


def _band(plan: Plan, planned: PlannedSetup, block: Sequence[PlannedOperation], *, first: bool) -> tuple[str]:
    tool = block[0].tool
    named = f"T{tool.number}  {tool.id}  ({tool_words(tool, plan.job.job.units)})"
    if first and not planned.starts_with_change:
        return (f"{clock(0)}   START with {named}, in the spindle already",)
    if first:
        return (f"{clock(0)}   START: change to {named}",)
    again = why_again(planned, block)
    return (f"safe to pause here · CHANGE to {named}" + (f" again: {again}" if again else ""),)


def _reload_rows(
    plan: Plan, block: Sequence[PlannedOperation], bands: set[int], at: int
) -> Iterator[Sequence[Cell]]:
    ids = {each.operation.id for each in block}
    tools = {tool.id: tool for tool in plan.shop.tools}
    takes = f", {plan.shop.tool_change.reload_minutes:g} min"
    for reload in plan.order.reloads:
        if reload.before in ids:
            when = f"STOP, vacuum stays on{takes}" if reload.in_hold else "before the hold"
            takes = ""
            bands.add(at)
            at += 1
            yield (
                f"RELOAD ({when}): take {reload.tool_out} out of place {reload.slot}, put in "
                f"T{tools[reload.tool_in].number} {reload.tool_in}, measure it",
            )


def _operation(plan: Plan, each: PlannedOperation, number: int, end: float) -> Sequence[Cell]:
    units, what = plan.job.job.units, work_words(each.operation, feature_tag(plan, each.operation.feature))
    return (
        Tick(f"operation {number}, {what}, done"),
        str(number),
        what,
        spindle(each.cutting.rpm),
        feed(each.cutting.feed, units),
        place(each.operation.depth, units),
        minutes_seconds(each.seconds),
        clock(end),
        "do not pause" if each.operation.kind == "cutout" else Entry(f"operation {number}, initials"),
    )


def _end(plan: Plan, planned: PlannedSetup) -> tuple[str]:
    after = next_of_blank(plan, planned.setup)
    then = (
        f"clean, {turn_words(after.setup.turn)}: setup {after.setup.id}"
        if after and after.setup.turn
        else "clean"
    )
    if planned.setup.cuts_out:
        then = "spindle stopped, cutter clear, then lift the panels out; clean"
    return (f"{clock(planned.hold.seconds)}   VACUUM OFF: {then}",)
