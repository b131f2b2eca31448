"""Bounds: never too high, each alone against brute force; and as high as they should be."""

import random
from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.operations.order_bounds import count_runs, rings_left, runs_left, runs_more
from signplan.operations.order_state import build_work

by_force = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "order_by_force.py")))

A, B, C = 0, 1, 2


@pytest.mark.parametrize("first", range(0, 600, 100))
def test_never_more_than_brute_force_needs_from_any_moment_on(first):
    for seed in range(first, first + 100):
        work = by_force.random_work(seed)
        runs = count_runs(work)
        for done in by_force.down_sets(work):
            left = work.everything & ~done
            least = runs_left(runs, left)
            fewest = by_force.blocks_by_force(work, done=done)
            assert least <= fewest, seed
            assert least + rings_left(work, runs, left) <= fewest, seed


def test_runs_along_one_path_are_counted_and_runs_side_by_side_are_not():
    alternating = build_work([A, B, A, B], [0, 0b1, 0b10, 0b100])
    side_by_side = build_work([A, B, A, B], [0, 0b1, 0, 0b100])
    assert runs_left(count_runs(alternating), 0b1111) == 4
    assert runs_left(count_runs(side_by_side), 0b1111) == 2


def test_the_same_tool_twice_is_one_run_unless_something_must_come_in_between():
    at_once = build_work([A, A, B], [0, 0b1, 0b1])
    parted = build_work([A, B, A], [0, 0b1, 0b11])
    assert count_runs(at_once).levels[A] == (0b11,)
    assert count_runs(parted).levels[A] == (0b101, 0b001)


def test_two_tools_that_wait_for_each_other_need_a_run_more():
    """A then B, and elsewhere B then A: two runs on paths, but three blocks."""
    work = build_work([A, B, B, A], [0, 0b1, 0, 0b100])
    runs = count_runs(work)
    assert runs_left(runs, work.everything) == 2
    assert rings_left(work, runs, work.everything) == 1


def test_a_ring_of_three_tools_needs_a_run_more():
    work = build_work([A, B, B, C, C, A], [0, 0b1, 0, 0b100, 0, 0b10000])
    runs = count_runs(work)
    assert runs_left(runs, work.everything) == 3
    assert rings_left(work, runs, work.everything) == 1


def fewest_taken_out(waits):
    """The fewest tools without which no ring is left, by trying every set of them."""

    def has_ring(kept):
        while kept:
            free = [tool for tool in kept if not any(waits[tool] >> other & 1 for other in kept)]
            if not free:
                return True
            kept = [tool for tool in kept if tool not in free]
        return False

    sets = sorted(range(1 << len(waits)), key=int.bit_count)
    return next(
        out.bit_count() for out in sets if not has_ring([tool for tool in waits if not out >> tool & 1])
    )


def test_no_more_runs_than_tools_that_have_to_be_taken_out_to_break_every_ring():
    chance = random.Random(1)
    met = 0
    for _ in range(500):
        size, density = chance.randint(1, 7), chance.random()
        waits = {
            tool: sum(1 << other for other in range(size) if other != tool and chance.random() < density)
            for tool in range(size)
        }
        more, fewest = runs_more(waits), fewest_taken_out(waits)
        assert more <= fewest
        met += more == fewest
    assert met > 400


@pytest.mark.parametrize(
    ("waits", "more"),
    [
        ({0: 0b10, 1: 0b100, 2: 0}, 0),
        ({0: 0b10, 1: 0b1, 2: 0b1000, 3: 0b100}, 2),
        ({0: 0b1110, 1: 0b1101, 2: 0b1011, 3: 0b0111}, 3),
        ({0: 0b10, 1: 0b100, 2: 0b1}, 1),
    ],
)
def test_rings_that_are_known(waits, more):
    assert runs_more(waits) == more
