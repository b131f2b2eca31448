"""The order of work with the fewest tool changes over a whole job, proven.

In: for every operation its tool, what must come before it, and its setup. Out: a sequence that respects
them, with each setup in one piece, and a lower bound which no sequence at all can beat. A change is counted
whenever the spindle's tool differs from the one before; the first load counts as one unless the tool is
there already.

The parts, each in its own module: the state and how a block is finished (`order_state`), what is left at
least (`order_bounds`), the search (`order_search`), and setups joined by the tool carried over
(`order_setups`).
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from signplan.errors import SignplanError
from signplan.operations.order_job import Job, read_job
from signplan.operations.order_search import Budget
from signplan.operations.order_setups import Stretch, join, ways_through
from signplan.operations.order_state import blocks_of, finish, finish_backwards

STATES = 400_000
"""States looked at for one job before the proof is given up, where no time is given: some twenty seconds."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Reload:
    """One tool put into the magazine in place of another, before an operation starts."""

    before: str
    tool_in: str
    tool_out: str
    slot: int
    """The place in the magazine, from 1."""
    in_hold: bool
    """True where the machine has to stop in the middle of a hold for it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """A sequence of operations, what it costs in changes, and what no sequence can do better than."""

    sequence: tuple[str, ...]
    changes: int
    lower_bound: int
    proven: bool
    reloads: tuple[Reload, ...] = ()


def order_operations(
    tool_of: Mapping[str, str],
    needs: Mapping[str, Collection[str]],
    *,
    setup_of: Mapping[str, str] | None = None,
    spindle: str | None = None,
    slots: int | None = None,
    seconds: float | None = None,
) -> Order:
    """The sequence with the fewest tool changes over the whole job, and the proof of it.

    Operations of one setup are contiguous; setups come in the order that their operations need. Without
    `seconds` the result is the same on every machine; with it, the best found by then comes back.

    Raises SignplanError, with the names, for a cycle of needs, an operation that needs one which does not
    exist, one without a tool or a setup, setups that need each other, and a magazine without places.

    >>> order = order_operations({"a": "drill", "b": "mill", "c": "drill"}, {"b": ["a"]})
    >>> order.sequence, order.changes, order.proven
    (('a', 'c', 'b'), 2, True)
    """
    if slots is not None and slots < 1:
        raise SignplanError(f"the magazine has {slots} places for tools; it needs at least one")
    job = read_job(tool_of, needs, setup_of)
    in_spindle = job.tools.index(spindle) if spindle in job.tools else None
    joined = join(_stretches(job, in_spindle, Budget(states=STATES, seconds=seconds)), in_spindle)
    sequence: list[str] = []
    tool = in_spindle
    for setup, word in joined.setups:
        work, names = job.works[setup], job.names[setup]
        for block in blocks_of(work, word if tool is None else (tool, *word)):
            sequence += [names[operation] for operation in block]
        tool = word[-1] if word else tool
    changes = count_changes(sequence, tool_of, spindle=spindle)
    return Order(
        sequence=tuple(sequence), changes=changes, lower_bound=joined.bound, proven=changes == joined.bound
    )


def count_changes(sequence: Iterable[str], tool_of: Mapping[str, str], *, spindle: str | None = None) -> int:
    """The tool changes of a sequence; the first load is one unless `spindle` names that tool already.

    >>> count_changes("abcd", {"a": "A", "b": "B", "c": "A", "d": "B"})
    4
    """
    changes = 0
    for operation in sequence:
        if tool_of[operation] != spindle:
            changes += 1
            spindle = tool_of[operation]
    return changes


def _stretches(job: Job, spindle: int | None, budget: Budget) -> list[Stretch]:
    """Every setup with its ways through, for the tools that another setup (or the spindle) can hand over."""
    begins = [{tool for tool in work.of_tool if finish(work, 0, tool)} for work in job.works]
    ends = [{tool for tool in work.of_tool if finish_backwards(work, 0, tool)} for work in job.works]
    stretches = []
    for setup, work in enumerate(job.works):
        others = [other for other in range(len(job.works)) if other != setup]
        carried = {tool for tool in begins[setup] if tool == spindle or any(tool in ends[o] for o in others)}
        wanted = {tool for tool in ends[setup] if any(tool in begins[o] for o in others)}
        ways = ways_through(work, carried=carried, wanted=wanted, budget=budget)
        stretches.append(Stretch(first=job.first[setup], ways=ways))
    return stretches
