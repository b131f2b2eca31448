"""Reading what an order is asked for: names into numbers, or one error that says what is wrong with them."""

import heapq
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from signplan.errors import SignplanError
from signplan.operations.order_state import Work, build_work, keep, members


@dataclass(frozen=True, kw_only=True, slots=True)
class Job:
    """The input, numbered: one `Work` a setup, with the names of its operations."""

    tool_of: Mapping[str, str]
    setup_of: Mapping[str, str]
    tools: tuple[str, ...]
    works: tuple[Work, ...]
    names: tuple[tuple[str, ...], ...]
    setups: tuple[str, ...]
    first: tuple[int, ...]
    """For each setup those that must come before it, as a set."""


def read_job(
    tool_of: Mapping[str, str],
    needs: Mapping[str, Collection[str]],
    setup_of: Mapping[str, str] | None = None,
) -> Job:
    """The job in numbers, operations in the order listed wherever their needs allow it.

    Raises SignplanError, with the names, for a need or an operation that does not exist, an operation without
    a tool or a setup, operations that wait for each other, and setups that do.
    """
    setup_of = dict.fromkeys(tool_of, "") if setup_of is None else setup_of
    _check_names(tool_of, needs, setup_of)
    place = {name: index for index, name in enumerate(tool_of)}
    direct = {name: sorted(set(needs.get(name, ())), key=place.__getitem__) for name in tool_of}
    inside: dict[str, list[str]] = {setup_of[name]: [] for name in tool_of}
    for name in in_needed_order(direct):
        inside[setup_of[name]].append(name)
    _check_setups(direct, setup_of)

    tools = {tool: number for number, tool in enumerate(dict.fromkeys(tool_of.values()))}
    setups = {setup: number for number, setup in enumerate(inside)}
    works, first = [], [0] * len(setups)
    for setup, names in inside.items():
        number = {name: index for index, name in enumerate(names)}
        sets = [sum(1 << number[need] for need in direct[name] if need in number) for name in names]
        works.append(build_work([tools[tool_of[name]] for name in names], sets))
        for other in {setup_of[need] for name in names for need in direct[name]} - {setup}:
            first[setups[setup]] |= 1 << setups[other]
    return Job(
        tool_of=tool_of,
        setup_of=setup_of,
        tools=tuple(tools),
        works=tuple(works),
        names=tuple(tuple(names) for names in inside.values()),
        setups=tuple(setups),
        first=tuple(first),
    )


def setups_as_listed(job: Job) -> list[int]:
    """The setups in the order in which they are listed, but each after those that it needs."""
    order: list[int] = []
    while len(order) < len(job.works):
        finished = sum(1 << setup for setup in order)
        order.append(
            next(
                setup
                for setup, first in enumerate(job.first)
                if not finished >> setup & 1 and not first & ~finished
            )
        )
    return order


def in_phases(job: Job, phases: Sequence[tuple[int, int]]) -> Job:
    """The job with each phase (setup, set of its operations) as a setup, in just that order."""
    return replace(
        job,
        works=tuple(keep(job.works[setup], operations) for setup, operations in phases),
        names=tuple(tuple(job.names[setup][n] for n in members(operations)) for setup, operations in phases),
        setups=tuple(job.setups[setup] for setup, _ in phases),
        first=tuple((1 << phase) - 1 for phase in range(len(phases))),
    )


def in_needed_order(needs: Mapping[str, Collection[str]], what: str = "operations") -> list[str]:
    """The names in the order listed, but each after all that it needs.

    Raises SignplanError, naming them, if some form a cycle.

    >>> in_needed_order({"a": ["c"], "b": [], "c": []})
    ['b', 'c', 'a']
    """
    names = list(needs)
    place = {name: index for index, name in enumerate(names)}
    waiting = {name: len(set(needs[name])) for name in names}
    then: dict[str, list[str]] = {name: [] for name in names}
    for name in names:
        for need in set(needs[name]):
            then[need].append(name)
    ready = [place[name] for name in names if not waiting[name]]
    order = []
    while ready:
        name = names[heapq.heappop(ready)]
        order.append(name)
        for later in then[name]:
            waiting[later] -= 1
            if not waiting[later]:
                heapq.heappush(ready, place[later])
    if len(order) < len(names):
        cycle = _cycle(needs, next(name for name in names if waiting[name]), waiting, place)
        raise SignplanError(f"{what} that wait for each other: " + " needs ".join(cycle))
    return order


def _cycle(
    needs: Mapping[str, Collection[str]], name: str, waiting: Mapping[str, int], place: Mapping[str, int]
) -> list[str]:
    """One cycle of needs, from a name back to itself."""
    path: list[str] = []
    while name not in path:
        path.append(name)
        name = min((need for need in needs[name] if waiting[need]), key=place.__getitem__)
    return [*path[path.index(name) :], name]


def _check_names(
    tool_of: Mapping[str, str], needs: Mapping[str, Collection[str]], setup_of: Mapping[str, str]
) -> None:
    """Does every name that is used exist, with a tool and a setup?"""
    for name, tool in tool_of.items():
        if not tool:
            raise SignplanError(f"operation {name} has no tool")
        if name not in setup_of:
            raise SignplanError(f"operation {name} has no setup")
    for name, direct in needs.items():
        if name not in tool_of:
            raise SignplanError(f"operation {name} has no tool: it has needs but is not among the operations")
        if isinstance(direct, str):
            raise SignplanError(f'operation {name}: its needs must be a list of operations, not "{direct}"')
        for need in sorted(set(direct) - tool_of.keys()):
            raise SignplanError(f"operation {name} needs {need}, which does not exist")


def _check_setups(direct: Mapping[str, Collection[str]], setup_of: Mapping[str, str]) -> None:
    """Can the setups be ordered? If not, the error names the operations that make it impossible."""
    needs: dict[str, dict[str, str]] = {setup_of[name]: {} for name in direct}
    for name, before in direct.items():
        for need in before:
            if setup_of[need] != setup_of[name]:
                reason = f"{name} in {setup_of[name]} needs {need} in {setup_of[need]}"
                needs[setup_of[name]].setdefault(setup_of[need], reason)
    try:
        in_needed_order(needs, "setups")
    except SignplanError as error:
        cycle = str(error).partition(": ")[2].split(" needs ")
        reasons = [needs[setup][other] for setup, other in pairwise(cycle)]
        raise SignplanError(f"{error} ({'; '.join(reasons)})") from None
