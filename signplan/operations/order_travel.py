"""The least travel between operations, without one more tool change.

Only operations of the same tool and setup change places: within their block, or into another block of that
tool where all that they need, and all that need them, allow it. A block of few operations is put into its
best order exactly; longer ones, and moves between blocks, are improved one operation at a time until nothing
gains.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from math import dist

Point = tuple[float, float]

EXACT = 10
"""Operations in a block up to which its order is exact: about a thousand sets of ten operations."""

GAIN = 1e-6
"""A change that shortens the way by less, mm, is none: it could undo itself through rounding."""

ROUNDS = 20
"""Times that everything is gone through at most; three or four are the rule."""


def shorten_travel(
    sequence: Sequence[str],
    tool_of: Mapping[str, str],
    needs: Mapping[str, Collection[str]],
    *,
    setup_of: Mapping[str, str] | None = None,
    entries: Mapping[str, Point],
    exits: Mapping[str, Point],
) -> tuple[str, ...]:
    """The sequence with shorter links from each exit to the next entry (mm); never longer, same changes.

    There is no link from one setup to the next.

    >>> places = {"a": (0, 0), "b": (9, 0), "c": (5, 0)}
    >>> shorten_travel("abc", dict.fromkeys("abc", "drill"), {"b": ["a"]}, entries=places, exits=places)
    ('a', 'c', 'b')
    """
    setups = dict.fromkeys(sequence, "") if setup_of is None else setup_of
    job = _Places(tool_of=tool_of, needs=needs, setup_of=setups, entries=entries, exits=exits)
    best = list(sequence)
    for _ in range(ROUNDS):
        shorter = _order_blocks(job, _move_singly(job, best))
        if _length(job, shorter) > _length(job, best) - GAIN:
            break
        best = shorter
    return tuple(best)


def link_length(
    sequence: Sequence[str],
    *,
    setup_of: Mapping[str, str] | None = None,
    entries: Mapping[str, Point],
    exits: Mapping[str, Point],
) -> float:
    """The links of a sequence, summed, mm; none from one setup to the next."""
    return sum(
        dist(exits[one], entries[other])
        for one, other in pairwise(sequence)
        if setup_of is None or setup_of[one] == setup_of[other]
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class _Places:
    """What is known of the operations, and where each begins and ends."""

    tool_of: Mapping[str, str]
    needs: Mapping[str, Collection[str]]
    setup_of: Mapping[str, str]
    entries: Mapping[str, Point]
    exits: Mapping[str, Point]

    def kind(self, operation: str) -> tuple[str, str]:
        """Operations of one kind may stand together in a block."""
        return self.tool_of[operation], self.setup_of[operation]

    def link(self, one: str | None, other: str | None) -> float:
        """From the exit of one to the entry of the other, mm; nothing at the ends and between setups."""
        if one is None or other is None or self.setup_of[one] != self.setup_of[other]:
            return 0.0
        return dist(self.exits[one], self.entries[other])

    def waits(self, operation: str | None, other: str | None) -> bool:
        """Does the operation directly need the other?"""
        return operation is not None and other in self.needs.get(operation, ())


def _length(job: _Places, sequence: Sequence[str | None]) -> float:
    return sum(job.link(one, other) for one, other in pairwise(sequence))


def _order_blocks(job: _Places, sequence: list[str]) -> list[str]:
    """Every block in a better order, given the operations before and after it."""
    blocks = [list(block) for _, block in groupby(sequence, key=job.kind)]
    for place, block in enumerate(blocks):
        before = blocks[place - 1][-1] if place else None
        after = blocks[place + 1][0] if place + 1 < len(blocks) else None
        order = _best_order if len(block) <= EXACT else _better_order
        found = order(job, block, before, after)
        if _length(job, [before, *found, after]) < _length(job, [before, *block, after]) - GAIN:
            blocks[place] = found
    return [operation for block in blocks for operation in block]


def _best_order(job: _Places, block: list[str], before: str | None, after: str | None) -> list[str]:
    """The shortest order of a block: for every set of its operations and every last one, the shortest way."""
    needs = [sum(1 << n for n, other in enumerate(block) if job.waits(name, other)) for name in block]
    ways: dict[tuple[int, int], tuple[float, list[str]]] = {
        (1 << n, n): (job.link(before, name), [name]) for n, name in enumerate(block) if not needs[n]
    }
    for _ in block[1:]:
        longer: dict[tuple[int, int], tuple[float, list[str]]] = {}
        for (done, last), (length, way) in ways.items():
            for n, name in enumerate(block):
                if done >> n & 1 or needs[n] & ~done:
                    continue
                key, reached = (done | 1 << n, n), length + job.link(block[last], name)
                if key not in longer or reached < longer[key][0]:
                    longer[key] = reached, [*way, name]
        ways = longer
    return min(ways.values(), key=lambda way: way[0] + job.link(way[1][-1], after))[1]


def _better_order(job: _Places, block: list[str], before: str | None, after: str | None) -> list[str]:
    """A long block from nearest to nearest, or as it was, then turning round whatever stretch gains by it."""
    best: list[str | None] = [before, *_from_nearest_to_nearest(job, block, before), after]
    if _length(job, best) > _length(job, [before, *block, after]):
        best = [before, *block, after]
    gained = True
    while gained:
        gained = False
        for start in range(1, len(best) - 2):
            for end in range(start + 2, len(best)):
                stretch = best[start:end]
                if any(job.waits(stretch[-1], other) for other in stretch):
                    break
                around = best[start - 1], best[end]
                turned = [around[0], *reversed(stretch), around[1]]
                if _length(job, turned) < _length(job, [around[0], *stretch, around[1]]) - GAIN:
                    best[start:end] = turned[1:-1]
                    gained = True
    return [operation for operation in best[1:-1] if operation is not None]


def _from_nearest_to_nearest(job: _Places, block: list[str], before: str | None) -> list[str]:
    order: list[str] = []
    left = list(block)
    while left:
        can = [name for name in left if not any(job.waits(name, other) for other in left)]
        before = min(can, key=lambda name: job.link(before, name))
        left.remove(before)
        order.append(before)
    return order


def _move_singly(job: _Places, sequence: list[str]) -> list[str]:
    """Each operation where it adds least, next to others of its kind; no block is emptied."""
    for operation in tuple(sequence):
        at = sequence.index(operation)
        kind = job.kind(operation)
        beside = [sequence[n] for n in (at - 1, at + 1) if 0 <= n < len(sequence)]
        if kind not in map(job.kind, beside):
            continue
        rest: list[str | None] = [None, *sequence[:at], *sequence[at + 1 :], None]
        first = max((n for n, other in enumerate(rest) if job.waits(operation, other)), default=0)
        last = min(
            (n for n, other in enumerate(rest) if job.waits(other, operation)),
            default=len(rest) - 1,
        )
        costs = {
            n: job.link(one, operation) + job.link(operation, other) - job.link(one, other)
            for n, (one, other) in enumerate(pairwise(rest[first : last + 1]), start=first)
            if kind in [job.kind(neighbour) for neighbour in (one, other) if neighbour]
        }
        best = min(costs, key=lambda n: costs[n])
        if costs[best] < costs[at] - GAIN:
            sequence = [*sequence[:at], *sequence[at + 1 :]]
            sequence.insert(best, operation)
    return sequence
