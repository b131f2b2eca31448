"""Setups joined by the tool that is carried from one to the next."""

from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

from signplan.operations.order_search import Budget
from signplan.operations.order_setups import Stretch, join, ways_through
from signplan.operations.order_state import build_work, completes, finish

by_force = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "order_by_force.py")))

A, B, C = 0, 1, 2


def test_the_ways_through_a_setup_are_those_of_brute_force():
    """From every tool in the spindle: the fewest changes, and with which tools they can end."""
    for seed in range(300):
        work = by_force.random_work(seed)
        tools = set(work.of_tool)
        ways = ways_through(work, carried=tools, wanted=tools, budget=Budget(states=100_000))
        for tool, way in ways.items():
            start = -1 if tool is None else tool
            assert way.changes == way.bound == by_force.blocks_by_force(work, tool=start), seed
            assert set(way.words) == set(way.perhaps) == last_tools(work, start), seed
            for last, word in way.words.items():
                assert completes(work, word if tool is None else (tool, *word)), seed
                assert len(word) == way.changes
                assert last == (word[-1] if word else tool)


def last_tools(work, tool):
    """The tools with which the fewest changes can end, by trying every order."""
    found = {}

    def go_on(done, tool, changes):
        if done == work.everything:
            found.setdefault(changes, set()).add(tool)
        for n, other in enumerate(work.tool):
            if not done >> n & 1 and not work.needs[n] & ~done:
                reached = finish(work, done, other)
                go_on(reached, other, changes + (other != tool))

    go_on(0 if tool < 0 else finish(work, 0, tool), tool, 0)
    return found[min(found)]


def one_block(tool, *, first=0):
    work = build_work([tool], [0])
    return Stretch(
        first=first, ways=ways_through(work, carried={tool}, wanted={tool}, budget=Budget(states=100))
    )


def test_setups_of_one_tool_stand_together_where_they_may():
    joined = join([one_block(A), one_block(B), one_block(A)], None)
    assert joined.bound == 2
    order = [setup for setup, _ in joined.setups]
    assert abs(order.index(0) - order.index(2)) == 1
    assert join([one_block(A), one_block(B, first=0b1), one_block(A, first=0b10)], None).bound == 3


def test_the_tool_in_the_spindle_begins():
    joined = join([one_block(A), one_block(B)], B)
    assert [setup for setup, _ in joined.setups] == [1, 0]
    assert joined.bound == 1


def test_many_setups_without_needs_keep_a_bound_that_is_not_too_high():
    """Eighteen setups of one operation each have too many sets; the bound stays true when some are cut off."""
    joined = join([one_block(n % 4) for n in range(18)], None)
    assert len(joined.setups) == 18
    assert joined.bound <= 4
