"""The orders of work that people really take, to compare the proven one with.

Each takes what `order_operations` takes and returns a sequence that respects every need, with its changes.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from signplan.operations.order import count_changes
from signplan.operations.order_job import Job, read_job, setups_as_listed
from signplan.operations.order_search import Budget, fewest_blocks
from signplan.operations.order_state import Work, blocks_of, finish, keep, members

STATES = 20_000
"""States looked at for one panel in one hold; a person plans that much without a proof."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Habit:
    """A sequence of operations and its tool changes, the first load among them."""

    sequence: tuple[str, ...]
    changes: int


def as_listed(
    tool_of: Mapping[str, str],
    needs: Mapping[str, Collection[str]],
    *,
    setup_of: Mapping[str, str] | None = None,
    spindle: str | None = None,
) -> Habit:
    """Setup by setup, operation by operation as they are listed, each after all that it needs.

    >>> as_listed({"a": "A", "b": "B", "c": "A"}, {}).changes
    3
    """
    job = read_job(tool_of, needs, setup_of)
    return _habit(job, (job.names[setup] for setup in setups_as_listed(job)), spindle)


def panel_by_panel(
    tool_of: Mapping[str, str],
    needs: Mapping[str, Collection[str]],
    panel_of: Mapping[str, str],
    *,
    setup_of: Mapping[str, str] | None = None,
    spindle: str | None = None,
) -> Habit:
    """In every setup one panel after another, as listed, each in its fewest blocks.

    Operations without a panel are taken as one more. Where a panel has to wait for another, what it can do is
    done first, and its rest when its turn comes again.

    >>> tools = {"a1": "A", "a2": "B", "b1": "A", "b2": "B"}
    >>> panel_by_panel(tools, {}, {"a1": "A", "a2": "A", "b1": "B", "b2": "B"}).changes
    4
    """
    job = read_job(tool_of, needs, setup_of)
    setups = setups_as_listed(job)
    return _habit(job, (part for setup in setups for part in _panels(job, setup, panel_of)), spindle)


def down_the_tool_list(
    tool_of: Mapping[str, str],
    needs: Mapping[str, Collection[str]],
    *,
    setup_of: Mapping[str, str] | None = None,
    spindle: str | None = None,
    tools: Sequence[str] | None = None,
) -> Habit:
    """In every setup down the list of tools, with each all that can be cut now, then again from the top.

    `tools` is the list, such as the magazine's; without it, the order in which the operations name them.

    >>> down_the_tool_list({"a": "A", "b": "B", "c": "A", "d": "B"}, {"a": ["b"]}).sequence
    ('c', 'b', 'd', 'a')
    """
    job = read_job(tool_of, needs, setup_of)
    place = {tool: index for index, tool in enumerate(job.tools if tools is None else tools)}
    listed = sorted(range(len(job.tools)), key=lambda tool: (place.get(job.tools[tool], len(place)), tool))
    setups = setups_as_listed(job)
    return _habit(job, (part for setup in setups for part in _down_the_list(job, setup, listed)), spindle)


def _habit(job: Job, parts: Iterator[Sequence[str]], spindle: str | None) -> Habit:
    sequence = tuple(name for part in parts for name in part)
    return Habit(sequence=sequence, changes=count_changes(sequence, job.tool_of, spindle=spindle))


def _panels(job: Job, setup: int, panel_of: Mapping[str, str]) -> Iterator[list[str]]:
    """One panel after another until the setup is done: what each can do by itself, in its fewest blocks."""
    work, names = job.works[setup], job.names[setup]
    of_panel: dict[str, int] = {}
    for operation, name in enumerate(names):
        panel = panel_of.get(name, "")
        of_panel[panel] = of_panel.get(panel, 0) | 1 << operation
    done = 0
    while done != work.everything:
        for mine in of_panel.values():
            can = _by_itself(work, done, mine)
            part = [names[operation] for operation in members(can)]
            word = fewest_blocks(keep(work, can), Budget(states=STATES)).word
            assert word is not None
            yield [part[operation] for block in blocks_of(keep(work, can), word) for operation in block]
            done |= can


def _by_itself(work: Work, done: int, mine: int) -> int:
    """The operations of `mine` that can be done now, one after another, without any others."""
    before = done
    for operation in members(mine & ~done):
        if not work.needs[operation] & ~done:
            done |= 1 << operation
    return done & ~before


def _down_the_list(job: Job, setup: int, listed: Sequence[int]) -> Iterator[list[str]]:
    work, names = job.works[setup], job.names[setup]
    done = 0
    while done != work.everything:
        for tool in listed:
            now = finish(work, done, tool)
            yield [names[operation] for operation in members(now & ~done)]
            done = now
