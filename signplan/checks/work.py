"""Can this shop do the work: bed, magazine, spindle, chip, and the hold before closing time?"""

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from signplan.findings import Finding, Severity
from signplan.job.model import Job
from signplan.job.shop import Shop
from signplan.operations.model import Grooving
from signplan.schedule.model import PlannedOperation, Schedule
from signplan.timing.feeds import cutting_data, feed_rate
from signplan.units import fine, half_up, shop, to_units

RUBS_LONG = 60.0
"""Seconds of a job that a cutter may rub before it is said: wear comes with time. Common practice."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Day:
    """A job as it is to run on the shop's machine."""

    schedule: Schedule
    job: Job
    shop: Shop

    @property
    def operations(self) -> tuple[PlannedOperation, ...]:
        """Every operation, in working order."""
        return tuple(each for setup in self.schedule.setups for each in setup.operations)

    @property
    def slower(self) -> float:
        """Cutting time as the shop's logged holds have it over that computed."""
        setups = self.schedule.setups
        computed = sum(each.computed.cutting for each in setups)
        return sum(each.seconds.cutting for each in setups) / computed if computed else 1.0

    def say(self, length: float) -> str:
        """A length as the trade reads it."""
        return shop(length, self.job.job.units)

    def fine(self, length: float) -> str:
        """A small length in the job's units."""
        return fine(length, self.job.job.units)

    def chip(self, length: float) -> str:
        """A chip in the job's units, one place finer."""
        units = self.job.job.units
        return f"{half_up(to_units(length, units), 4 if units == 'in' else 3)} {units}"

    def number(self, length: float) -> float:
        """A length in the job's units."""
        return to_units(length, self.job.job.units)


def bed_size(day: Day) -> Iterator[Finding]:
    """A blank must lie on the bed whole, or its far side cannot be reached or held."""
    room = day.shop.machine.bed
    for planned in day.schedule.setups:
        blank, over = planned.setup.blank, planned.setup.turn
        for size, most, axis in zip(blank, room, "XY", strict=False):
            if size > most and not over:
                yield Finding(
                    code="bed-size",
                    severity=Severity.ERROR,
                    message=f"Blank {planned.setup.blank_id} is {day.say(size)} along {axis}; "
                    f"the bed of {day.shop.machine.name} has {day.say(most)}.",
                    where=f"setup {planned.setup.id}",
                    measured=day.number(size),
                    wanted=day.number(most),
                    unit=day.job.job.units,
                    hint="Use two blanks, a narrower border, or a larger machine.",
                )


def cutter_travel(day: Day) -> Iterator[Finding]:
    """The spindle must come from its height over the blank down to the deepest cut."""
    if not day.operations:
        return
    deepest = min(day.operations, key=lambda each: each.path.bounds[2])
    need, room = day.shop.machine.clearance_z - deepest.path.bounds[2], day.shop.machine.travel_z
    if need > room:
        yield Finding(
            code="cutter-travel",
            severity=Severity.ERROR,
            message=f"From its height over the blank to the deepest cut the cutter goes {day.say(need)}; "
            f"{day.shop.machine.name} has {day.say(room)} of travel in Z.",
            where=f"operation {deepest.operation.id}",
            measured=day.number(need),
            wanted=day.number(room),
            unit=day.job.job.units,
            hint="Lower `clearance_z`, or use thinner board.",
        )


def sheet_size(day: Day) -> Iterator[Finding]:
    """A blank must come out of a sheet that the shop buys, either way round."""
    board = day.shop.board(day.job.sign.board)
    for planned in day.schedule.setups if board else ():
        blank, sheet = planned.setup.blank[:2], sorted(board.sheet) if board else []
        if planned.setup.turn or all(a <= b for a, b in zip(sorted(blank), sheet, strict=True)):
            continue
        yield Finding(
            code="sheet-size",
            severity=Severity.WARNING,
            message=f"Blank {planned.setup.blank_id} is {day.say(blank[0])} by {day.say(blank[1])}; a sheet "
            f"of '{day.job.sign.board}' is {day.say(sheet[0])} by {day.say(sheet[1])}.",
            where=f"setup {planned.setup.id}",
            measured=day.number(max(blank)),
            wanted=day.number(max(sheet)),
            unit=day.job.job.units,
            hint="Use two blanks, a narrower border, or join board before it goes on the machine.",
        )


def magazine_full(day: Day) -> Iterator[Finding]:
    """More tools than places: somebody has to put tools in while the job runs."""
    change = day.shop.tool_change
    tools = dict.fromkeys(each.operation.tool for each in day.operations)
    if change.kind == "automatic" and len(tools) > change.slots:
        reloads, stops = day.schedule.order.reloads, day.schedule.order.stops
        yield Finding(
            code="magazine-full",
            severity=Severity.WARNING if stops else Severity.NOTE,
            message=f"The job needs {len(tools)} tools and the magazine has {change.slots} places: "
            f"{len(reloads)} reloads, {stops} of them stopping a hold.",
            where="tool_change.slots",
            measured=len(tools),
            wanted=change.slots,
            unit="tools",
            hint="The setup sheets say which tool goes in where. Fewer different tools would spare them.",
        )


def chip_load(day: Day) -> Iterator[Finding]:
    """A tooth that takes less than its least chip rubs instead of cutting: it burns and dulls.

    At its feed, or because acceleration keeps it from that for a minute or more of the job; one finding a
    tool. A drill is not judged: the board's chip loads are for routing.
    """
    for tool in dict.fromkeys(each.operation.tool for each in day.operations):
        mine = [each for each in day.operations if each.operation.tool == tool and each.tool.shape != "drill"]
        rubs = next((each for each in mine if each.cutting.chip_load < _enough(_least_at_feed(each))), None)
        slow = [each for each in mine if (each.chip_cut or math.inf) < _enough(_least_really(each, day))]
        if rubs:
            chips = rubs.cutting.chip_load, _least_at_feed(rubs)
            yield _too_little(rubs, chips, f"; limited by {rubs.cutting.limited_by}", day)
        elif _rubbing(slow, day) >= RUBS_LONG * (1 - 1e-9):
            yield _held_back(slow, day)


def _rubbing(slow: list[PlannedOperation], day: Day) -> float:
    """Seconds that these cut sideways, as the shop's logged holds have it."""
    return sum(each.pace.seconds for each in slow) * day.slower


def _enough(least: float) -> float:
    return least * (1 - 1e-9)


def _least_at_feed(each: PlannedOperation) -> float:
    return each.cutting.chip_range[0]


def _least_really(each: PlannedOperation, day: Day) -> float:
    """The same; of a groove, whose depth changes, at its mean depth: the feed is set for the deepest."""
    work, board = each.operation.work, day.shop.board(day.job.sign.board)
    if not isinstance(work, Grooving) or board is None:
        return _least_at_feed(each)
    depth = max(each.path.mean_depth - work.top, 1e-3)
    return cutting_data(each.tool, board, day.shop.machine, depth=depth).chip_range[0]


def _held_back(slow: list[PlannedOperation], day: Day) -> Finding:
    """What acceleration leaves of the chip where that is too little, told by the longest of those cuts."""
    longest = max(slow, key=lambda each: each.pace.seconds)
    chip, least = longest.chip_cut or 0.0, _least_really(longest, day)
    minutes = _rubbing(slow, day) / 60
    cuts = f"{len(slow)} {'cut' if len(slow) == 1 else 'cuts'}, {minutes:.0f} min"
    why = f": on short moves it does not reach its feed ({cuts})"
    finding = _too_little(longest, (chip, least), why, day)
    cutting, slowest = longest.cutting, day.shop.machine.rpm[0]
    enough = math.floor(cutting.rpm * chip / least / 100) * 100
    rpm = max(enough, slowest)
    if rpm >= cutting.rpm:
        return finding
    feed = min(cutting.feed, feed_rate(rpm, longest.tool.flutes, cutting.chip_range[1])) * 60
    hint = f"At {rpm:.0f} rpm, fed at {day.number(feed):.0f} {day.job.job.units}/min at most, "
    more = "it would cut." if enough >= slowest else f"it would rub less. {finding.hint}"
    return replace(finding, hint=hint + more)


def _too_little(each: PlannedOperation, chips: tuple[float, float], why: str, day: Day) -> Finding:
    """`chips` are what a tooth takes and the least that it should."""
    chip, least = chips
    return Finding(
        code="chip-load",
        severity=Severity.WARNING,
        message=f"'{each.operation.tool}' takes {day.chip(chip)} a tooth where the board asks for "
        f"{day.chip(least)} at least{why}.",
        where=f"operation {each.operation.id}",
        measured=day.number(chip),
        wanted=day.number(least),
        unit=day.job.job.units,
        hint="A cutter with fewer flutes takes more a tooth.",
    )


def spindle_range(day: Day) -> Iterator[Finding]:
    """The speed that would hold the chip lies below what the spindle can turn."""
    seen: set[str] = set()
    for each in day.operations:
        cutting = each.cutting
        too_slow = cutting.limited_by == "lowest rpm" and each.tool.shape != "drill"
        if too_slow and each.operation.tool not in seen:
            seen.add(each.operation.tool)
            yield Finding(
                code="spindle-range",
                severity=Severity.NOTE,
                message=f"'{each.operation.tool}' would hold its chip at {cutting.rpm_wanted:.0f} rpm; "
                f"the spindle turns no slower than {cutting.rpm:.0f}.",
                where=f"operation {each.operation.id}",
                measured=cutting.rpm_wanted,
                wanted=cutting.rpm,
                unit="rpm",
                hint="A cutter with fewer flutes asks for more speed.",
            )


def hold_too_long(day: Day) -> Iterator[Finding]:
    """Once begun a hold is finished: it must end before the shop closes."""
    start, until = day.job.work.start, day.job.work.until
    if start is None or until is None:
        return
    open_s = (_minutes(until) - _minutes(start)) * 60
    for planned in day.schedule.setups:
        if planned.hold.high > open_s:
            yield Finding(
                code="hold-too-long",
                severity=Severity.ERROR,
                message=f"Setup {planned.setup.id} may hold for {planned.hold.high / 60:.0f} min; "
                f"from {start} to {until} there are {open_s / 60:.0f} min.",
                where=f"setup {planned.setup.id}",
                measured=planned.hold.high / 60,
                wanted=open_s / 60,
                unit="min",
                hint=_by_the_log(planned.hold.reason)
                + "Two blanks make shorter holds; so do fewer or larger cutters.",
            )


def _by_the_log(reason: str) -> str:
    """Whoever slipped in the log must look there first."""
    if reason.startswith("computed"):
        return ""
    return f"That is {reason}: look in the shop's log for a slip of the pen (what it took, in minutes). "


def _minutes(clock: str) -> int:
    hours, minutes = clock.split(":")
    return int(hours) * 60 + int(minutes)


CHECKS: tuple[Callable[[Day], Iterator[Finding]], ...] = (
    bed_size,
    cutter_travel,
    sheet_size,
    magazine_full,
    chip_load,
    spindle_range,
    hold_too_long,
)
"""One rule of the shop each, one code each."""


def check_work(day: Day) -> Iterator[Finding]:
    """Everything that stands against doing the job on this machine, on this day."""
    for check in CHECKS:
        yield from check(day)
