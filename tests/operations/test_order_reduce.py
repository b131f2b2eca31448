"""Making work smaller: each rule alone leaves the fewest blocks as they are, and the words usable."""

from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.operations.order_reduce import (
    is_forced,
    parted_needs,
    reduce_work,
    without_first_blocks,
    without_idle_needs,
)
from signplan.operations.order_search import Budget, fewest_blocks
from signplan.operations.order_state import backwards, build_work, completes, finish

by_force = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "order_by_force.py")))

A, B, C = 0, 1, 2


@pytest.mark.parametrize("first", range(0, 1000, 100))
def test_idle_needs_change_nothing(first):
    for seed in range(first, first + 100):
        work = by_force.random_work(seed)
        fewest = by_force.blocks_by_force(work)
        assert by_force.blocks_by_force(without_idle_needs(work)) == fewest, seed
        assert by_force.blocks_by_force(without_idle_needs(backwards(work))) == fewest, seed


@pytest.mark.parametrize("first", range(0, 1000, 100))
def test_first_blocks_that_are_forced_cost_nothing(first):
    for seed in range(first, first + 100):
        work = by_force.random_work(seed)
        blocks, rest = without_first_blocks(work)
        assert len(blocks) + by_force.blocks_by_force(rest) == by_force.blocks_by_force(work), seed


@pytest.mark.parametrize("first", range(0, 400, 100))
def test_a_forced_block_is_as_good_as_any_at_every_moment(first):
    for seed in range(first, first + 100):
        work = by_force.random_work(seed)
        parted = parted_needs(work)
        for done in by_force.down_sets(work):
            for tool in work.of_tool:
                reached = finish(work, done, tool)
                if is_forced(work, parted, done, reached, tool):
                    rest = by_force.blocks_by_force(work, done=reached)
                    assert 1 + rest == by_force.blocks_by_force(work, done=done), seed


@pytest.mark.parametrize("first", range(0, 600, 100))
def test_a_word_for_the_core_is_a_word_for_the_work(first):
    for seed in range(first, first + 100):
        work = by_force.random_work(seed)
        core = reduce_work(work)
        word = fewest_blocks(core.work, Budget(states=1000)).word
        assert completes(work, core.first + word + core.last), seed
        assert len(core.first + word + core.last) == by_force.blocks_by_force(work), seed


def test_a_need_that_another_one_implies_goes():
    """The second A waits for B, which waits for the first A."""
    work = build_work([A, B, A], [0, 0b1, 0b11])
    assert without_idle_needs(work).needs == (0, 0b1, 0b10)


def test_a_need_that_is_met_in_time_by_a_longer_way_goes():
    """C waits for two A's; the free one is done in the first block of A, the other one later."""
    work = build_work([A, B, A, C], [0, 0, 0b10, 0b101])
    assert without_idle_needs(work) == build_work([B, A, C], [0, 0b1, 0b10])


def test_an_operation_that_another_takes_along_goes():
    """The first A can always be done with the second."""
    work = build_work([A, B, A], [0, 0, 0b10])
    assert without_idle_needs(work) == build_work([B, A], [0, 0b1])


def test_an_operation_follows_its_own_tool():
    """The last A needs only A's, each behind another tool: it is done with the later of them."""
    work = build_work([B, C, A, A, A], [0, 0, 0b1, 0b10, 0b1100])
    assert without_idle_needs(work) == build_work([B, C, A, A], [0, 0, 0b1, 0b10])


def test_of_twins_one_stays():
    work = build_work([A, A, B], [0, 0, 0b11])
    assert without_idle_needs(work) == build_work([A, B], [0, 0b1])


def test_a_sign_face_is_solved_by_shortening_alone():
    """Two panels alike: ground rough, ground fine, letters, edge, cut-out."""
    tools = [0, 0, 1, 1, 2, 2, 3, 3, 0, 0]
    needs = [0 if n < 2 else 1 << (n - 2) for n in range(10)]
    core = reduce_work(build_work(tools, needs))
    assert core.work.tool == ()
    assert core.first + core.last == (0, 1, 2, 3, 0)
