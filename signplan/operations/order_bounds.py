"""How many tool changes are left at least: bounds that are never too high.

Each takes the set of operations that are left. Since what is left is closed (whatever comes after an
operation that is left is left too), the runs of a tool that a path from there still forces are known
beforehand.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from signplan.operations.order_state import Work, members


@dataclass(frozen=True, kw_only=True, slots=True)
class Runs:
    """For each tool, its operations by the number of separate runs of it that a path from there on forces."""

    levels: Mapping[int, tuple[int, ...]]
    """Tool -> for 1, 2, ... runs, the operations from which a path forces at least so many."""


def count_runs(work: Work) -> Runs:
    """The runs that paths force, for every tool."""
    return Runs(levels={tool: _levels(work, tool) for tool in work.of_tool})


def runs_left(runs: Runs, left: int) -> int:
    """The most separate runs that one path forces, summed over the tools."""
    total = 0
    for levels in runs.levels.values():
        for level in levels:
            if not level & left:
                break
            total += 1
    return total


def _levels(work: Work, tool: int) -> tuple[int, ...]:
    """The operations of `tool` from which a path forces at least 1, 2, ... runs of it.

    One more run than another operation is forced before something that must come in between.
    """
    mine = work.of_tool[tool]
    levels = []
    level = mine
    while level:
        levels.append(level)
        between = _those_before(work, work.everything & ~mine, level)
        level = _those_before(work, mine, between)
    return tuple(levels)


def _those_before(work: Work, among: int, later: int) -> int:
    """The operations of `among` that must come before one of `later`."""
    return sum(1 << operation for operation in members(among) if work.after[operation] & later)
