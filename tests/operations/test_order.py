"""The fewest changes over whole jobs: against brute force, and what bad input is told."""

import random
from functools import cache
from itertools import groupby

import pytest

from signplan.errors import SignplanError
from signplan.operations.order import count_changes, order_operations


def fewest_by_force(tool_of, needs, setup_of, spindle):
    """The fewest changes, by trying every operation that can come next, one operation at a time."""

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


def random_job(seed):
    """Up to 8 operations, 4 tools and 4 setups, with needs that can be met; a tool may be in the spindle."""
    chance = random.Random(seed)
    names = [f"op{n}" for n in range(chance.randint(1, 8))]
    tools, setups, density = chance.randint(1, 4), chance.randint(1, 4), chance.random() * 0.6
    tool_of = {name: "ABCD"[chance.randrange(tools)] for name in names}
    setup_of = {name: f"setup {chance.randrange(setups)}" for name in names}
    needs = {
        name: [
            other
            for other in names[:place]
            if setup_of[other] <= setup_of[name] and chance.random() < density
        ]
        for place, name in enumerate(names)
    }
    listed = list(tool_of.items())
    chance.shuffle(listed)
    return dict(listed), needs, setup_of, chance.choice([None, "A", "B", "a tool not in the job"])


@pytest.mark.parametrize("first", range(0, 1500, 100))
def test_as_few_changes_as_brute_force(first):
    for seed in range(first, first + 100):
        tool_of, needs, setup_of, spindle = random_job(seed)
        order = order_operations(tool_of, needs, setup_of=setup_of, spindle=spindle)
        assert order.changes == fewest_by_force(tool_of, needs, setup_of, spindle), seed
        assert order.proven
        assert order.lower_bound == order.changes


@pytest.mark.parametrize("first", range(0, 400, 100))
def test_the_sequence_is_one_that_can_be_worked(first):
    for seed in range(first, first + 100):
        tool_of, needs, setup_of, spindle = random_job(seed)
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
    order = order_operations(tool_of, {"c": ["a"], "d": ["a"]}, setup_of=setup_of)
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
