"""What is done so far: closing a block, reading work from its end, cutting it down."""

from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

from signplan.operations.order_state import (
    backwards,
    blocks_of,
    build_work,
    completes,
    finish,
    finish_backwards,
    keep,
    members,
    next_blocks,
)

by_force = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "order_by_force.py")))

A, B = 0, 1


def test_a_block_does_all_that_its_tool_can_even_what_only_it_makes_possible():
    work = build_work([A, A, B, A], [0, 0b1, 0b10, 0b100])
    assert finish(work, 0, A) == 0b11
    assert finish(work, 0b11, A) == 0b11
    assert finish(work, 0, B) == 0
    assert finish(work, 0b111, A) == 0b1111


def test_before_and_after_reach_all_the_way():
    work = build_work([A, B, A, B], [0, 0b1, 0b10, 0])
    assert work.before == (0, 0b1, 0b11, 0)
    assert work.after == (0b110, 0b100, 0, 0)


def test_all_blocks_at_once_are_the_blocks_one_by_one():
    for seed in range(300):
        work = by_force.random_work(seed)
        for done in by_force.down_sets(work):
            one_by_one = [(tool, finish(work, done, tool)) for tool in work.of_tool]
            assert next_blocks(work, done) == [(tool, now) for tool, now in one_by_one if now != done]


def test_the_last_block_is_the_first_of_the_work_read_from_its_end():
    for seed in range(300):
        work = by_force.random_work(seed)
        last = len(work.tool) - 1
        for tool in work.of_tool:
            turned = members(finish(backwards(work), 0, tool))
            assert finish_backwards(work, 0, tool) == sum(1 << (last - operation) for operation in turned)


def test_read_from_its_end_twice_the_work_is_itself():
    for seed in range(100):
        work = by_force.random_work(seed)
        assert backwards(backwards(work)) == work


def test_a_word_completes_the_work_exactly_if_its_blocks_do_everything():
    work = build_work([A, B, A], [0, 0b1, 0b10])
    assert completes(work, [A, B, A])
    assert not completes(work, [A, B])
    assert not completes(work, [B, A, B])
    assert list(blocks_of(work, [A, B, A])) == [[0], [1], [2]]


def test_what_is_kept_keeps_its_needs():
    work = build_work([A, B, A, B], [0, 0b1, 0b11, 0b100])
    assert keep(work, 0b1110) == build_work([B, A, B], [0, 0b1, 0b10])
    assert keep(work, 0b0110) == build_work([B, A], [0, 0b1])
