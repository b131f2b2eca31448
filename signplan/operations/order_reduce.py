"""Making the work smaller before anything is searched: fewer needs, fewer operations, the same words.

Everything rests on one relation. `u` is *no later* than `w` if in every word, however it is chosen, `u` is
done by the end of the block that does `w`. It holds for whatever comes after `u`; and for `w` of the same
tool if each need of `u` is no later than `w`, because `u` can then be done together with it. From it follow
three rules:

1. a need that is no later than another need of the same operation says nothing;
2. an operation that nothing waits for, no later than another one, says nothing;
3. an operation whose needs all have its own tool is done in the block of the last of them, so whatever waits
   for it may wait for them instead.

A word does all of the work exactly if it does all of what is left, so only the word has to be carried back.
Read from the end, the work has the same words reversed, so each rule holds that way round too. Between the
passes come forced blocks: if every operation that a tool's first block can ever do can be done at once,
doing it now is as good as doing it later.
"""

from dataclasses import dataclass

from signplan.operations.order_state import Work, backwards, build_work, finish, keep, members


@dataclass(frozen=True, kw_only=True, slots=True)
class Core:
    """What is left to search, and the blocks that come before and after it in some best word."""

    work: Work
    first: tuple[int, ...] = ()
    last: tuple[int, ...] = ()


def reduce_work(work: Work) -> Core:
    """The core of the work, by every rule in turn, forwards and backwards, until nothing gives way."""
    first: tuple[int, ...] = ()
    last: tuple[int, ...] = ()
    while True:
        work = same_words(work)
        at_first, work = without_first_blocks(work)
        at_last, turned = without_first_blocks(backwards(work))
        first, last, work = (*first, *at_first), (*reversed(at_last), *last), backwards(turned)
        if not at_first and not at_last:
            return Core(work=work, first=first, last=last)


def same_words(work: Work) -> Work:
    """Smaller work that is done by exactly the same words: the three rules, until they say nothing more."""
    quiet, turned = 0, False
    while quiet < 2:
        smaller = without_idle_needs(work)
        quiet = quiet + 1 if _size(smaller) == _size(work) else 0
        work, turned = backwards(smaller), not turned
    return backwards(work) if turned else work


def without_idle_needs(work: Work) -> Work:
    """The work without the needs and operations that say nothing: the three rules once, forwards."""
    no_later: list[int] = []
    stand_in: list[int] = []  # what to wait for instead of each operation
    needs: list[int] = []
    for operation, tool in enumerate(work.tool):
        waits = _union(stand_in, work.needs[operation])
        for need in members(waits):
            if no_later[need] & waits & ~(1 << need):
                waits &= ~(1 << need)
        needs.append(waits)
        same_time = work.of_tool[tool]
        for need in members(waits):
            same_time &= no_later[need]
        no_later.append(same_time | _union(work.after, same_time))
        follows = waits and all(work.tool[need] == tool for need in members(waits))
        stand_in.append(waits if follows else 1 << operation)
    kept = _union(stand_in, work.everything)
    waited_for = 0
    for operation in members(kept):
        waited_for |= needs[operation]
    for operation in members(kept & ~waited_for):
        if no_later[operation] & kept & ~(1 << operation):
            kept &= ~(1 << operation)
    number = {operation: place for place, operation in enumerate(members(kept))}
    return build_work(
        [work.tool[operation] for operation in number],
        [sum(1 << number[need] for need in members(needs[operation])) for operation in number],
    )


def without_first_blocks(work: Work) -> tuple[tuple[int, ...], Work]:
    """The blocks that may come first whatever follows, and the work without them."""
    forced = []
    parted = parted_needs(work)
    done = 0
    tools = list(work.of_tool)
    while tools:
        tool = next(
            (tool for tool in tools if is_forced(work, parted, done, finish(work, done, tool), tool)), None
        )
        if tool is None:
            break
        forced.append(tool)
        done = finish(work, done, tool)
        tools = [tool for tool in tools if work.of_tool[tool] & ~done]
    return tuple(forced), keep(work, work.everything & ~done)


def parted_needs(work: Work) -> tuple[int, ...]:
    """For each operation those of its own tool before it that no block can do together with it."""
    parted = []
    for operation, tool in enumerate(work.tool):
        others = work.before[operation] & ~work.of_tool[tool]
        parted.append(_union(work.before, others) & work.of_tool[tool])
    return tuple(parted)


def is_forced(work: Work, parted: tuple[int, ...], done: int, reached: int, tool: int) -> bool:
    """May `tool` come now, from `done` to `reached`, whatever the rest of the best word?

    Yes if its first block could never do more than it does now: every operation of it that stays behind needs
    one that is still to do, with another tool in between.
    """
    if reached == done:
        return False
    return all(parted[operation] & ~done for operation in members(work.of_tool[tool] & ~reached))


def _union(sets: list[int] | tuple[int, ...], which: int) -> int:
    union = 0
    for member in members(which):
        union |= sets[member]
    return union


def _size(work: Work) -> tuple[int, int]:
    return len(work.tool), sum(needs.bit_count() for needs in work.needs)
