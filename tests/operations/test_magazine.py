"""Reloads for a fixed order: farthest next use, and phases with as few stops as can be."""

import random
from itertools import combinations

import pytest

from signplan.operations.magazine import Phase, Reload, count_stops, keep_needed_soonest, plan_reloads


def requests(tools, *, in_hold=False):
    """One phase a letter."""
    return [Phase(first=f"op {n}", tools=frozenset(tool), in_hold=in_hold) for n, tool in enumerate(tools)]


def fewest_by_force(phases, slots):
    """The fewest tools put in, over all contents of the magazine at every phase; the first are free."""
    tools = sorted(frozenset[str]().union(*(phase.tools for phase in phases)))
    magazines = [frozenset(chosen) for chosen in combinations(tools, min(slots, len(tools)))]
    costs = dict.fromkeys(magazines, 0)
    for phase in phases:
        costs = {
            now: min(cost + len(now - before) for before, cost in costs.items())
            for now in magazines
            if phase.tools <= now
        }
    return min(costs.values())


@pytest.mark.parametrize("seed", range(200))
def test_as_few_reloads_as_brute_force_for_fixed_phases(seed):
    chance = random.Random(seed)
    slots = chance.randint(1, 4)
    tools = "ABCDEFG"[: chance.randint(2, 7)]
    phases = requests(
        [
            chance.sample(tools, chance.randint(1, min(slots, len(tools))))
            for _ in range(chance.randint(1, 10))
        ]
    )
    assert len(keep_needed_soonest(phases, slots)) == fewest_by_force(phases, slots)


def test_a_reload_says_what_goes_where_and_when():
    assert keep_needed_soonest(requests("ABCA"), 2) == (
        Reload(before="op 2", tool_in="C", tool_out="B", slot=2, in_hold=False),
    )


def test_the_tool_in_the_spindle_has_a_place_from_the_start():
    (reload,) = keep_needed_soonest(requests("AB"), 2, ["Z"])
    assert (reload.before, reload.tool_in, reload.tool_out, reload.slot) == ("op 1", "B", "Z", 1)


TOOL_OF = {"a": "A", "b": "B", "c": "C", "d": "D", "e": "A"}


def test_between_holds_nothing_stops():
    setup_of = {"a": "one", "b": "one", "c": "two", "d": "two", "e": "three"}
    reloads = plan_reloads("abcde", TOOL_OF, setup_of=setup_of, slots=2)
    assert [(reload.before, reload.tool_in) for reload in reloads] == [("c", "C"), ("c", "D"), ("e", "A")]
    assert count_stops(reloads) == 0


def test_in_one_hold_reloads_are_gathered_into_as_few_stops_as_can_be():
    reloads = plan_reloads("abcde", TOOL_OF, slots=2)
    assert count_stops(reloads) == 2
    assert count_stops(plan_reloads("abcde", TOOL_OF, slots=3)) == 1


def test_of_the_ways_to_stop_as_often_the_one_with_fewer_reloads_is_taken():
    """A B C D A B, three places: a stop before D puts in one tool, a stop before A would put in two."""
    tool_of = {"1": "A", "2": "B", "3": "C", "4": "D", "5": "A", "6": "B"}
    reloads = plan_reloads("123456", tool_of, slots=3)
    assert (count_stops(reloads), len(reloads)) == (1, 1)
    assert (reloads[0].before, reloads[0].tool_in, reloads[0].tool_out) == ("4", "D", "C")


def test_no_reload_where_every_tool_has_a_place():
    assert plan_reloads("abcde", TOOL_OF, slots=4) == ()


def test_many_stops_in_many_holds_are_still_planned_at_once():
    """Sixty blocks and two places: far too many divisions to compare them all."""
    chance = random.Random(5)
    tool_of = {f"{n}": "ABCDEF"[chance.randrange(6)] for n in range(60)}
    setup_of = {name: f"hold {int(name) // 20}" for name in tool_of}
    reloads = plan_reloads(list(tool_of), tool_of, setup_of=setup_of, slots=2)
    assert 0 < count_stops(reloads) < len(reloads) <= 60
