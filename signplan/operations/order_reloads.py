"""Order and magazine together: the fewest stops in holds, then the fewest reloads, over every order of work.

A state is what is done and which tools are loaded, at a moment when the magazine may be touched: between
holds, or at a stop. From there a set of tools is loaded and everything is done that they can do, in whatever
order; doing all of it never costs a stop or a reload. Tools are put in only if they are used before the next
such moment (later would do as well otherwise), and into empty places for nothing. States are taken best first
by (stops, reloads) and what is still needed at least: one stop for every further magazine full of tools that
a hold uses, one reload for every tool that is needed, not loaded, and has no empty place.
"""

import heapq
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations, count
from typing import NamedTuple

from signplan.operations.order_job import Job
from signplan.operations.order_search import Budget
from signplan.operations.order_state import Work, members

WIDTH = 3
"""States that go on after each phase in the quick search."""


class State(NamedTuple):
    """What is done, and what is loaded; sets are bits."""

    finished: int
    """The setups that are finished."""
    setup: int
    """The one in work, or -1."""
    done: int
    """What is done of it."""
    loaded: int
    """The tools in the magazine."""


class Cost(NamedTuple):
    """In this order: a stop in a hold weighs more than any number of reloads."""

    stops: int
    reloads: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """The best phases found, what they cost, and what no order can do better than."""

    phases: tuple[tuple[int, int], ...]
    """(setup, set of its operations) in order; none if the search was given up too soon."""
    cost: Cost
    least: Cost


def fewest_reloads(job: Job, slots: int, spindle: int | None, *, budget: Budget) -> Plan:
    """The fewest stops, then reloads, of any order of the job, for a magazine of so many places."""
    start = State(0, -1, 0, 0 if spindle is None else 1 << spindle)
    least = _still(job, start, slots)
    quick = _quick_plan(job, start, slots, budget.share(2))
    if quick.cost == least:
        return quick
    ticket = count()
    heap = [(least, next(ticket), Cost(0, 0), start)]
    best = {start: Cost(0, 0)}
    came: dict[State, State] = {}
    while heap and budget.states > 0:
        least, _, cost, state = heapq.heappop(heap)
        if cost > best[state]:
            continue
        if _is_finished(job, state):
            return Plan(phases=_phases(job, came, state), cost=cost, least=cost)
        for more, following in _next_phases(job, state, slots, budget):
            reached = _sum(cost, more)
            if following not in best or reached < best[following]:
                best[following], came[following] = reached, state
                hope = _sum(reached, _still(job, following, slots))
                heapq.heappush(heap, (hope, next(ticket), reached, following))
    return replace(quick, least=least)


def _quick_plan(job: Job, start: State, slots: int, budget: Budget) -> Plan:
    """Good phases: after each only the few states go on that hope for most, and among them have done most."""
    came: dict[State, State] = {}
    costs = {start: Cost(0, 0)}
    while costs and budget.states > 0:
        ranks: dict[State, tuple[Cost, int, Cost]] = {}
        for state, cost in costs.items():
            for more, reached in _next_phases(job, state, slots, budget):
                total = _sum(cost, more)
                rank = (_sum(total, _still(job, reached, slots)), -_operations_done(job, reached), total)
                if reached not in came or (reached in ranks and rank < ranks[reached]):
                    ranks[reached], came[reached] = rank, state
        best = sorted(ranks, key=lambda state: (ranks[state], state))[:WIDTH]
        costs = {state: ranks[state][2] for state in best}
        for state in best:
            if _is_finished(job, state):
                return Plan(
                    phases=_phases(job, came, state), cost=costs[state], least=_still(job, start, slots)
                )
    return Plan(phases=(), cost=Cost(10**9, 10**9), least=_still(job, start, slots))


def _is_finished(job: Job, state: State) -> bool:
    return state.finished == (1 << len(job.works)) - 1


def _operations_done(job: Job, state: State) -> int:
    whole = sum(len(job.works[setup].tool) for setup in members(state.finished))
    return whole + state.done.bit_count()


def _next_phases(job: Job, state: State, slots: int, budget: Budget) -> Iterator[tuple[Cost, State]]:
    """Every phase that can follow, with what it costs."""
    if state.setup >= 0:
        setups = [state.setup]
    else:
        setups = [
            setup
            for setup, first in enumerate(job.first)
            if not state.finished >> setup & 1 and not first & ~state.finished
        ]
    for setup in setups:
        work = job.works[setup]
        for loaded in _loads(state.loaded, _tools_of(work, state.done), slots):
            if not budget.spend():
                return
            done = _do_all(work, state.done, loaded)
            used = _tools_of(work, work.everything & ~(done & ~state.done))
            if done == state.done or loaded & ~state.loaded & ~used:
                continue
            cost = Cost(int(state.setup >= 0), (state.loaded & ~loaded).bit_count())
            if done == work.everything:
                yield cost, State(state.finished | 1 << setup, -1, 0, loaded)
            else:
                yield cost, State(state.finished, setup, done, loaded)


def _loads(loaded: int, wanted: int, slots: int) -> Iterator[int]:
    """What may be loaded for the next phase: tools that the hold still wants, in place of as few as can be.

    If all that the hold wants fits, all of it is put in: anything less would only add a stop.
    """
    missing = list(members(wanted & ~loaded))
    all_fits = wanted.bit_count() <= slots
    for number in range(min(len(missing), slots), len(missing) - 1 if all_fits else -1, -1):
        out = max(0, loaded.bit_count() + number - slots)
        for tools_in in combinations(missing, number):
            put_in = sum(1 << tool for tool in tools_in)
            for tools_out in combinations(members(loaded & ~wanted if all_fits else loaded), out):
                yield loaded & ~sum(1 << tool for tool in tools_out) | put_in


def _still(job: Job, state: State, slots: int) -> Cost:
    """The stops and reloads that are left at least."""
    stops = 0
    needed = 0
    for setup, work in enumerate(job.works):
        if state.finished >> setup & 1:
            continue
        tools = _tools_of(work, state.done if setup == state.setup else 0)
        stops += -(-tools.bit_count() // slots) - (setup != state.setup)
        needed |= tools
    return Cost(stops, max(0, (needed | state.loaded).bit_count() - slots))


def _tools_of(work: Work, done: int) -> int:
    """The tools that still have something to do."""
    return sum(1 << tool for tool, mine in work.of_tool.items() if mine & ~done)


def _do_all(work: Work, done: int, loaded: int) -> int:
    """What is done once the loaded tools have done all that they can together."""
    left = 0
    for tool in members(loaded):
        left |= work.of_tool.get(tool, 0)
    left &= ~done
    while left:
        operation = left & -left
        if not work.needs[operation.bit_length() - 1] & ~done:
            done |= operation
        left ^= operation
    return done


def _sum(one: Cost, other: Cost) -> Cost:
    return Cost(one.stops + other.stops, one.reloads + other.reloads)


def _phases(job: Job, came: dict[State, State], state: State) -> tuple[tuple[int, int], ...]:
    """The operations done in each phase on the way to a state."""
    phases = []
    while state in came:
        before = came[state]
        setup = (state.finished & ~before.finished).bit_length() - 1 if state.setup < 0 else state.setup
        after = job.works[setup].everything if state.setup < 0 else state.done
        phases.append((setup, after & ~before.done))
        state = before
    return tuple(reversed(phases))
