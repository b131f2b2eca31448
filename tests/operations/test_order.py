"""The fewest changes over whole jobs: against brute force, and what bad input is told."""

from itertools import groupby
from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.errors import SignplanError
from signplan.operations.order import count_changes, order_operations
from signplan.operations.order_habits import as_listed, down_the_tool_list, panel_by_panel

by_force = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "order_by_force.py")))


@pytest.mark.parametrize("first", range(0, 1500, 100))
def test_as_few_changes_as_brute_force(first):
    for seed in range(first, first + 100):
        tool_of, needs, setup_of, spindle = by_force.random_job(seed)
        order = order_operations(tool_of, needs, setup_of=setup_of, spindle=spindle)
        assert order.changes == by_force.changes_by_force(tool_of, needs, setup_of, spindle), seed
        assert order.proven
        assert order.lower_bound == order.changes


@pytest.mark.parametrize("first", range(0, 400, 100))
def test_the_sequence_is_one_that_can_be_worked(first):
    for seed in range(first, first + 100):
        tool_of, needs, setup_of, spindle = by_force.random_job(seed)
        order = order_operations(tool_of, needs, setup_of=setup_of, spindle=spindle)
        assert sorted(order.sequence) == sorted(tool_of)
        place = {name: index for index, name in enumerate(order.sequence)}
        assert all(place[need] < place[name] for name in needs for need in needs[name])
        assert len(list(groupby(map(setup_of.get, order.sequence)))) == len(set(setup_of.values()))
        assert order.changes == count_changes(order.sequence, tool_of, spindle=spindle)


def test_nothing_to_do_needs_no_change():
    order = order_operations({}, {})
    assert (order.sequence, order.changes, order.lower_bound, order.proven) == ((), 0, 0, True)


def test_the_tool_in_the_spindle_saves_the_first_change():
    tool_of = {"rough": "em-1/2", "drill": "drill-3/8"}
    assert order_operations(tool_of, {}).changes == 2
    order = order_operations(tool_of, {}, spindle="drill-3/8")
    assert (order.sequence, order.changes) == (("drill", "rough"), 1)


def test_a_setup_ends_with_the_tool_that_the_next_begins_with():
    tool_of = {"a": "drill", "b": "mill", "c": "mill", "d": "drill"}
    setup_of = {"a": "one", "b": "one", "c": "two", "d": "two"}
    order = order_operations(tool_of, {"b": ["a"], "c": ["a"]}, setup_of=setup_of)
    assert (order.sequence, order.changes) == (("a", "b", "c", "d"), 3)


def test_setups_are_swapped_where_their_needs_allow_it():
    tool_of = {"a": "mill", "b": "drill", "c": "mill"}
    setup_of = {"a": "one", "b": "two", "c": "three"}
    free = order_operations(tool_of, {}, setup_of=setup_of)
    bound = order_operations(tool_of, {"c": ["b"], "b": ["a"]}, setup_of=setup_of)
    assert (free.changes, bound.changes) == (2, 3)


@pytest.mark.parametrize(
    ("job", "message"),
    [
        (
            {"tool_of": {"a": "A", "b": "B", "c": "C"}, "needs": {"a": ["b"], "b": ["c"], "c": ["b"]}},
            "operations that wait for each other: b needs c needs b",
        ),
        ({"tool_of": {"a": "A"}, "needs": {"a": ["a"]}}, "operations that wait for each other: a needs a"),
        ({"tool_of": {"a": "A"}, "needs": {"a": ["z"]}}, "operation a needs z, which does not exist"),
        ({"tool_of": {"a": ""}, "needs": {}}, "operation a has no tool"),
        (
            {"tool_of": {"a": "A"}, "needs": {"z": ["a"]}},
            "operation z has no tool: it has needs but is not among the operations",
        ),
        (
            {"tool_of": {"a": "A", "ab": "A"}, "needs": {"a": "ab"}},
            'operation a: its needs must be a list of operations, not "ab"',
        ),
        ({"tool_of": {"a": "A"}, "needs": {}, "setup_of": {}}, "operation a has no setup"),
        (
            {"tool_of": {"a": "A"}, "needs": {}, "slots": 0},
            "the magazine has 0 places for tools; it needs at least one",
        ),
        (
            {
                "tool_of": {"a": "A", "b": "A", "c": "A"},
                "needs": {"b": ["a"], "c": ["b"]},
                "setup_of": {"a": "inner", "b": "outer", "c": "inner"},
            },
            "setups that wait for each other: inner needs outer needs inner "
            "(c in inner needs b in outer; b in outer needs a in inner)",
        ),
    ],
)
def test_bad_input_is_named(job, message):
    with pytest.raises(SignplanError) as error:
        order_operations(**job)
    assert str(error.value) == message


def random_small_magazine(seed):
    tool_of, needs, setup_of, spindle = by_force.random_job(seed)
    return tool_of, needs, setup_of, spindle, 1 + seed % 3


@pytest.mark.parametrize("first", range(0, 600, 100))
def test_stops_then_reloads_then_changes_as_few_as_brute_force(first):
    for seed in range(first, first + 100):
        tool_of, needs, setup_of, spindle, slots = random_small_magazine(seed)
        least = by_force.reloads_by_force(tool_of, needs, setup_of, slots, spindle)
        order = order_operations(tool_of, needs, setup_of=setup_of, spindle=spindle, slots=slots)
        found = order.stops, len(order.reloads), order.changes
        assert found[:2] == least[:2] == (order.least_stops, order.least_reloads), seed
        assert order.lower_bound <= least[2] <= order.changes, seed
        assert not order.proven or found == least, seed


@pytest.mark.parametrize("seed", range(100))
def test_every_tool_is_in_the_magazine_when_it_is_used(seed):
    tool_of, needs, setup_of, spindle, slots = random_small_magazine(seed)
    order = order_operations(tool_of, needs, setup_of=setup_of, spindle=spindle, slots=slots)
    assert all(1 <= reload.slot <= slots for reload in order.reloads)
    loaded = set(tool_of.values())  # read from the end, what is left is what was there before the job
    for reload in order.reloads[::-1]:
        loaded = loaded - {reload.tool_in} | {reload.tool_out}
    assert len(loaded) <= slots
    for name in order.sequence:
        for reload in order.reloads:
            if reload.before == name:
                assert reload.tool_out in loaded
                loaded = loaded - {reload.tool_out} | {reload.tool_in}
        assert tool_of[name] in loaded


def test_no_reloads_where_every_tool_has_a_place():
    order = order_operations({"a": "A", "b": "B", "c": "A"}, {"b": ["a"], "c": ["b"]}, slots=2)
    assert (order.reloads, order.stops, order.proven) == ((), 0, True)


def test_an_unproven_order_comes_back_with_its_bound():
    """Long chains that cross each other, and no time: the best found and a bound, no exception."""
    words = ["ABCDEFGH"[n:] + "ABCDEFGH"[:n] for n in range(8)] + ["HGFEDCBA", "ACEGBDFH", "BDFHACEG"]
    tool_of = {f"{row}.{column}": tool for row, word in enumerate(words) for column, tool in enumerate(word)}
    needs = {
        f"{row}.{column}": [f"{row}.{column - 1}"] for row in range(len(words)) for column in range(1, 8)
    }
    order = order_operations(tool_of, needs, seconds=0)
    assert sorted(order.sequence) == sorted(tool_of)
    assert not order.proven
    assert 8 < order.lower_bound < order.changes


@pytest.mark.parametrize("seconds", [0, 0.001])
def test_without_time_every_job_still_has_an_order(seconds):
    for seed in range(100):
        tool_of, needs, setup_of, spindle = by_force.random_job(seed)
        order = order_operations(tool_of, needs, setup_of=setup_of, spindle=spindle, slots=2, seconds=seconds)
        assert sorted(order.sequence) == sorted(tool_of)
        assert order.lower_bound <= by_force.changes_by_force(tool_of, needs, setup_of, spindle)
        assert order.lower_bound <= order.changes
        least = by_force.reloads_by_force(tool_of, needs, setup_of, 2, spindle)
        assert (order.least_stops, 0) <= least[:2] <= (order.stops, len(order.reloads))


def test_the_same_input_gives_the_same_order():
    tool_of, needs, setup_of, _ = by_force.random_job(7)
    orders = [
        order_operations(tool_of, {name: kind(direct) for name, direct in needs.items()}, setup_of=setup_of)
        for kind in (list, tuple, set, frozenset)
    ]
    assert orders == orders[:1] * 4


def test_the_example_of_the_documentation():
    tool_of = {
        "A ground": "flat",
        "A letters": "vee",
        "A cut-out": "flat",
        "B lines": "vee",
        "B ground": "flat",
        "B letters": "vee",
        "B cut-out": "flat",
    }
    needs = {
        "A letters": ["A ground"],
        "A cut-out": ["A letters"],
        "B ground": ["B lines"],
        "B letters": ["B ground"],
        "B cut-out": ["B letters"],
    }
    order = order_operations(tool_of, needs)
    assert order.sequence == (
        *("B lines", "A ground", "B ground", "A letters"),
        *("B letters", "A cut-out", "B cut-out"),
    )
    assert (order.changes, order.lower_bound) == (4, 4)
    assert as_listed(tool_of, needs).changes == 7
    assert panel_by_panel(tool_of, needs, {name: name[0] for name in tool_of}).changes == 7
    assert down_the_tool_list(tool_of, needs).changes == 5
