"""What a steel pin can do to a setup: let a blank be turned wrong, or stand where a cutter goes."""

import math
from collections.abc import Callable, Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point

from signplan.checks.work import Day
from signplan.findings import Finding, Severity
from signplan.geometry.precision import SAME
from signplan.schedule.model import PlannedOperation
from signplan.sign.dowels import PIN_CLEAR
from signplan.sign.register import is_ambiguous
from signplan.sign.setups import Setup
from signplan.toolpaths.model import Move


def turn_ambiguous(day: Day) -> Iterator[Finding]:
    """A blank that also fits its pins when it is turned the wrong way is cut on the wrong face or end."""
    for planned in day.schedule.setups:
        setup = planned.setup
        pins = tuple((pin.x, pin.y, pin.diameter) for pin in setup.pins)
        wide, deep, _ = setup.blank
        if not setup.turn or not pins or not is_ambiguous(pins, (wide, deep), setup.turn):
            continue
        yield Finding(
            code="turn-ambiguous",
            severity=Severity.ERROR,
            message=f"Blank {setup.blank_id} also fits its index pins when it is turned the wrong way.",
            where=f"setup {setup.id}",
            wanted=day.number(max(diameter for _, _, diameter in pins)),
            unit=day.job.job.units,
            hint="Move one pin along the turning axis by more than its diameter.",
        )


def pin_in_path(day: Day) -> Iterator[Finding]:
    """A cutter that meets a steel pin breaks, and throws its pieces."""
    for planned in day.schedule.setups:
        setup = planned.setup
        if not setup.turn:
            continue
        for each in planned.operations:
            room, spot = _nearest_pin(setup, each)
            if room >= PIN_CLEAR - SAME:
                continue
            yield Finding(
                code="pin-in-path",
                severity=Severity.ERROR,
                message=f"In setup {setup.id}, '{each.operation.tool}' comes within {day.fine(room)} of the "
                f"index pin at ({day.fine(spot[0])}, {day.fine(spot[1])}) of the blank, cutting "
                f"{each.operation.feature}; {day.fine(PIN_CLEAR)} is wanted.",
                where=f"operation {each.operation.id}",
                measured=day.number(room),
                wanted=day.number(PIN_CLEAR),
                unit=day.job.job.units,
                hint="Widen the border, turn the blank the other way, or name a smaller cutter.",
            )


def _nearest_pin(setup: Setup, each: PlannedOperation) -> tuple[float, tuple[float, float]]:
    """Room between a cutter and the nearest pin while it is down, and where that pin stands.

    Infinite if it is more than enough.
    """
    radius = each.tool.diameter / 2
    down = _low(each.path.points, each.path.moves)
    low, high = down.min(axis=1), down.max(axis=1)
    nearest: tuple[float, tuple[float, float]] = (math.inf, (0.0, 0.0))
    for pin in setup.pins:
        place = np.array([pin.x, pin.y])
        reach = radius + pin.diameter / 2 + PIN_CLEAR
        close = ((low - reach < place) & (place < high + reach)).all(axis=1)
        if not close.any():
            continue
        away = np.asarray(shapely.distance(shapely.linestrings(down[close]), Point(place)))
        room = float(away.min()) - radius - pin.diameter / 2
        nearest = min(nearest, (room, (pin.x, pin.y)))
    return nearest


def _low(points: NDArray[np.float64], moves: NDArray[np.int8]) -> NDArray[np.float64]:
    """The moves below the top of the blank, seen from above, (n, 2, 2)."""
    pairs = np.stack([points[:-1], points[1:]], axis=1)
    below = (pairs[:, :, 2].min(axis=1) < 0) & (moves != Move.RAPID)
    seen: NDArray[np.float64] = pairs[below][:, :, :2]
    return seen


CHECKS: tuple[Callable[[Day], Iterator[Finding]], ...] = (turn_ambiguous, pin_in_path)
"""One rule of the shop each, one code each."""


def check_machine(day: Day) -> tuple[Finding, ...]:
    """Everything that the index pins stand against."""
    return tuple(finding for check in CHECKS for finding in check(day))
