"""The magazine: which tool leaves which place, and when, for an order of work that is already fixed.

A job may need more tools than the magazine has places. What is minimised: first the stops, where the machine
has to wait in the middle of a hold for somebody to put tools in; then the tools put in. Before the job starts
the magazine is filled with what is needed soonest; that costs nothing. Between two holds the machine stands
anyway, so whatever has to go in for the next hold goes in there.

A hold falls into *phases*, each with no more tools than there are places. What is put in at the start of a
phase replaces the tools that are needed again last: "keep the tool needed soonest" is never worse than any
other choice (Belady 1966 for one request at a time; Tang and Denardo 1988 for sets of tools).
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, islice, pairwise, product

CHOICES = 500
"""Ways to divide all holds into phases that are compared; more than that only in jobs of many long holds."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Reload:
    """One tool put into the magazine in place of another, before an operation starts."""

    before: str
    tool_in: str
    tool_out: str
    slot: int
    """The place in the magazine, from 1."""
    in_hold: bool
    """Does the machine have to stop for it in the middle of a hold?"""


@dataclass(frozen=True, kw_only=True, slots=True)
class Phase:
    """Part of a hold that is worked without touching the magazine."""

    first: str
    """Its first operation."""
    tools: frozenset[str]
    in_hold: bool
    """False for the first phase of a hold."""


def plan_reloads(
    sequence: Sequence[str],
    tool_of: Mapping[str, str],
    *,
    setup_of: Mapping[str, str] | None = None,
    slots: int,
    spindle: str | None = None,
) -> tuple[Reload, ...]:
    """The reloads for a fixed sequence: the fewest stops in holds, then the fewest tools put in.

    >>> tool_of = {"a": "A", "b": "B", "c": "C", "d": "A"}
    >>> [(r.before, r.tool_in, r.tool_out, r.slot) for r in plan_reloads("abcd", tool_of, slots=2)]
    [('c', 'C', 'B', 2)]
    """
    loaded = [spindle] if spindle in tool_of.values() and spindle is not None else []
    if len({*loaded, *(tool_of[operation] for operation in sequence)}) <= slots:
        return ()
    holds = groupby(sequence, key=lambda operation: "" if setup_of is None else setup_of[operation])
    ways = [list(islice(_divisions(list(hold), tool_of, slots), CHOICES)) for _, hold in holds]
    plans = (
        keep_needed_soonest([phase for hold in choice for phase in hold], slots, loaded)
        for choice in islice(product(*ways), CHOICES)
    )
    return min(plans, key=len)


def keep_needed_soonest(
    phases: Sequence[Phase], slots: int, loaded: Collection[str] = ()
) -> tuple[Reload, ...]:
    """The fewest reloads for fixed phases, none of which may use more tools than there are places.

    Whatever goes into an empty place was put there before the job and is not counted.
    """
    places: list[str] = list(loaded)
    reloads = []
    for index, phase in enumerate(phases):
        for tool in sorted(phase.tools - set(places)):
            if len(places) < slots:
                places.append(tool)
                continue
            again = {tool: _next_use(phases, index, tool) for tool in places if tool not in phase.tools}
            out = max(again, key=lambda tool: (again[tool], -places.index(tool)))
            slot = places.index(out)
            places[slot] = tool
            reloads.append(
                Reload(before=phase.first, tool_in=tool, tool_out=out, slot=slot + 1, in_hold=phase.in_hold)
            )
    return tuple(reloads)


def count_stops(reloads: Sequence[Reload]) -> int:
    """How often the machine waits in the middle of a hold."""
    return len({reload.before for reload in reloads if reload.in_hold})


def _divisions(hold: Sequence[str], tool_of: Mapping[str, str], slots: int) -> Iterator[list[Phase]]:
    """The ways to divide a hold into the fewest phases, those with late stops first."""
    blocks = [list(block) for _, block in groupby(hold, key=tool_of.__getitem__)]
    tools = [tool_of[block[0]] for block in blocks]
    for starts in _starts(tools, slots):
        yield [
            Phase(first=blocks[start][0], tools=frozenset(tools[start:end]), in_hold=start > 0)
            for start, end in pairwise([*starts, len(tools)])
        ]


def _starts(tools: Sequence[str], slots: int) -> Iterator[list[int]]:
    """Where the phases start, in every division into the fewest phases with no more tools than slots."""
    reach = []  # the furthest end of a phase that starts here
    for start in range(len(tools)):
        end = start
        while end < len(tools) and len(set(tools[start : end + 1])) <= slots:
            end += 1
        reach.append(end)
    phases = [0] * (len(tools) + 1)  # the fewest phases from here to the end of the hold
    for start in reversed(range(len(tools))):
        phases[start] = 1 + phases[reach[start]]

    def onwards(start: int) -> Iterator[list[int]]:
        if start == len(tools):
            yield []
        else:
            for end in range(reach[start], start, -1):
                if phases[end] == phases[start] - 1:
                    yield from ([start, *rest] for rest in onwards(end))

    return onwards(0)


def _next_use(phases: Sequence[Phase], index: int, tool: str) -> int:
    """The next phase after this one that uses the tool, or one past the last."""
    later = range(index + 1, len(phases))
    return next((phase for phase in later if tool in phases[phase].tools), len(phases))
