"""Rules on moves that need no plan, only the shop: spindle, feeds, rapids, arcs, places.

Each rule is a generator of one code over a batch of moves. Sections are those of RS274/NGC (NISTIR 6556,
2000), from memory. Where many moves break a rule, one sighting counts
them and quotes the worst.
"""

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from signplan.findings import Severity
from signplan.job.shop import Tool
from signplan.programs.model import (
    NO_TOOL,
    Bools,
    Context,
    Floats,
    Ints,
    Moves,
    Sighting,
    chosen,
    is_constant,
)
from signplan.timing.feeds import chip_range
from signplan.units import decimal, to_units

MoveRule = Callable[[Moves, Context], Iterator[Sighting]]

SAME_HEIGHT = 0.01
"""mm by which two heights may differ and be meant as the same: rounding of inches, twice."""

CHIP_ROOM = 1.02
"""Feeds and speeds are posted as whole numbers; a chip that much past its range is not worth a word."""


def feed_missing(moves: Moves, context: Context) -> Iterator[Sighting]:
    """A move at a feed needs one: an F before it, or with G93 an F on its own line (3.5.2, 3.5.19)."""
    bad = np.isnan(moves.feed)  # a rapid has no feed, but that is infinite
    if bad.any():
        yield seen(moves, bad, "feed-missing", "a move at a feed, but no feed (F) is given for it")


def motion_missing(moves: Moves, context: Context) -> Iterator[Sighting]:
    """Axis words need a motion code: after G80, or at the top, there is none in force (3.5.17)."""
    for fault in moves.faults:
        if fault.kind == "motion":
            yield Sighting(
                code="motion-missing",
                severity=Severity.ERROR,
                message="axis words, but no motion (G0, G1, G2, G3) is in force",
                line=fault.line,
                hint="put G0 or G1 on the line",
            )


def arc_wrong(moves: Moves, context: Context) -> Iterator[Sighting]:
    """An arc has one centre, in its plane, as far from its start as from its end (3.5.3)."""
    for fault in moves.faults:
        if fault.kind == "arc":
            yield Sighting(
                code="arc-wrong",
                severity=Severity.ERROR,
                message=f"an arc that is none: {fault.why}",
                line=fault.line,
                hint="a control stops here with an alarm, or cuts another curve",
            )


def place_unknown(moves: Moves, context: Context) -> Iterator[Sighting]:
    """A cut has to start and end somewhere: every axis is said once before it, in absolute distance."""
    if is_constant(moves.known) and moves.known[:1].all():
        return
    bad = moves.cutting & ~moves.known
    if bad.any():
        yield seen(
            moves,
            bad,
            "place-unknown",
            "a cut from or to a place that the program has not said",
            hint="start with X, Y and Z in absolute distance (G90)",
        )


def spindle_off(moves: Moves, context: Context) -> Iterator[Sighting]:
    """The spindle turns before a cut: M6 stops it, and S alone does not start it (3.6.2, 3.6.3)."""
    bad = moves.cutting & ~(moves.rpm > 0)
    if bad.any():
        yield seen(
            moves,
            bad,
            "spindle-off",
            "a move at a feed while the spindle stands",
            hint="M3 and S after every tool change, before the first cut",
        )


def spindle_range(moves: Moves, context: Context) -> Iterator[Sighting]:
    """The spindle has a lowest and a highest speed."""
    low, high = context.shop.machine.rpm
    if is_constant(moves.rpm) and (moves.rpm[:1] == 0).any():
        return
    bad = (moves.rpm > 0) & ((moves.rpm < low) | (moves.rpm > high))
    if bad.any():
        rpm = float(moves.rpm[bad][0])
        yield seen(
            moves,
            bad,
            "spindle-range",
            f"spindle at {rpm:g} rpm; this machine turns from {low:g} to {high:g}",
            severity=Severity.WARNING,
            subject=f"{rpm:g}",
            measured=rpm,
            wanted=low if rpm < low else high,
            unit="rpm",
        )


def rapid_low(moves: Moves, context: Context) -> Iterator[Sighting]:
    """Nothing moves sideways at rapid below the clearance height."""
    if moves.cutting.all():
        return
    clearance = context.shop.machine.clearance_z
    at = np.flatnonzero(~moves.cutting)
    start, end = chosen(moves.start, at), chosen(moves.end, at)
    lowest = np.minimum(start[2], end[2])
    sideways = (start[0] != end[0]) | (start[1] != end[1])
    low = sideways & (lowest < clearance - SAME_HEIGHT)
    if not low.any():
        return
    bad = np.zeros(len(moves), dtype=bool)
    bad[at[low]] = True
    height = np.full(len(moves), np.inf)
    height[at] = lowest
    deepest = float(height[bad].min())
    yield seen(
        moves,
        bad,
        "rapid-low",
        f"a rapid sideways at Z {decimal(deepest, context.units)}, below the clearance height of "
        f"{decimal(clearance, context.units)}",
        severity=Severity.ERROR,
        worst=-height,
        measured=to_units(deepest, context.units),
        wanted=to_units(clearance, context.units),
        unit=context.units,
        hint="go up to the clearance height first",
    )


def bored(moves: Moves) -> Floats:
    """How low the tool has cut, before each move, at the very place where it stands; (n,)."""
    cut_to = np.where(moves.cutting, moves.end[2], np.inf)
    before = np.concatenate(([moves.bored_before], cut_to[:-1]))
    sideways = (moves.end[0] != moves.start[0]) | (moves.end[1] != moves.start[1])
    place = np.cumsum(np.concatenate(([False], sideways[:-1])))
    # Every place in turn is moved far below the one before it, so that the running minimum starts anew.
    far = 1e5
    lowest = np.minimum.accumulate(np.clip(before, -far / 4, far / 4) - place * far)
    height: Floats = lowest + place * far
    return height


def feed_range(moves: Moves, context: Context) -> Iterator[Sighting]:
    """The machine has a highest feed; it cuts slower than the program says, with a smaller chip."""
    most = context.shop.machine.feed_max
    bad = (moves.feed > most * CHIP_ROOM) & moves.cutting
    if bad.any():
        fastest = float(moves.feed[bad].max())
        units = context.units
        yield seen(
            moves,
            bad,
            "feed-range",
            f"a feed of {to_units(fastest * 60, units):.0f} {units}/min; this machine has "
            f"{to_units(most * 60, units):.0f}",
            severity=Severity.WARNING,
            worst=moves.feed,
            measured=to_units(fastest * 60, units),
            wanted=to_units(most * 60, units),
            unit=f"{units}/min",
        )


def chip_out_of_range(moves: Moves, context: Context) -> Iterator[Sighting]:
    """Feed over speed and flutes is the chip; below the board's range the cutter rubs, above it breaks.

    Only moves along the board are judged: down into it the feed is lower on purpose.
    """
    for number, mine in by_tool(moves):
        tool = context.tool(number)
        if tool is None:
            continue
        low, high = _chips_of(context, tool)
        with np.errstate(divide="ignore", invalid="ignore"):
            chip = moves.feed * (60 / tool.flutes) / moves.rpm
        for bad in (chip * CHIP_ROOM < low, chip > high * CHIP_ROOM):
            bad &= mine & np.isfinite(chip)
            if bad.any():
                bad &= _along_the_board(moves)
            if bad.any():
                yield _chip_sighting(moves, bad, chip, context, tool)


def _chip_sighting(moves: Moves, bad: Bools, chip: Floats, context: Context, tool: Tool) -> Sighting:
    """`bad` are moves that are all below the range, or all above it."""
    units = context.units
    low, high = _chips_of(context, tool)
    below = bool(chip[bad][0] < low)
    worst = -chip if below else chip
    at = np.flatnonzero(bad)
    k = int(at[np.argmax(worst[at])])
    taken, least, most = (to_units(float(each), units) for each in (chip[k], low, high))
    return seen(
        moves,
        bad,
        "chip-load",
        f"T{tool.number} takes a chip of {taken:.4f} {units} "
        f"({to_units(float(moves.feed[k]) * 60, units):.0f} {units}/min at {float(moves.rpm[k]):.0f} rpm); "
        f"{tool.id} in {context.board.id} wants {least:.4f} to {most:.4f}",
        severity=Severity.WARNING,
        subject=f"T{tool.number} {'below' if below else 'above'}",
        worst=worst,
        measured=taken,
        wanted=least if below else most,
        unit=units,
        hint="change the feed or the speed in the program",
    )


def _along_the_board(moves: Moves) -> Bools:
    """Moves below the top of the blank that go further along it than down or up."""
    with np.errstate(invalid="ignore"):
        step = np.abs(moves.end - moves.start)
    flat = np.maximum(step[0], step[1]) > step[2]
    along: Bools = flat & (np.minimum(moves.end[2], moves.start[2]) < 0)
    return along


def by_tool(moves: Moves) -> Iterator[tuple[int, Bools]]:
    """Every tool number of the moves, and which of them it makes."""
    if len(moves) and (is_constant(moves.change) or moves.change[0] == moves.change[-1]):
        yield int(moves.tool[0]), np.ones(len(moves), dtype=bool)
        return
    begins = np.flatnonzero(np.diff(moves.change, prepend=moves.change[:1] - 1))
    for number in sorted(set(moves.tool[begins].tolist())):
        yield number, moves.tool == number


def _chips_of(context: Context, tool: Tool) -> tuple[float, float]:
    """Least and most chip, mm: what the plan gives this tool in this setup, or else the board's range."""
    planned = context.planned.operations if context.planned else ()
    ranges = [each.cutting.chip_range for each in planned if each.tool.id == tool.id]
    if not ranges:
        return chip_range(context.board.chip_load, tool.diameter)
    return min(low for low, _ in ranges), max(high for _, high in ranges)


def length_offset(moves: Moves, context: Context) -> Iterator[Sighting]:
    """After a tool change the length of the new tool is taken (G43), not left as that of the old."""
    if context.dialect != "rs274ngc" or not (~moves.measured & (moves.change > 0)).any():
        return
    bad = moves.cutting & ~moves.measured & (moves.change > 0) & (moves.end[2] < 0)
    if bad.any():
        tool = int(moves.tool[bad][0])
        yield seen(
            moves,
            bad,
            "length-offset",
            f"{'T' + str(tool) if tool != NO_TOOL else 'a tool'} cuts without a length offset (G43) "
            "since it was changed",
            severity=Severity.WARNING,
            subject=f"T{tool}",
            hint="leave it so only if your changer or the person at the machine sets the length",
        )


def seen(
    moves: Moves,
    bad: Bools,
    code: str,
    message: str,
    *,
    severity: Severity = Severity.ERROR,
    worst: Floats | None = None,
    **more: Any,
) -> Sighting:
    """One sighting for all bad moves; it stands where `worst` is greatest, or else at the first."""
    at = np.flatnonzero(bad)
    place = at[0] if worst is None else at[np.argmax(worst[at])]
    return Sighting(
        code=code,
        severity=severity,
        message=message,
        line=int(moves.line[place]),
        count=_lines(moves.line[at], moves.last_line[at]),
        worst=0.0 if worst is None else float(worst[place]),
        **more,
    )


def _lines(first: Ints, last: Ints) -> int:
    """How many lines there are in some stretches of lines, which come in order and may share their ends."""
    before = np.concatenate(([-1], last[:-1]))
    return int(np.maximum(last - np.maximum(first, before + 1) + 1, 0).sum())


MOVE_RULES: tuple[MoveRule, ...] = (
    motion_missing,
    arc_wrong,
    feed_missing,
    place_unknown,
    spindle_off,
    spindle_range,
    rapid_low,
    feed_range,
    chip_out_of_range,
    length_offset,
)
