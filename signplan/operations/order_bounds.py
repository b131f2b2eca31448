"""How many blocks are left at least: bounds that are never too high.

Each takes the set of operations that are left. Since what is left is closed (whatever comes after an
operation that is left is left too), the runs of a tool that a path from there still forces are known
beforehand.

1. *Runs.* For each tool, the most separate runs of it on one path; summed over the tools.
2. *Rings.* Suppose that some tools get by with just those runs. Then the next run of each must do every
   operation from which a path forces them all, so whatever such an operation needs comes before it: an arc
   from one tool to another. Tools in a ring of arcs would each have to be the first, so one tool of every
   ring needs a run more; rings without a common tool add up, and among n tools that all wait for each other
   all but one need a run more.
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


def rings_left(work: Work, runs: Runs, left: int) -> int:
    """How many runs more than `runs_left` counts, because of tools that wait for each other."""
    waits = {}
    for tool, levels in runs.levels.items():
        most = 0
        for level in levels:
            if not level & left:
                break
            most = level & left
        if most:
            waits[tool] = _tools_before(work, most, left & ~work.of_tool[tool])
    return runs_more(waits)


def runs_more(waits: dict[int, int]) -> int:
    """The runs more that tools need which wait for each other: tool -> the tools that it waits for, as a set.

    No more than the fewest tools that must be taken out to leave no ring.

    >>> runs_more({0: 0b10, 1: 0b01, 2: 0b11})
    1
    >>> runs_more({0: 0b110, 1: 0b101, 2: 0b011})
    2
    """
    more = 0
    while waits := _in_rings(waits):
        group = _all_waiting_for_each_other(waits)
        if len(group) < 2:
            group = _shortest_ring(waits)
            more += 1
        else:
            more += len(group) - 1
        gone = sum(1 << tool for tool in group)
        waits = {tool: others & ~gone for tool, others in waits.items() if tool not in group}
    return more


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


def _tools_before(work: Work, operations: int, others: int) -> int:
    """The tools that have something to do among `others` before any of the operations."""
    before = 0
    for operation in members(operations):
        before |= work.before[operation]
    before &= others
    tools = 0
    while before:
        tool = work.tool[before.bit_length() - 1]
        tools |= 1 << tool
        before &= ~work.of_tool[tool]
    return tools


def _in_rings(waits: dict[int, int]) -> dict[int, int]:
    """Only the tools that wait for some and that some wait for, as often as that takes."""
    while True:
        waiting = sum(1 << tool for tool in waits)
        waited_for = 0
        for others in waits.values():
            waited_for |= others
        kept = {
            tool: others & waiting
            for tool, others in waits.items()
            if others & waiting and waited_for >> tool & 1
        }
        if len(kept) == len(waits):
            return kept
        waits = kept


def _all_waiting_for_each_other(waits: dict[int, int]) -> list[int]:
    """Tools each of which waits for all the others: as many as a greedy choice finds."""
    mutual = {
        tool: sum(1 << other for other in members(others) if waits[other] >> tool & 1)
        for tool, others in waits.items()
    }
    group: list[int] = []
    candidates = sum(1 << tool for tool in waits)
    while candidates:
        tool = max(members(candidates), key=lambda tool: ((mutual[tool] & candidates).bit_count(), -tool))
        group.append(tool)
        candidates &= mutual[tool]
    return group


def _shortest_ring(waits: dict[int, int]) -> list[int]:
    """The tools of a ring with as few of them as can be."""
    best: list[int] = []
    for start in waits:
        came = {start: start}
        queue = [start]
        for tool in queue:
            if waits[tool] >> start & 1:
                ring = [tool]
                while ring[-1] != start:
                    ring.append(came[ring[-1]])
                if not best or len(ring) < len(best):
                    best = ring
                break
            for other in members(waits[tool]):
                if other not in came:
                    came[other] = tool
                    queue.append(other)
    return best
