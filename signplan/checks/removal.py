"""What the paths really remove: every feature swept through a height field of the board, on request.

It is independent of how the paths were made, and takes about half a minute for a sign.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from signplan.findings import Finding, Severity
from signplan.schedule.model import PlannedSetup
from signplan.toolpaths.proof import Removal, Run, removal

CELL = 0.5
"""Width of a cell of the height field, mm."""

TOLERANCE = 0.1
"""What may stand above a floor, mm."""

BELOW = 0.15
"""How far below its floor a chorded path over the cells may seem to cut, mm."""

PLACE, ALONG = 5.0, 0.002
"""Area that cells on a border may be wrong by, mm2: for a feature, and for each mm of its border."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Swept:
    """A feature of a setup, what its paths did, and how long its border is, mm."""

    setup: str
    done: Removal
    border: float

    @property
    def slight(self) -> float:
        """An area, mm2, that says nothing."""
        return PLACE + ALONG * self.border


def sweep(setups: tuple[PlannedSetup, ...], width: float) -> Iterator[Swept]:
    """Every feature of every panel, swept in working order; `width` is the sign's."""
    for planned in setups:
        features: dict[tuple[str, str], list[Run]] = {}
        for each in planned.operations:
            if each.operation.panel:
                back = planned.setup.from_view(each.operation.panel, width).inverse()
                run = (each.operation, each.tool, each.path.placed(back))
                features.setdefault((each.operation.panel, each.operation.feature), []).append(run)
        for runs in features.values():
            done = removal(runs, cell=CELL, tolerance=TOLERANCE)
            region = getattr(runs[-1][0].work, "region", None)
            yield Swept(setup=planned.setup.id, done=done, border=region.length if region else 0.0)


def rapid_strikes(swept: Swept) -> Iterator[Finding]:
    """A rapid move must never meet board."""
    if swept.done.struck > TOLERANCE:
        yield _finding("rapid-strikes", swept, f"a rapid goes {swept.done.struck:.2f} mm into board")


def cut_below(swept: Swept) -> Iterator[Finding]:
    """Nothing is cut below its floor: there is a pocket, or air, behind it."""
    if swept.done.below > BELOW:
        yield _finding("cut-below", swept, f"board is cut {swept.done.below:.2f} mm below its floor")


def cut_beside(swept: Swept) -> Iterator[Finding]:
    """Nothing outside its region is cut: the face beside it is seen."""
    if swept.done.outside > swept.slight:
        yield _finding("cut-beside", swept, f"{swept.done.outside:.1f} mm2 outside the region are cut")


def board_left(swept: Swept) -> Iterator[Finding]:
    """Nothing is left standing but what the plan says that no cutter reaches."""
    over = swept.done.left - swept.done.missed
    if over > swept.slight:
        yield _finding("board-left", swept, f"{over:.1f} mm2 still stand above the floor")


def _finding(code: str, swept: Swept, what: str) -> Finding:
    return Finding(
        code=code,
        severity=Severity.ERROR,
        message=f"Swept through the board, {swept.done.feature} in setup {swept.setup}: {what}.",
        where=swept.done.feature,
        hint="A fault of the program, not of the job: do not cut it, and send the job to its authors.",
    )


CHECKS: tuple[Callable[[Swept], Iterator[Finding]], ...] = (rapid_strikes, cut_below, cut_beside, board_left)
"""One rule each, one code each."""


def check_removal(setups: tuple[PlannedSetup, ...], width: float) -> tuple[Finding, ...]:
    """Everything that the swept paths do other than the plan says."""
    return tuple(finding for swept in sweep(setups, width) for check in CHECKS for finding in check(swept))
