"""What must hold for the fewest changes whatever the job: laws that need no reference value."""

import random
from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.operations.order import order_operations

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"
cases = SimpleNamespace(**run_path(str(BENCHMARKS / "order_cases.py")))
SEEDS = range(100)


def fewest(tool_of, needs, setup_of=None):
    order = order_operations(tool_of, needs, setup_of=setup_of)
    assert order.proven
    return order.changes


def names_before(needs, name):
    """Everything that must come before, however far back."""
    found = set()
    waiting = [name]
    while waiting:
        for need in needs.get(waiting.pop(), ()):
            if need not in found:
                found.add(need)
                waiting.append(need)
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_other_names_and_another_listing_change_nothing(seed):
    case = cases.random_graph(seed)
    chance = random.Random(seed)
    names, tools = list(case.tool_of), sorted(set(case.tool_of.values()))
    new = dict(zip(names, chance.sample(range(1000), len(names)), strict=True))
    new_tool = dict(zip(tools, chance.sample("abcdefghijklmnopqrstuvwxyz", len(tools)), strict=True))
    chance.shuffle(names)
    tool_of = {f"{new[name]}": new_tool[case.tool_of[name]] for name in names}
    needs = {f"{new[name]}": [f"{new[need]}" for need in case.needs[name]] for name in names}
    setup_of = {f"{new[name]}": case.setup_of[name] for name in names}
    assert fewest(tool_of, needs, setup_of) == fewest(case.tool_of, case.needs, case.setup_of)


@pytest.mark.parametrize("seed", SEEDS)
def test_read_from_its_end_a_job_needs_as_many(seed):
    case = cases.random_graph(seed)
    needs = {name: [] for name in case.tool_of}
    for name, direct in case.needs.items():
        for need in direct:
            needs[need].append(name)
    assert fewest(case.tool_of, needs, case.setup_of) == fewest(case.tool_of, case.needs, case.setup_of)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_need_that_others_imply_changes_nothing(seed):
    case = cases.random_graph(seed)
    needs = {name: sorted(names_before(case.needs, name)) for name in case.tool_of}
    assert fewest(case.tool_of, needs, case.setup_of) == fewest(case.tool_of, case.needs, case.setup_of)


@pytest.mark.parametrize("seed", SEEDS)
def test_one_need_more_never_lowers_the_count(seed):
    case = cases.random_graph(seed)
    chance = random.Random(seed)
    before = fewest(case.tool_of, case.needs)
    order = order_operations(case.tool_of, case.needs).sequence
    needs = {name: list(direct) for name, direct in case.needs.items()}
    for _ in range(5):
        early, late = sorted(chance.sample(range(len(order)), 2))
        needs[order[late]].append(order[early])
        after = fewest(case.tool_of, needs)
        assert after >= before
        before = after


@pytest.mark.parametrize("seed", SEEDS)
def test_a_tool_in_the_spindle_saves_one_change_at_most_and_costs_none(seed):
    case = cases.random_graph(seed)
    without = fewest(case.tool_of, case.needs, case.setup_of)
    for tool in sorted(set(case.tool_of.values())):
        order = order_operations(case.tool_of, case.needs, setup_of=case.setup_of, spindle=tool)
        assert order.proven
        assert without - 1 <= order.changes <= without
