"""What is done so far: the only thing an order of work has to remember.

Operations are numbered so that each comes after all that it needs, and a set of operations is the bits of one
integer. Tools are numbered too. Nothing here knows names, setups or costs.

Two facts make the problem small. While a tool is in the spindle, doing every operation of it that can be done
never costs a change: each such operation only moves forward, and what waits for it can only start earlier. So
a solution is a *word* of tools, each run to the end of what it can do (`finish`), and the set done after a
block decides everything that follows.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Work:
    """Operations of one stretch of work in an order that their needs allow, with the tool of each."""

    tool: tuple[int, ...]
    needs: tuple[int, ...]
    """Direct needs of each operation, as a set."""
    before: tuple[int, ...]
    """Everything that must come before, however far back."""
    after: tuple[int, ...]
    """Everything that must come after."""
    of_tool: dict[int, int]
    """Tool -> its operations, tools in ascending order."""
    chained: dict[int, int]
    """Tool -> those of its operations that directly need another of the same tool."""

    @property
    def everything(self) -> int:
        return (1 << len(self.tool)) - 1


def build_work(tool: Sequence[int], needs: Sequence[int]) -> Work:
    """The work of operations 0, 1, ...; `needs[v]` may name only operations below v."""
    before: list[int] = []
    after = [0] * len(tool)
    for direct in needs:
        before.append(direct)
        for earlier in members(direct):
            before[-1] |= before[earlier]
    for later in reversed(range(len(tool))):
        for earlier in members(needs[later]):
            after[earlier] |= after[later] | 1 << later
    of_tool = dict.fromkeys(sorted(set(tool)), 0)
    for operation, its_tool in enumerate(tool):
        of_tool[its_tool] |= 1 << operation
    chained = dict.fromkeys(of_tool, 0)
    for operation, its_tool in enumerate(tool):
        if needs[operation] & of_tool[its_tool]:
            chained[its_tool] |= 1 << operation
    return Work(
        tool=tuple(tool),
        needs=tuple(needs),
        before=tuple(before),
        after=tuple(after),
        of_tool=of_tool,
        chained=chained,
    )


def finish(work: Work, done: int, tool: int) -> int:
    """The set done once `tool` has done all that it can, starting from `done`."""
    left = work.of_tool.get(tool, 0) & ~done
    while left:
        operation = left & -left
        if not work.needs[operation.bit_length() - 1] & ~done:
            done |= operation
        left ^= operation
    return done


def next_blocks(work: Work, done: int) -> list[tuple[int, int]]:
    """Every tool that can do something now, with the set done after it: `finish` for all tools at once."""
    ready, needs = 0, work.needs
    left = work.everything & ~done
    while left:
        operation = left & -left
        if not needs[operation.bit_length() - 1] & ~done:
            ready |= operation
        left ^= operation
    blocks = []
    for tool, mine in work.of_tool.items():
        if now := ready & mine:
            reached = done | now
            for operation in members(work.chained[tool] & ~reached):
                if not needs[operation] & ~reached:
                    reached |= 1 << operation
            blocks.append((tool, reached))
    return blocks


def finish_backwards(work: Work, done: int, tool: int) -> int:
    """The same for the last block: `done` with every operation of `tool` that can be left to the end."""
    left = work.of_tool.get(tool, 0) & ~done
    while left:
        operation = left.bit_length() - 1
        if not work.after[operation] & ~done:
            done |= 1 << operation
        left ^= 1 << operation
    return done


def blocks_of(work: Work, word: Sequence[int], *, done: int = 0) -> Iterator[list[int]]:
    """The operations that each letter of the word does, in an order that their needs allow."""
    for tool in word:
        now = finish(work, done, tool)
        yield list(members(now & ~done))
        done = now


def completes(work: Work, word: Sequence[int]) -> bool:
    """Does the word do all of the work?"""
    done = 0
    for tool in word:
        done = finish(work, done, tool)
    return done == work.everything


def keep(work: Work, kept: int) -> Work:
    """The work that is left of `kept`; what is taken away must be first or last, never in between."""
    number = {operation: place for place, operation in enumerate(members(kept))}
    return build_work(
        [work.tool[operation] for operation in number],
        [sum(1 << number[need] for need in members(work.needs[operation] & kept)) for operation in number],
    )


def backwards(work: Work) -> Work:
    """The same work with every need turned round; its words are the words of `work` read from the end."""
    last = len(work.tool) - 1
    needs = [0] * len(work.tool)
    for later, direct in enumerate(work.needs):
        for earlier in members(direct):
            needs[last - earlier] |= 1 << (last - later)
    return build_work(work.tool[::-1], needs)


def members(a_set: int) -> Iterator[int]:
    """The numbers in a set, ascending.

    >>> list(members(0b10110))
    [1, 2, 4]
    """
    while a_set:
        lowest = a_set & -a_set
        yield lowest.bit_length() - 1
        a_set ^= lowest
