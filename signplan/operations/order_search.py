"""The fewest blocks of one tool in which a stretch of work can be done, and the proof.

First the work is made smaller (`order_reduce`). For what is left a quick search finds a good word; if it is
as short as the bound allows, that is the proof. Otherwise states are taken best first: they wait in buckets
by the number of blocks that they need at least (blocks behind them plus a bound for what is left). A state
taken from the lowest bucket with everything done is optimal, and at any moment the lowest bucket that still
holds a state is a lower bound. Work read from its end has the same words reversed, but other bounds, so both
ways are searched in turn.
"""

import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import cycle, islice

from signplan.operations.order_bounds import Runs, count_runs, rings_left, runs_left
from signplan.operations.order_reduce import is_forced, parted_needs, reduce_work
from signplan.operations.order_state import Work, backwards, next_blocks

Word = tuple[int, ...]

AT_FIRST = ((1, 100),)
PATIENCE = ((8, 1_000), (64, 10_000), (512, 50_000), (2048, 10**9))
"""Round by round: states kept after each block by the quick search, states that the proof then looks at."""

TURN = 250
"""States looked at in one reading of the work before the other has its turn."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """A word that does all of the work, or none within the limit; and what no word can do better than."""

    word: Word | None
    bound: int


class Budget:
    """How much may still be tried: states, or seconds where the caller asked for them."""

    def __init__(self, *, states: int, seconds: float | None = None) -> None:
        self.states = states
        self._until = None if seconds is None else time.perf_counter() + seconds

    def spend(self, states: int = 1) -> bool:
        """Take some states, or none just to ask; false once nothing is left."""
        self.states -= states
        if self._until is not None and time.perf_counter() > self._until:
            self.states = 0
        return self.states > 0

    def seconds_left(self) -> float | None:
        """None where no time was set."""
        return None if self._until is None else max(0.0, self._until - time.perf_counter())

    def share(self, parts: int) -> "Budget":
        """One of several equal parts of what is left, taken out of it."""
        left = self.seconds_left()
        part = Budget(states=self.states // parts, seconds=None if left is None else left / parts)
        self.states -= part.states
        return part


def fewest_blocks(work: Work, budget: Budget, *, limit: int | None = None) -> Answer:
    """The shortest word that does all of `work`; with a limit, any word that is no longer than that."""
    core = reduce_work(work)
    around = len(core.first) + len(core.last)
    answer = _search(core.work, budget, None if limit is None else limit - around)
    word = None if answer.word is None else core.first + answer.word + core.last
    return Answer(word=word, bound=answer.bound + around)


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """Work as it is searched, from one of its ends, with what the bounds need to know."""

    work: Work
    runs: Runs
    parted: tuple[int, ...]


def read_work(work: Work) -> Reading:
    """The work read from its beginning."""
    return Reading(work=work, runs=count_runs(work), parted=parted_needs(work))


def _search(work: Work, budget: Budget, limit: int | None) -> Answer:
    """From one end if that is soon settled, and then from both."""
    if not work.tool:
        return Answer(word=() if limit is None or limit >= 0 else None, bound=0)
    forwards = read_work(work)
    answer = _meet([forwards], AT_FIRST, budget, limit)
    if answer.bound == (limit + 1 if limit is not None else len(answer.word or ())) or (
        limit and answer.word
    ):
        return answer
    return _meet([forwards, read_work(backwards(work))], PATIENCE, budget, limit)


def _meet(
    readings: Sequence[Reading], rounds: Iterable[tuple[int, int]], budget: Budget, limit: int | None
) -> Answer:
    """The quick search and the proof in turn, each time with more patience, until they meet."""
    bound = max(least_blocks(reading) for reading in readings)
    if limit is not None and bound > limit:
        return Answer(word=None, bound=bound)
    best = quick_word(readings, 1, budget)
    aim = len(best) - 1 if limit is None else limit  # a longer word is of no use

    def settled() -> bool:
        return bound > aim or len(best) <= (bound if limit is None else limit)

    proof = _from_both_ends(readings, aim)
    for width, states in rounds:
        if settled() or budget.states <= 0:
            break
        best = min(best, quick_word(readings, width, budget), key=len)
        for at_least, word in islice(proof, states):
            bound = max(bound, at_least)
            if word is not None:
                return Answer(word=word, bound=bound)
            if settled() or not budget.spend():
                break
    bound = min(bound, len(best))
    return Answer(word=best if limit is None or len(best) <= limit else None, bound=bound)


def least_blocks(reading: Reading) -> int:
    """A lower bound for all of the work."""
    return _at_least(reading, reading.work.everything)


def _at_least(reading: Reading, left: int) -> int:
    return runs_left(reading.runs, left) + rings_left(reading.work, reading.runs, left)


def quick_word(readings: Sequence[Reading], width: int, budget: Budget) -> Word:
    """A good word, the shorter one if there are two readings (from the beginning and from the end)."""
    words = [_quick_word(reading, width, budget) for reading in readings]
    return min(words[0], *(word[::-1] for word in words[1:]), key=len) if len(words) > 1 else words[0]


def _quick_word(reading: Reading, width: int, budget: Budget) -> Word:
    """After every block only the `width` states with the least left go on."""
    everything = reading.work.everything
    states: dict[int, Word] = {0: ()}
    while everything not in states:
        following: dict[int, Word] = {}
        for done, word in states.items():
            for tool, reached in _next_states(reading, done):
                following.setdefault(reached, (*word, tool))
        if not budget.spend(len(states)):
            width = 1
        ranks = {done: (runs_left(reading.runs, everything & ~done), -done.bit_count()) for done in following}
        best = sorted(following, key=lambda done: (ranks[done], done))
        states = {done: following[done] for done in best[:width]}
    return states[everything]


def _from_both_ends(readings: Sequence[Reading], limit: int) -> Iterator[tuple[int, Word | None]]:
    """`best_first` on each reading in turn."""
    searches = [best_first(reading, limit) for reading in readings]
    for turned, search in cycle(enumerate(searches)):
        for bound, word in islice(search, TURN):
            yield bound, word[::-1] if word and turned else word


def best_first(reading: Reading, limit: int) -> Iterator[tuple[int, Word | None]]:
    """The shortest word of at most `limit` blocks.

    Yields at every state that it takes the lower bound, and at last the word; or a bound above the limit.
    """
    runs, everything = reading.runs, reading.work.everything
    came: dict[int, tuple[int, int, int]] = {0: (0, 0, -1)}  # done -> blocks, done before, tool
    least: dict[int, int] = {}  # done -> what is left at least, rings included
    looked_at: dict[int, int] = {}  # done -> blocks when what follows was looked at
    level = runs_left(runs, everything)
    buckets: list[list[int]] = [[] for _ in range(max(level, limit) + 1)]
    buckets[level].append(0)
    while level <= limit:
        if not buckets[level]:
            level += 1
            continue
        done = buckets[level].pop()
        blocks = came[done][0]
        if looked_at.get(done) == blocks:
            continue
        if done == everything:
            yield level, _word(came, done)
            return
        yield level, None
        if done not in least:
            least[done] = _at_least(reading, everything & ~done)
        if blocks + least[done] > level:
            if blocks + least[done] <= limit:
                buckets[blocks + least[done]].append(done)
            continue
        looked_at[done] = blocks
        for tool, reached in _next_states(reading, done):
            if reached in came and came[reached][0] <= blocks + 1:
                continue
            at_least = max(level, blocks + 1 + runs_left(runs, everything & ~reached))
            if at_least <= limit:
                came[reached] = (blocks + 1, done, tool)
                buckets[at_least].append(reached)
    yield max(level, limit + 1), None


def _next_states(reading: Reading, done: int) -> list[tuple[int, int]]:
    """The blocks that can come now; only one if it is as good as any."""
    blocks = next_blocks(reading.work, done)
    for tool, reached in blocks:
        if is_forced(reading.work, reading.parted, done, reached, tool):
            return [(tool, reached)]
    return blocks


def _word(came: dict[int, tuple[int, int, int]], done: int) -> Word:
    word = []
    while done:
        _, before, tool = came[done]
        word.append(tool)
        done = before
    return tuple(reversed(word))
