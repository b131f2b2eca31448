"""Setups joined by the tool that is carried from one to the next."""

from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.operations.order_search import Budget
from signplan.operations.order_setups import NEVER, Stretch, join
from signplan.operations.order_state import build_work, completes

by_force = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "order_by_force.py")))

A, B, C = 0, 1, 2


def stretch(work, tools, *, first=0):
    return Stretch(
        work, first=first, tools_found=tools, tools_left=tools, budget=Budget(states=100_000), parts=2
    )


@pytest.mark.parametrize("first", range(0, 300, 50))
def test_every_passage_through_a_setup_is_as_short_as_brute_force(first):
    for seed in range(first, first + 50):
        work = by_force.random_work(seed)
        setup = stretch(work, set(work.of_tool))
        for found in setup.begins:
            fewest = fewest_by_last_tool(work, found)
            for left in setup.ends:
                setup.work_out(found, left)
                known = setup.known[found, left]
                expected = min(fewest.values()) if left is None else fewest.get(left, NEVER)
                if known.word is None:
                    assert known.least == NEVER
                    assert expected > min(fewest.values()), seed
                else:
                    assert known.least == known.blocks == expected, seed
                    assert completes(work, known.word if found is None else (found, *known.word)), seed
                    assert left is None or (*([found] * (found == left)), *known.word)[-1] == left, seed


def fewest_by_last_tool(work, found):
    """Tool in the spindle at the end -> the fewest changes, one operation at a time."""
    states = {(0, found): 0}
    for _ in work.tool:
        following = {}
        for (done, tool), changes in states.items():
            for n, other in enumerate(work.tool):
                if not done >> n & 1 and not work.needs[n] & ~done:
                    state, total = (done | 1 << n, other), changes + (other != tool)
                    following[state] = min(total, following.get(state, total))
        states = following
    return {tool: changes for (_, tool), changes in states.items()}


def one_block(tool, *, first=0):
    return stretch(build_work([tool], [0]), {tool}, first=first)


def test_setups_of_one_tool_stand_together_where_they_may():
    joined = join([one_block(A), one_block(B), one_block(A)], None, Budget(states=100_000))
    assert joined.bound == 2
    order = [setup for setup, _ in joined.setups]
    assert abs(order.index(0) - order.index(2)) == 1
    assert (
        join(
            [one_block(A), one_block(B, first=0b1), one_block(A, first=0b10)], None, Budget(states=100_000)
        ).bound
        == 3
    )


def test_the_tool_in_the_spindle_begins():
    joined = join([one_block(A), one_block(B)], B, Budget(states=100_000))
    assert [setup for setup, _ in joined.setups] == [1, 0]
    assert joined.bound == 1


def test_many_setups_without_needs_keep_a_bound_that_is_not_too_high():
    """Thirteen setups have too many sets to look at all; the bound stays true when some are cut off."""
    joined = join([one_block(n % 4) for n in range(13)], None, Budget(states=100_000))
    assert len(joined.setups) == 13
    assert joined.bound <= 4
