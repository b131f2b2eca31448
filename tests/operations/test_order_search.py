"""The search: shortest words against brute force, each way of reading; limits and budgets."""

from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.operations.order_job import read_job
from signplan.operations.order_search import (
    Budget,
    best_first,
    fewest_blocks,
    least_blocks,
    quick_word,
    read_work,
)
from signplan.operations.order_state import backwards, build_work, completes

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"
by_force = SimpleNamespace(**run_path(str(BENCHMARKS / "order_by_force.py")))
cases = SimpleNamespace(**run_path(str(BENCHMARKS / "order_cases.py")))


def weave(*words):
    """Chains side by side, as one work."""
    tools, needs = [], []
    for word in words:
        for place, letter in enumerate(word):
            needs.append(1 << len(tools) - 1 if place else 0)
            tools.append("ABCDEFGH".index(letter))
    return build_work(tools, needs)


@pytest.mark.parametrize("first", range(0, 600, 100))
def test_best_first_alone_is_as_short_as_brute_force(first):
    for seed in range(first, first + 100):
        work = by_force.random_work(seed)
        fewest = by_force.blocks_by_force(work)
        for reading in (work, backwards(work)):
            *_, (bound, word) = best_first(read_work(reading), 9)
            assert bound == len(word) == fewest, seed
            assert completes(reading, word), seed
            assert all(bound <= fewest for bound, _ in best_first(read_work(reading), 9)), seed


def test_below_the_fewest_the_search_ends_above_its_limit():
    for seed in range(200):
        work = by_force.random_work(seed)
        limit = by_force.blocks_by_force(work) - 1
        *_, (bound, word) = best_first(read_work(work), limit)
        assert bound > limit
        assert word is None


def test_the_quick_word_is_complete_and_never_shorter_than_it_can_be():
    for seed in range(300):
        work = by_force.random_work(seed)
        for width in (1, 8):
            word = quick_word([read_work(work), read_work(backwards(work))], width, Budget(states=1000))
            assert completes(work, word)
            assert len(word) >= by_force.blocks_by_force(work) >= least_blocks(read_work(work))


@pytest.mark.parametrize("extra", [-1, 0, 1])
def test_a_limit_is_kept_or_ruled_out(extra):
    for seed in range(300):
        work = by_force.random_work(seed)
        fewest = by_force.blocks_by_force(work)
        answer = fewest_blocks(work, Budget(states=10_000), limit=fewest + extra)
        if extra < 0:
            assert answer.word is None
            assert answer.bound == fewest
        else:
            assert len(answer.word) <= fewest + extra
            assert answer.bound <= fewest


def test_out_of_budget_there_is_a_word_and_a_bound():
    work = weave(*("ABCDEFGH"[n:] + "ABCDEFGH"[:n] for n in range(8)), "HGFEDCBA", "ACEGBDFH")
    answer = fewest_blocks(work, Budget(states=3))
    assert completes(work, answer.word)
    assert 8 < answer.bound < len(answer.word)


def test_with_more_budget_word_and_bound_do_not_get_worse():
    work = weave("ABCDEF", "FEDCBA", "BDFACE", "CAFEBD", "EBFADC")
    answers = [fewest_blocks(work, Budget(states=states)) for states in (3, 100, 1000, 100_000)]
    lengths = [len(answer.word) for answer in answers]
    bounds = [answer.bound for answer in answers]
    assert lengths == sorted(lengths, reverse=True)
    assert bounds == sorted(bounds)
    assert lengths[-1] == bounds[-1]


def test_no_work_needs_no_word():
    assert fewest_blocks(build_work([], []), Budget(states=1)).word == ()


def test_a_budget_is_shared_fairly():
    budget = Budget(states=100)
    assert [budget.share(4 - n).states for n in range(4)] == [25, 25, 25, 25]
    assert budget.states == 0


@pytest.mark.parametrize("seed", range(500))
def test_tangled_chains_are_as_short_from_either_end(seed):
    """Long enough that a state is often reached by a longer way first, and by a shorter one later."""
    case = cases.random_chains(seed, count=4, length=5, tools=4)
    (work,) = read_job(case.tool_of, case.needs).works
    *_, (_, word) = best_first(read_work(work), 20)
    *_, (_, turned) = best_first(read_work(backwards(work)), 20)
    assert len(word) == len(turned)
