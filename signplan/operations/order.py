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
from dataclasses import dataclass, replace

from signplan.errors import SignplanError
from signplan.operations.magazine import Reload, count_stops, plan_reloads
from signplan.operations.order_job import Job, in_phases, read_job
from signplan.operations.order_reloads import fewest_reloads
from signplan.operations.order_search import Budget
from signplan.operations.order_setups import Stretch, join
from signplan.operations.order_state import blocks_of, finish, finish_backwards

STATES = 200_000
"""States looked at for one job before the proof is given up, where no time is given: 10 to 20 seconds."""

LOADS = 200_000
"""Choices of what to load that are looked at before the proof for the magazine is given up."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Order:
    """A sequence of operations, what it costs, and what no sequence can do better than."""

    sequence: tuple[str, ...]
    changes: int
    lower_bound: int
    """No sequence at all has fewer changes."""
    proven: bool
    """No sequence is better: in stops and reloads where the magazine is too small, then in changes."""
    reloads: tuple[Reload, ...] = ()
    stops: int = 0
    """How often the machine waits for reloads in the middle of a hold."""
    least_stops: int = 0
    """No sequence has fewer stops."""
    least_reloads: int = 0
    """No sequence with so few stops has fewer reloads."""


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

    Operations of one setup are contiguous; setups come in the order that their operations need. If the job
    has more tools than `slots`, a change costs seconds and a reload minutes: the fewest stops in the middle
    of a hold come first, then the fewest reloads, then the fewest changes. Without `seconds` the result is
    the same on every machine; with it, the best found by then comes back.

    Raises SignplanError, with the names, for a cycle of needs, an operation that needs one which does not
    exist, one without a tool or a setup, setups that need each other, and a magazine without places.

    >>> order = order_operations({"a": "drill", "b": "mill", "c": "drill"}, {"b": ["a"]})
    >>> order.sequence, order.changes, order.proven
    (('a', 'c', 'b'), 2, True)
    """
    if slots is not None and slots < 1:
        raise SignplanError(f"the magazine has {slots} places for tools; it needs at least one")
    job = read_job(tool_of, needs, setup_of)
    budget = Budget(states=STATES, seconds=seconds)
    order = _fewest_changes(job, spindle, budget)
    if slots is None or len(job.tools) <= slots:
        return order
    return _fewest_reloads(job, order, spindle, slots, Budget(states=LOADS, seconds=budget.seconds_left()))


def _fewest_changes(job: Job, spindle: str | None, budget: Budget) -> Order:
    """The order with the fewest changes, whatever the magazine holds."""
    tool = job.tools.index(spindle) if spindle in job.tools else None
    joined = join(_stretches(job, tool, budget), tool, budget)
    sequence: list[str] = []
    for setup, word in joined.setups:
        for block in blocks_of(job.works[setup], word if tool is None else (tool, *word)):
            sequence += [job.names[setup][operation] for operation in block]
        tool = word[-1] if word else tool
    changes = count_changes(sequence, job.tool_of, spindle=spindle)
    bound = max(joined.bound, len(job.tools) - (tool is not None))
    return Order(sequence=tuple(sequence), changes=changes, lower_bound=bound, proven=changes == bound)


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


def _fewest_reloads(job: Job, order: Order, spindle: str | None, slots: int, budget: Budget) -> Order:
    """The order with the fewest stops, then reloads, then changes; `order` itself if none needs fewer."""
    tool = job.tools.index(spindle) if spindle in job.tools else None
    plan = fewest_reloads(job, slots, tool, budget=budget)
    order = _with_reloads(job, order, spindle, slots)
    if plan.phases and plan.cost < (order.stops, len(order.reloads)):
        by_phases = _fewest_changes(in_phases(job, plan.phases), spindle, budget)
        by_phases = _with_reloads(job, replace(by_phases, lower_bound=order.lower_bound), spindle, slots)
        order = min(order, by_phases, key=lambda order: (order.stops, len(order.reloads), order.changes))
    least = plan.least == (order.stops, len(order.reloads))
    return replace(
        order,
        proven=least and order.changes == order.lower_bound,
        least_stops=plan.least.stops,
        least_reloads=plan.least.reloads if order.stops == plan.least.stops else 0,
    )


def _with_reloads(job: Job, order: Order, spindle: str | None, slots: int) -> Order:
    reloads = plan_reloads(order.sequence, job.tool_of, setup_of=job.setup_of, slots=slots, spindle=spindle)
    return replace(order, reloads=reloads, stops=count_stops(reloads))


def _stretches(job: Job, spindle: int | None, budget: Budget) -> list[Stretch]:
    """Every setup, with the tools that another (or the spindle) can hand over to it, and it to another."""
    begins = [{tool for tool in work.of_tool if finish(work, 0, tool)} for work in job.works]
    ends = [{tool for tool in work.of_tool if finish_backwards(work, 0, tool)} for work in job.works]
    stretches = []
    for setup, work in enumerate(job.works):
        others = [other for other in range(len(job.works)) if other != setup]
        found = {tool for tool in begins[setup] if tool == spindle or any(tool in ends[o] for o in others)}
        left = {tool for tool in ends[setup] if any(tool in begins[o] for o in others)}
        parts = len(job.works) - setup + (len(job.works) > 1 or spindle is not None)
        stretches.append(
            Stretch(
                work, first=job.first[setup], tools_found=found, tools_left=left, budget=budget, parts=parts
            )
        )
    return stretches
