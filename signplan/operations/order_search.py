"""The fewest blocks of one tool in which a stretch of work can be done, and the proof.

Best first: states wait in buckets by the number of blocks that they need at least (blocks behind them, plus
a bound for what is left). A state that is taken from the lowest bucket with everything done is optimal, and
at any moment the lowest bucket that still holds a state is a lower bound.
"""

import time
from dataclasses import dataclass

from signplan.operations.order_bounds import count_runs, runs_left
from signplan.operations.order_state import Work, finish

Word = tuple[int, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """A word that does all of the work, or none within the limit; and what no word can do better than."""

    word: Word | None
    bound: int


class Budget:
    """How much may still be tried: states, or seconds where the caller asked for them."""

    def __init__(self, *, states: int, seconds: float | None = None) -> None:
        self.states = states
        self.until = None if seconds is None else time.perf_counter() + seconds

    def spend(self) -> bool:
        """Take one state; false once nothing is left."""
        self.states -= 1
        if self.until is not None and self.states % 16 == 0 and time.perf_counter() > self.until:
            self.states = 0
        return self.states > 0


def fewest_blocks(work: Work, budget: Budget, *, limit: int | None = None) -> Answer:
    """The shortest word that does all of `work`; none is looked for that is longer than `limit`."""
    runs = count_runs(work)
    everything = work.everything
    lowest = runs_left(runs, everything)
    came: dict[int, tuple[int, int, int]] = {0: (0, 0, -1)}  # done -> blocks, done before, tool
    buckets: dict[int, list[int]] = {lowest: [0]}
    while buckets:
        lowest = min(buckets)
        if limit is not None and lowest > limit:
            return Answer(word=None, bound=lowest)
        if not buckets[lowest]:
            del buckets[lowest]
            continue
        done = buckets[lowest].pop()
        blocks = came[done][0]
        if done == everything:
            return Answer(word=_word(came, done), bound=lowest)
        if blocks + runs_left(runs, everything & ~done) != lowest:
            continue
        if not budget.spend():
            word = _hurry(work, _word(came, done), done)
            return Answer(word=word if limit is None or len(word) <= limit else None, bound=lowest)
        for tool in work.of_tool:
            reached = finish(work, done, tool)
            if reached != done and came.get(reached, (blocks + 2,))[0] > blocks + 1:
                came[reached] = (blocks + 1, done, tool)
                level = blocks + 1 + runs_left(runs, everything & ~reached)
                buckets.setdefault(level, []).append(reached)
    raise AssertionError("work whose needs have a cycle")


def _word(came: dict[int, tuple[int, int, int]], done: int) -> Word:
    word = []
    while done:
        _, before, tool = came[done]
        word.append(tool)
        done = before
    return tuple(reversed(word))


def _hurry(work: Work, word: Word, done: int) -> Word:
    """A complete word from here on, always taking the tool that can do most."""
    while done != work.everything:
        tool = max(work.of_tool, key=lambda tool: (finish(work, done, tool).bit_count(), -tool))
        word, done = (*word, tool), finish(work, done, tool)
    return word
