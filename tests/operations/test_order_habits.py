"""The orders people take: each respects every need, and does what it says."""

from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.operations.order import count_changes, order_operations
from signplan.operations.order_habits import as_listed, down_the_tool_list, panel_by_panel

cases = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "order_cases.py")))


def panels_of(case):
    return {name: name.split()[0] for name in case.tool_of if name.startswith("p")}


@pytest.mark.parametrize("seed", range(12))
def test_every_habit_is_an_order_that_can_be_worked_and_none_beats_the_optimum(seed):
    case = cases.sign_job(seed)
    fewest = order_operations(case.tool_of, case.needs, setup_of=case.setup_of)
    habits = [
        as_listed(case.tool_of, case.needs, setup_of=case.setup_of),
        panel_by_panel(case.tool_of, case.needs, panels_of(case), setup_of=case.setup_of),
        down_the_tool_list(case.tool_of, case.needs, setup_of=case.setup_of),
    ]
    for habit in habits:
        place = {name: index for index, name in enumerate(habit.sequence)}
        assert sorted(place) == sorted(case.tool_of)
        assert all(place[need] < place[name] for name in case.needs for need in case.needs[name])
        assert habit.changes == count_changes(habit.sequence, case.tool_of)
        assert habit.changes >= fewest.changes


JOB = {"a1": "rough", "a2": "fine", "a3": "rough", "b1": "rough", "b2": "fine", "b3": "rough"}
NEEDS = {"a2": ["a1"], "a3": ["a2"], "b2": ["b1"], "b3": ["b2"]}


def test_as_listed():
    assert as_listed(JOB, NEEDS).sequence == ("a1", "a2", "a3", "b1", "b2", "b3")
    assert as_listed(JOB, NEEDS).changes == 5
    assert as_listed(JOB, NEEDS, spindle="rough").changes == 4


def test_panel_by_panel_finishes_one_panel_first_and_each_as_well_as_can_be():
    job = {"a1": "rough", "a2": "fine", "a3": "rough", "a4": "fine", "b1": "fine"}
    habit = panel_by_panel(job, {"a4": ["a1"]}, {name: name[0] for name in job})
    assert habit.sequence == ("a1", "a3", "a2", "a4", "b1")
    assert habit.changes == 2


def test_a_panel_that_has_to_wait_for_another_has_a_second_turn():
    job = {"a1": "rough", "a2": "fine", "b1": "drill"}
    habit = panel_by_panel(job, {"a2": ["b1"]}, {name: name[0] for name in job})
    assert habit.sequence == ("a1", "b1", "a2")


def test_down_the_tool_list_starts_again_at_the_top():
    habit = down_the_tool_list(JOB, NEEDS)
    assert habit.sequence == ("a1", "b1", "a2", "b2", "a3", "b3")
    assert habit.changes == 3


def test_the_list_may_be_that_of_the_magazine():
    job = {"a": "T1", "b": "T2"}
    assert down_the_tool_list(job, {}).sequence == ("a", "b")
    assert down_the_tool_list(job, {}, tools=["T9", "T2", "T1"]).sequence == ("b", "a")


def test_setups_stay_in_one_piece():
    setup_of = {name: "inner" if name.endswith("1") else "outer" for name in JOB}
    habit = down_the_tool_list(JOB, NEEDS, setup_of=setup_of)
    assert habit.sequence == ("a1", "b1", "a2", "b2", "a3", "b3")
