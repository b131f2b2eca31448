"""Travel: shortest in small blocks, never longer, never one change more."""

import random
from itertools import groupby, permutations

import pytest

from signplan.operations.order import count_changes
from signplan.operations.order_travel import EXACT, link_length, shorten_travel


def random_job(seed, size, *, tools=2, density=0.1):
    """Operations in an order that their needs allow, with places on a board."""
    chance = random.Random(seed)
    names = [f"op{n}" for n in range(size)]
    tool_of = {name: "AB"[chance.randrange(tools)] for name in names}
    needs = {
        name: [n for n in names[:place] if chance.random() < density] for place, name in enumerate(names)
    }
    entries = {name: (chance.uniform(0, 900), chance.uniform(0, 600)) for name in names}
    exits = {name: (x + chance.uniform(-50, 50), y) for name, (x, y) in entries.items()}
    return names, tool_of, needs, {"entries": entries, "exits": exits}


def can_be_worked(sequence, needs):
    place = {name: index for index, name in enumerate(sequence)}
    return all(place[need] < place[name] for name in needs for need in needs[name])


@pytest.mark.parametrize("seed", range(40))
def test_a_small_block_is_put_into_its_best_order(seed):
    names, tool_of, needs, places = random_job(seed, 6, tools=1, density=0.2)
    found = shorten_travel(names, tool_of, needs, **places)
    every = [order for order in permutations(names) if can_be_worked(order, needs)]
    assert link_length(found, **places) == pytest.approx(min(link_length(order, **places) for order in every))


@pytest.mark.parametrize("seed", range(40))
def test_never_longer_never_a_change_more_and_every_need_kept(seed):
    names, tool_of, needs, places = random_job(seed, 40, density=0.02)
    setup_of = {name: f"setup {index // 20}" for index, name in enumerate(names)}
    found = shorten_travel(names, tool_of, needs, setup_of=setup_of, **places)
    assert sorted(found) == sorted(names)
    assert can_be_worked(found, needs)
    assert [len(list(g)) for _, g in groupby(found, setup_of.get)] == [20, 20]
    assert count_changes(found, tool_of) == count_changes(names, tool_of)
    assert link_length(found, setup_of=setup_of, **places) <= link_length(names, setup_of=setup_of, **places)
    assert shorten_travel(names, tool_of, needs, setup_of=setup_of, **places) == found


def test_a_long_row_of_holes_in_disorder_comes_out_as_a_row():
    names = [f"hole {n}" for n in range(3 * EXACT)]
    places = {name: (float(n * 25), 0.0) for n, name in enumerate(names)}
    shuffled = list(names)
    random.Random(3).shuffle(shuffled)
    found = shorten_travel(shuffled, dict.fromkeys(names, "drill"), {}, entries=places, exits=places)
    assert link_length(found, entries=places, exits=places) == 25 * (3 * EXACT - 1)


def test_an_operation_moves_to_another_block_of_its_tool_where_it_lies_on_the_way():
    places = {"a1": (0.0, 0.0), "a2": (900.0, 0.0), "b": (450.0, 0.0), "a3": (890.0, 0.0)}
    tool_of = {"a1": "A", "a2": "A", "b": "B", "a3": "A"}
    needs = {"b": ["a1"], "a3": ["b"]}
    found = shorten_travel(["a1", "a2", "b", "a3"], tool_of, needs, entries=places, exits=places)
    assert found == ("a1", "b", "a3", "a2")


def test_a_block_is_never_emptied():
    places = {"a1": (0.0, 0.0), "b": (0.0, 0.0), "a2": (0.0, 0.0)}
    tool_of = {"a1": "A", "b": "B", "a2": "A"}
    assert shorten_travel(["a1", "b", "a2"], tool_of, {}, entries=places, exits=places) == ("a1", "b", "a2")


def test_there_is_no_link_from_one_setup_to_the_next():
    places = {"a": (0.0, 0.0), "b": (100.0, 0.0)}
    assert link_length("ab", entries=places, exits=places) == 100
    assert link_length("ab", setup_of={"a": "one", "b": "two"}, entries=places, exits=places) == 0
