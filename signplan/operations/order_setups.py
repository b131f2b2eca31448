"""Whole jobs: setups one after another, the tool in the spindle carried from each to the next.

A setup matters to the rest of the job by the tool that it goes on with, the tool that it ends with, and its
blocks between the two: a *passage*. A whole job is a cheapest path: a place is the set of setups that are
done, with the tool in the spindle, and a passage leads from one place to the next. Passages are costly to
work out, so each is taken to be as good as nothing yet forbids, and only those on the cheapest path are
worked out; once all of them are, no path is cheaper. A passage with more blocks than the setup needs by
itself is never worth it, nor is leaving work of the tool found for the end: whatever follows gains one change
at most from the tool that it finds in the spindle.
"""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import NamedTuple

from signplan.operations.order_reduce import same_words
from signplan.operations.order_search import Budget, Word, fewest_blocks
from signplan.operations.order_state import Work, finish, finish_backwards, keep

PLACES = 5_000
"""Places with equally many setups done that are looked at, at most: all orders of about ten setups."""

MANY = 6
"""With more setups than this, looking for the cheapest path costs more than working out every passage."""

NEVER = 10**6
"""The blocks of a passage that is not worth looking at."""


class Passage(NamedTuple):
    """Through one setup, from the tool that it finds to the tool that it leaves; None: any."""

    setup: int
    found: int | None
    left: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Known:
    """What is known of a passage: no word has fewer blocks, and the word if there is one."""

    least: int
    word: Word | None

    @property
    def blocks(self) -> int:
        return NEVER if self.word is None else len(self.word)


@dataclass(frozen=True, kw_only=True, slots=True)
class Joined:
    """Setups in order, each with the word that does it, and what no order can do better than."""

    setups: tuple[tuple[int, Word], ...]
    bound: int


class Stretch:
    """One setup, and the passages through it that are known."""

    def __init__(
        self,
        work: Work,
        *,
        first: int,
        tools_found: Collection[int],
        tools_left: Collection[int],
        budget: Budget,
        parts: int = 1,
    ) -> None:
        self.first = first
        """The setups that must come before it, as a set."""
        self.budget = budget
        self.work = same_words(work)
        begins = {tool: finish(self.work, 0, tool) for tool in sorted(tools_found)}
        ends = {tool: finish_backwards(self.work, 0, tool) for tool in sorted(tools_left)}
        self.begins: Mapping[int | None, int] = {None: 0} | {
            tool: done for tool, done in begins.items() if done
        }
        """A tool that may be found in the spindle, or any -> what it does before the first change."""
        self.ends: Mapping[int | None, int] = {None: 0} | {tool: done for tool, done in ends.items() if done}
        """A tool that may be left in the spindle, or any -> what its last block does."""
        alone = fewest_blocks(self.work, budget.share(parts))
        self.alone = Known(least=alone.bound, word=alone.word)
        self.known: dict[tuple[int | None, int | None], Known] = {(None, None): self.alone}

    def least(self, found: int | None, left: int | None) -> int:
        """The fewest blocks that a passage may have, as far as is known."""
        known = self.known.get((found, left))
        return self.alone.least - (found is not None) if known is None else known.least

    def work_out(self, found: int | None, left: int | None) -> None:
        """Find the fewest blocks of a passage, if they are no more than those of the setup by itself."""
        rest = self.work.everything & ~self.begins[found]
        at_last = rest & self.ends[left]
        if not rest and left in (None, found):
            self.known[found, left] = Known(least=0, word=())
        elif left is not None and not at_last:
            self.known[found, left] = Known(least=NEVER, word=None)
        else:
            last = () if left is None else (left,)
            self.known[found, left] = self._shortest(rest & ~at_last, last, self.least(found, left))

    def _shortest(self, operations: int, last: Word, least: int) -> Known:
        """The shortest word for some operations and a last block, trying lengths from the least on."""
        work = keep(self.work, operations)
        proven = True
        for blocks in range(least, self.alone.blocks + 1):
            answer = fewest_blocks(work, self.budget, limit=blocks - len(last))
            if answer.word is not None:
                return Known(least=blocks if proven else least, word=answer.word + last)
            proven = proven and answer.bound + len(last) > blocks
            least = blocks + 1 if proven else least
        return Known(least=NEVER if proven else least, word=None)


def join(stretches: Sequence[Stretch], spindle: int | None, budget: Budget) -> Joined:
    """The setups in the order and with the words that need the fewest changes over all."""

    def at_least(step: Passage) -> int:
        return stretches[step.setup].least(step.found, step.left)

    def in_fact(step: Passage) -> int:
        known = stretches[step.setup].known.get((step.found, step.left))
        return NEVER if known is None else known.blocks

    if len(stretches) > MANY:
        for stretch in stretches:
            for found, left in product(stretch.begins, stretch.ends):
                if budget.spend(0):
                    stretch.work_out(found, left)
    while True:
        path, complete = _cheapest(stretches, spindle, at_least)
        unknown = [step for step in path if (step.found, step.left) not in stretches[step.setup].known]
        if not unknown or not budget.spend(0):
            break
        for step in unknown:
            stretches[step.setup].work_out(step.found, step.left)
    bound = sum(map(at_least, path))
    if any(in_fact(step) > at_least(step) for step in path):
        path, _ = _cheapest(stretches, spindle, in_fact)
    if not complete:
        bound = sum(stretch.alone.least - 1 for stretch in stretches) + (spindle is None)
    words = []
    for step in path:
        word = stretches[step.setup].known[step.found, step.left].word
        assert word is not None
        words.append((step.setup, word))
    return Joined(setups=tuple(words), bound=bound)


class _Place(NamedTuple):
    """A set of setups that are done, and the tool in the spindle."""

    done: int
    tool: int | None


class _Way(NamedTuple):
    """The cheapest way to a place; among equal ones that with fewer passages still to work out."""

    blocks: int
    unknown: int
    before: _Place
    step: Passage


def _cheapest(
    stretches: Sequence[Stretch], spindle: int | None, blocks: Callable[[Passage], int]
) -> tuple[list[Passage], bool]:
    """The path through all setups with the fewest blocks, if passages have so many; was nothing left out?"""
    start = _Place(0, spindle)
    layers = [{start: _Way(0, 0, start, Passage(-1, None, None))}]
    for _ in stretches:
        layer: dict[_Place, _Way] = {}
        for place, way in layers[-1].items():
            for step in _steps(stretches, place):
                after = _Place(place.done | 1 << step.setup, step.left)
                total = way.blocks + blocks(step)
                unknown = way.unknown + ((step.found, step.left) not in stretches[step.setup].known)
                known = layer.get(after)
                if total < NEVER and (known is None or (total, unknown) < (known.blocks, known.unknown)):
                    layer[after] = _Way(total, unknown, place, step)
        layers.append(layer if len(layer) <= PLACES else _most_promising(layer))
    place = min(layers[-1], key=lambda place: layers[-1][place][:2])
    path = []
    for layer in reversed(layers[1:]):
        way = layer[place]
        path.append(way.step)
        place = way.before
    return path[::-1], all(len(layer) < PLACES for layer in layers)


def _most_promising(layer: Mapping[_Place, _Way]) -> dict[_Place, _Way]:
    return dict(sorted(layer.items(), key=lambda item: item[1].blocks)[:PLACES])


def _steps(stretches: Sequence[Stretch], place: _Place) -> Iterator[Passage]:
    """Every passage that can come next."""
    for setup, stretch in enumerate(stretches):
        if not place.done >> setup & 1 and not stretch.first & ~place.done:
            for found, left in product(dict.fromkeys((place.tool, None)), stretch.ends):
                if found in stretch.begins:
                    yield Passage(setup, found, left)
