"""Orders of work by brute force: every operation that can come next, one at a time, and no idea behind."""

import heapq
import random
from functools import cache
from itertools import combinations, count

from signplan.operations.order_state import build_work


def random_work(seed, *, size=9, tools=4, density=0.6):
    """1 to 9 operations (or more) of up to 4 tools, sparse to dense."""
    chance = random.Random(seed)
    size, tools, density = chance.randint(1, size), chance.randint(1, tools), chance.random() * density
    needs = [sum(1 << n for n in range(later) if chance.random() < density) for later in range(size)]
    return build_work([chance.randrange(tools) for _ in range(size)], needs)


def blocks_by_force(work, *, done=0, tool=-1):
    """The fewest blocks in which everything that is not done can be done, with a tool in the spindle."""

    @cache
    def left(done, tool):
        costs = [
            (work.tool[n] != tool) + left(done | 1 << n, work.tool[n])
            for n in range(len(work.tool))
            if not done >> n & 1 and not work.needs[n] & ~done
        ]
        return min(costs, default=0)

    return left(done, tool)


def down_sets(work):
    """Every set of operations that can be done at some moment."""
    found = {0}
    waiting = [0]
    for done in waiting:
        for n in range(len(work.tool)):
            if not done >> n & 1 and not work.needs[n] & ~done and done | 1 << n not in found:
                found.add(done | 1 << n)
                waiting.append(done | 1 << n)
    return waiting


def random_job(seed, *, size=8):
    """Some operations, tools and setups, with needs that can be met; a tool may be in the spindle."""
    chance = random.Random(seed)
    names = [f"op{n}" for n in range(chance.randint(1, size))]
    tools, setups, density = chance.randint(1, 4), chance.randint(1, 4), chance.random() * 0.6
    tool_of = {name: "ABCD"[chance.randrange(tools)] for name in names}
    setup_of = {name: f"setup {chance.randrange(setups)}" for name in names}
    needs = {
        name: [n for n in names[:place] if setup_of[n] <= setup_of[name] and chance.random() < density]
        for place, name in enumerate(names)
    }
    listed = list(tool_of.items())
    chance.shuffle(listed)
    return dict(listed), needs, setup_of, chance.choice([None, "A", "B", "a tool not in the job"])


def changes_by_force(tool_of, needs, setup_of, spindle=None):
    """The fewest changes over a whole job; a setup that is begun is finished first."""

    @cache
    def left(done, tool, setup):
        rest = [name for name in tool_of if name not in done]
        inside = [name for name in rest if setup_of[name] == setup]
        costs = [
            (tool_of[name] != tool) + left(done | {name}, tool_of[name], setup_of[name])
            for name in inside or rest
            if done.issuperset(needs.get(name, ()))
        ]
        return min(costs, default=0 if not rest else 99)

    return left(frozenset(), spindle, None)


def reloads_by_force(tool_of, needs, setup_of, slots, spindle=None):
    """The least (stops in holds, reloads, changes): before every operation any tools may be exchanged.

    An empty place is filled for nothing; a tool is only taken out if all places are taken.
    """
    magazines = [
        frozenset(tools)
        for number in range(slots + 1)
        for tools in combinations(sorted(set(tool_of.values())), number)
    ]
    loaded = frozenset({spindle} & set(tool_of.values()))
    start = (frozenset(), None, loaded, spindle)
    best, ticket = {start: (0, 0, 0)}, count()
    heap = [((0, 0, 0), next(ticket), start)]
    while heap:
        cost, _, state = heapq.heappop(heap)
        done, setup, loaded, tool = state
        rest = [name for name in tool_of if name not in done]
        if not rest:
            return cost
        inside = [name for name in rest if setup_of[name] == setup]
        for name in inside or rest:
            if cost > best[state] or not done.issuperset(needs.get(name, ())):
                continue
            for others in magazines:
                out = len(loaded - others)
                if tool_of[name] not in others or (out and len(others) < slots):
                    continue
                more = (bool(inside and out), out, tool_of[name] != tool)
                total = tuple(one + other for one, other in zip(cost, more, strict=True))
                following = (done | {name}, setup_of[name], others, tool_of[name])
                if total < best.get(following, (99, 0, 0)):
                    best[following] = total
                    heapq.heappush(heap, (total, next(ticket), following))
    raise AssertionError("a cycle")
