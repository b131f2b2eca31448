"""Whole jobs: setups one after another, the tool in the spindle carried from each to the next.

A setup matters to the rest of the job only by the tool that it can go on with, the tool that it ends with,
and its number of blocks. One block more than its fewest can pay (both ends then meet their neighbours'
tools), two more never can: whatever follows gains one change at most from the tool it finds in the spindle.
For the same reason only the cheapest way to have done a set of setups counts, with every tool that it can
end with.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from signplan.operations.order_search import Budget, Word, fewest_blocks
from signplan.operations.order_state import Work, finish, finish_backwards, keep

SETS_OF_SETUPS = 7_000
"""Sets of equally many setups that are looked at, at most: enough for 15 setups without any needs."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Ways:
    """The ways through one setup that start with one tool (or any) in the spindle."""

    changes: int
    """The fewest found."""
    bound: int
    """No way has fewer."""
    words: Mapping[int | None, Word]
    """The tool in the spindle at the end -> the word that does it."""
    perhaps: tuple[int | None, ...]
    """The last tools that no proof rules out; those of `words` alone where all is proven."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Stretch:
    """One setup: those that must come first (as a set), and its ways by the tool found in the spindle."""

    first: int
    ways: Mapping[int | None, Ways]


@dataclass(frozen=True, kw_only=True, slots=True)
class Joined:
    """Setups in order, each with the word that does it, and what no order can do better than."""

    setups: tuple[tuple[int, Word], ...]
    bound: int


@dataclass(slots=True)
class _Reached:
    """The cheapest way to have done a set of setups: tool in the spindle -> how it came about."""

    changes: int
    steps: dict[int | None, tuple[int, int | None, int, Word]] = field(default_factory=dict)


def ways_through(
    work: Work, *, carried: set[int], wanted: set[int], budget: Budget
) -> dict[int | None, Ways]:
    """The ways through one setup, from every tool that may be carried in to every tool wanted at its end."""
    best = fewest_blocks(work, budget.share(2) if carried or wanted else budget)
    assert best.word is not None
    ways: dict[int | None, Ways] = {None: _ends(work, best.word, best.bound, wanted, budget)}
    for tool in sorted(carried & work.of_tool.keys()):
        at_once = finish(work, 0, tool)
        if not at_once:
            continue
        rest = keep(work, work.everything & ~at_once)
        if not rest.tool:
            ways[tool] = Ways(changes=0, bound=0, words={tool: ()}, perhaps=(tool,))
            continue
        answer = fewest_blocks(rest, budget, limit=len(best.word) - 1)
        bound = min(best.bound, max(best.bound - 1, answer.bound))
        ways[tool] = _ends(rest, answer.word if answer.word is not None else best.word, bound, wanted, budget)
    return ways


def _ends(work: Work, word: Word, bound: int, wanted: set[int], budget: Budget) -> Ways:
    """The last tools with which work can be done in as few blocks as by `word`."""
    words: dict[int | None, Word] = {word[-1]: word}
    perhaps: list[int | None] = [word[-1]]
    for tool in sorted(wanted & work.of_tool.keys() - {word[-1]}):
        at_last = finish_backwards(work, 0, tool)
        if not at_last:
            continue
        answer = fewest_blocks(keep(work, work.everything & ~at_last), budget, limit=len(word) - 1)
        if answer.word is not None and len(answer.word) == len(word) - 1:
            words[tool] = (*answer.word, tool)
        if bound < len(word) or answer.bound < len(word):
            perhaps.append(tool)
    return Ways(changes=len(word), bound=bound, words=words, perhaps=tuple(perhaps))


def join(stretches: Sequence[Stretch], spindle: int | None) -> Joined:
    """The setups in the order and with the words that need the fewest changes over all."""
    layers = _layers(stretches, spindle)
    ((everything, reached),) = layers[-1].items()
    bound = reached.changes
    if any(
        set(ways.words) != set(ways.perhaps) or ways.bound < ways.changes for ways in _all_ways(stretches)
    ):
        (hoped,) = _layers([_at_best(stretch) for stretch in stretches], spindle)[-1].values()
        bound = hoped.changes
    if any(len(layer) >= SETS_OF_SETUPS for layer in layers):
        least = [min(ways.bound for ways in stretch.ways.values()) for stretch in stretches]
        bound = min(bound, sum(least))
    return Joined(setups=_trace(layers, everything), bound=bound)


def _all_ways(stretches: Sequence[Stretch]) -> Iterator[Ways]:
    return (ways for stretch in stretches for ways in stretch.ways.values())


def _at_best(stretch: Stretch) -> Stretch:
    """A setup as good as nothing proves impossible: for the bound, never for the order."""
    ways = {
        tool: replace(ways, changes=ways.bound, words=dict.fromkeys(ways.perhaps, ()))
        for tool, ways in stretch.ways.items()
    }
    return replace(stretch, ways=ways)


def _layers(stretches: Sequence[Stretch], spindle: int | None) -> list[dict[int, _Reached]]:
    """The cheapest ways to have done every set of 0, 1, 2, ... setups that the needs allow."""
    layers = [{0: _Reached(changes=0, steps={spindle: (0, None, -1, ())})}]
    for _ in stretches:
        layers.append(_next_layer(stretches, layers[-1]))
    return layers


def _next_layer(stretches: Sequence[Stretch], layer: Mapping[int, _Reached]) -> dict[int, _Reached]:
    following: dict[int, _Reached] = {}
    for done, reached in layer.items():
        for setup, stretch in enumerate(stretches):
            if done >> setup & 1 or stretch.first & ~done:
                continue
            _extend(following, done, reached, setup, stretch)
    if len(following) <= SETS_OF_SETUPS:
        return following
    return dict(sorted(following.items(), key=lambda item: (item[1].changes, item[0]))[:SETS_OF_SETUPS])


def _extend(
    following: dict[int, _Reached], done: int, reached: _Reached, setup: int, stretch: Stretch
) -> None:
    """Add one setup to a set of setups, with every tool that may be in the spindle before it."""
    for tool in reached.steps:
        entered = tool if tool in stretch.ways else None
        ways = stretch.ways[entered]
        changes = reached.changes + ways.changes
        target = following.setdefault(done | 1 << setup, _Reached(changes=changes))
        if changes > target.changes:
            continue
        if changes < target.changes:
            target.changes = changes
            target.steps.clear()
        for last, word in ways.words.items():
            target.steps.setdefault(last, (done, tool, setup, word))


def _trace(layers: Sequence[Mapping[int, _Reached]], done: int) -> tuple[tuple[int, Word], ...]:
    """The setups and words that led here, first to last."""
    tool = min(layers[-1][done].steps, key=lambda tool: -1 if tool is None else tool)
    found = []
    for layer in reversed(layers[1:]):
        step = layer[done].steps[tool]
        done, tool, setup, word = step
        found.append((setup, word))
    return tuple(reversed(found))
