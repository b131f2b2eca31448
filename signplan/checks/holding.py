"""Will it stay put, and does anything stand in the way of a cutter?"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from shapely import MultiPolygon, Point, box

from signplan.checks.work import Day
from signplan.findings import Finding, Severity
from signplan.job.shop import Board
from signplan.operations.model import CuttingOut
from signplan.operations.practice import BREAKTHROUGH
from signplan.schedule.holding import SAFE, Hold
from signplan.schedule.screws import SCREW_CLEAR
from signplan.sign.model import Sign
from signplan.sign.wind import NEWTONS_PER_POUND
from signplan.units import Units

SMALL_MM2 = 50_000.0
"""A part under 500 cm2 (77.5 in2) is never left to vacuum alone: the rule of a maker of vacuum tables. Its
page likens that to a 5 inch circle, which is wrong: a circle of 500 cm2 is 10 inches across."""

FEWEST_SCREWS = 2
"""About a single screw a board turns; common practice."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Held:
    """A job on its machine, how each setup is held, and what it is cut from."""

    day: Day
    holds: tuple[Hold, ...]
    sign: Sign
    board: Board


def hold_weak(held: Held) -> Iterator[Finding]:
    """Friction under the vacuum must beat the cutter three times over; told of each setup's weakest cut."""
    if held.day.shop.holding.kind == "screws":
        return
    for hold in held.holds:
        weakest, units = hold.weakest, held.day.job.job.units
        if weakest.factor >= SAFE:
            continue
        yield Finding(
            code="hold-weak",
            severity=Severity.ERROR if weakest.factor < 1 else Severity.WARNING,
            message=f"Vacuum holds {weakest.piece} against {_force(weakest.side, units)} sideways; the "
            f"cutter pushes with up to {_force(weakest.push, units)}, and {SAFE:g} times that is wanted.",
            where=f"operation {weakest.operation}",
            measured=weakest.factor,
            wanted=SAFE,
            unit="times",
            hint="Add screws, cover the open bed, or take lighter cuts." + _places(hold, held.day),
        )


def piece_loose(held: Held) -> Iterator[Finding]:
    """A small piece that nothing but vacuum holds is lifted and thrown when its kerf opens."""
    for piece in (piece for hold in held.holds for piece in hold.pieces):
        if piece.skin or piece.tabs or piece.area >= SMALL_MM2:
            continue
        units = held.day.job.job.units
        yield Finding(
            code="piece-loose",
            severity=Severity.WARNING,
            message=f"The cut-out frees {piece.name}, {_area(piece.area, units)}, with no tab: it is too "
            "small for vacuum alone and may be thrown.",
            where=f"operation {piece.operation}",
            measured=_square(piece.area, units),
            wanted=_square(SMALL_MM2, units),
            unit=f"{units}2",
            hint="Hold parts by a skin (`hold_parts_by`), bore it away as a hole, or tape it down.",
        )


def skin_thin(held: Held) -> Iterator[Finding]:
    """A skin must be thicker than what the board and the bed may be out by, or it is cut through."""
    out = held.board.thickness_error + held.day.shop.holding.spoilboard_error
    for each in held.day.operations:
        work = each.operation.work
        if not isinstance(work, CuttingOut) or work.tabs or work.left > out:
            continue
        yield Finding(
            code="skin-thin",
            severity=Severity.WARNING,
            message=f"A skin of {held.day.fine(work.left)} is to hold panel {each.operation.panel}; board "
            f"and bed together may be out by {held.day.fine(out)}.",
            where=f"operation {each.operation.id}",
            measured=held.day.number(work.left),
            wanted=held.day.number(out),
            unit=held.day.job.job.units,
            hint="Measure the board and state its `thickness_error`, skim the bed, set Z from the bed, or "
            "hold parts by tabs.",
        )


def cutout_short(held: Held) -> Iterator[Finding]:
    """Board thicker than the cut-out goes stays joined; only a shop that states its board's error is told."""
    out = held.board.thickness_error
    if "thickness_error" not in held.board.model_fields_set or out <= BREAKTHROUGH:
        return
    for each in held.day.operations:
        work = each.operation.work
        if not isinstance(work, CuttingOut) or not work.tabs:
            continue
        yield Finding(
            code="cutout-short",
            severity=Severity.WARNING,
            message=f"The cut-out of panel {each.operation.panel} goes {held.day.fine(BREAKTHROUGH)} below "
            f"the board, which may be {held.day.fine(out)} thicker: it may not be cut through.",
            where=f"operation {each.operation.id}",
            measured=held.day.number(BREAKTHROUGH),
            wanted=held.day.number(out),
            unit=held.day.job.job.units,
            hint="Measure this board: state its real thickness as `sign.panel` and what it is then out by as "
            "`thickness_error`.",
        )


def clamp_in_path(held: Held) -> Iterator[Finding]:
    """A cutter that meets a screw breaks, and throws its pieces: rapids and lead-ins count like cuts."""
    for hold in held.holds:
        for each in hold.obstacles:
            day, way = held.day, "in a rapid" if each.rapid else "cutting"
            yield Finding(
                code="clamp-in-path",
                severity=Severity.ERROR,
                message=f"The screw at {_place(each.screw, day)} of setup {hold.setup} is "
                f"{day.fine(each.room)} from the edge of a cutter {way}; {day.fine(SCREW_CLEAR)} is wanted.",
                where="holding.screws",
                measured=day.number(each.room),
                wanted=day.number(SCREW_CLEAR),
                unit=day.job.job.units,
                hint=f"Nearest is {each.operation}. Move the screw." + _places(hold, day),
            )


def screw_misplaced(held: Held) -> Iterator[Finding]:
    """A screw off the blank holds nothing; one through a panel leaves its hole in the sign."""
    day = held.day
    for planned in day.schedule.setups if day.shop.holding.kind != "vacuum" else ():
        wide, deep, _ = planned.setup.blank
        panels = [place.shape(held.sign.panel(panel).outline) for panel, place in planned.setup.placements]
        for x, y in day.shop.holding.screws:
            if not (0 <= x <= wide and 0 <= y <= deep):
                what = "off the blank"
            elif MultiPolygon(panels).contains(Point(x, y)):
                what = "inside the sign"
            else:
                continue
            yield Finding(
                code="screw-misplaced",
                severity=Severity.WARNING,
                message=f"The screw at {_place((x, y), day)} of setup {planned.setup.id} is {what}.",
                where="holding.screws",
                hint="Screws belong in the waste round the panels."
                + _places(next(hold for hold in held.holds if hold.setup == planned.setup.id), day),
            )


def screws_missing(held: Held) -> Iterator[Finding]:
    """Where screws alone hold, too few on the blank are an error; beside a vacuum they only want places."""
    holding = held.day.shop.holding
    if holding.kind == "vacuum":
        return
    alone = holding.kind == "screws"
    for planned, hold in zip(held.day.schedule.setups, held.holds, strict=True):
        blank = box(0, 0, *planned.setup.blank[:2])
        on = sum(blank.covers(Point(screw)) for screw in holding.screws) if alone else len(holding.screws)
        if on >= (FEWEST_SCREWS if alone else 1):
            continue
        missing = f"only {on} place on its blank" if on else "no place for one on its blank"
        yield Finding(
            code="screws-missing",
            severity=Severity.ERROR if alone else Severity.NOTE,
            message=f"Setup {hold.setup} is held by screws{' alone' if alone else ' too'}, and {missing} is "
            "stated.",
            where="holding.kind",
            measured=on,
            wanted=FEWEST_SCREWS if alone else 1,
            unit="screws",
            hint=f"State places in `holding.screws`.{_places(hold, held.day)}"
            if hold.proposed
            else "No place in the waste is clear: widen the border.",
        )


def _places(hold: Hold, day: Day) -> str:
    if not hold.proposed:
        return ""
    return " Clear of every path: " + ", ".join(_place(spot, day) for spot in hold.proposed) + "."


def _place(spot: tuple[float, float], day: Day) -> str:
    return f"({day.say(spot[0])}, {day.say(spot[1])})"


def _force(newtons: float, units: Units) -> str:
    """A force as the trade reads it, pounds-force in an inch job."""
    return f"{newtons / NEWTONS_PER_POUND:.0f} lbf" if units == "in" else f"{newtons:.0f} N"


def _square(area: float, units: Units) -> float:
    return area / 25.4**2 if units == "in" else area


def _area(area: float, units: Units) -> str:
    return f"{area / 25.4**2:.1f} in2" if units == "in" else f"{area / 100:.0f} cm2"


CHECKS: tuple[Callable[[Held], Iterator[Finding]], ...] = (
    hold_weak,
    piece_loose,
    skin_thin,
    cutout_short,
    clamp_in_path,
    screw_misplaced,
    screws_missing,
)
"""One rule of the shop each, one code each."""


def check_holding(held: Held) -> Iterator[Finding]:
    """Everything that may come loose or be hit."""
    for check in CHECKS:
        yield from check(held)
