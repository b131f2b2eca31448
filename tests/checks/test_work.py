"""Checks of the work: each rule fails on one thing too much, and is silent on the neighbour that is right."""

from dataclasses import replace
from pathlib import Path

import pytest

from signplan.checks.work import CHECKS, Day, check_work
from signplan.plan import make_plan
from signplan.schedule.model import Schedule
from signplan.timing.estimate import band

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def day() -> Day:
    """The hanging sign on its shop's machine: nothing stands against it."""
    plan = make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")
    schedule = Schedule(
        layout=plan.layout,
        setups=plan.setups,
        order=plan.order,
        comparisons=(),
        findings=(),
        seconds=sum((each.seconds for each in plan.setups[1:]), plan.setups[0].seconds),
        refused="",
    )
    return Day(schedule=schedule, job=plan.job, shop=plan.shop)


def codes(day: Day) -> list[str]:
    return [finding.code for finding in check_work(day)]


def with_machine(day: Day, **changes) -> Day:
    machine = day.shop.machine.model_copy(update=changes)
    return replace(day, shop=day.shop.model_copy(update={"machine": machine}))


def with_setups(day: Day, setups) -> Day:
    return replace(day, schedule=replace(day.schedule, setups=tuple(setups)))


def with_cutting(day: Day, **changes) -> Day:
    """The first operation of the first setup that is not drilled, cut otherwise."""
    setup, *others = day.schedule.setups
    drilled, first, *rest = setup.operations
    assert drilled.tool.shape == "drill"
    changed = replace(first, cutting=replace(first.cutting, **changes))
    return with_setups(day, (replace(setup, operations=(drilled, changed, *rest)), *others))


def test_a_right_job_passes_every_check(day):
    assert [code for code in codes(day) if code != "chip-load"] == []


def test_a_blank_must_lie_on_the_bed(day):
    wide, deep, _ = day.schedule.setups[0].setup.blank
    assert "bed-size" not in codes(with_machine(day, bed=(wide, deep)))
    found = [f for f in check_work(with_machine(day, bed=(wide - 1, deep))) if f.code == "bed-size"]
    assert [f.message for f in found] == ['Blank AB is 76-1/2" along X; the bed of router 1 has 76-15/32".']


def test_the_spindle_comes_down_to_the_deepest_cut(day):
    deepest = min(each.path.bounds[2] for each in day.operations)
    need = day.shop.machine.clearance_z - deepest
    assert "cutter-travel" not in codes(with_machine(day, travel_z=need))
    (found,) = [f for f in check_work(with_machine(day, travel_z=need - 1)) if f.code == "cutter-travel"]
    assert found.measured == pytest.approx(need / 25.4)
    assert found.severity == "error"


def test_a_blank_comes_out_of_a_sheet_either_way_round(day):
    wide, deep, _ = day.schedule.setups[0].setup.blank

    def with_sheet(sheet: tuple[float, float]) -> Day:
        boards = tuple(board.model_copy(update={"sheet": sheet}) for board in day.shop.boards)
        return replace(day, shop=day.shop.model_copy(update={"boards": boards}))

    assert "sheet-size" not in codes(with_sheet((wide, deep)))
    assert "sheet-size" not in codes(with_sheet((deep, wide)))
    assert codes(with_sheet((wide, deep - 1))).count("sheet-size") == 1


def test_more_tools_than_places_is_said(day):
    tools = len({each.operation.tool for each in day.operations})

    def with_slots(slots: int) -> Day:
        change = day.shop.tool_change.model_copy(update={"slots": slots})
        return replace(day, shop=day.shop.model_copy(update={"tool_change": change}))

    assert "magazine-full" not in codes(with_slots(tools))
    assert "magazine-full" in codes(with_slots(tools - 1))


def test_a_tooth_that_takes_too_little_rubs(day):
    least = day.schedule.setups[0].operations[1].cutting.chip_range[0]
    assert "chip-load" not in codes(with_cutting(day, chip_load=least))
    assert "chip-load" in codes(with_cutting(day, chip_load=least * 0.99))


def test_a_spindle_that_cannot_turn_so_slowly_is_named(day):
    assert "spindle-range" not in codes(with_cutting(day, limited_by="machine feed"))
    assert "spindle-range" in codes(with_cutting(day, limited_by="lowest rpm", rpm_wanted=5000.0))


def test_a_hold_must_end_before_the_shop_closes(day):
    def held(seconds: float) -> Day:
        first, *others = day.schedule.setups
        return with_setups(day, (replace(first, hold=replace(band(0), high=seconds)), *others))

    open_s = 8.5 * 3600
    assert "hold-too-long" not in codes(held(open_s))
    assert "hold-too-long" in codes(held(open_s + 1))


def test_a_job_without_closing_time_has_no_hold_too_long(day):
    work = day.job.work.model_copy(update={"until": None})
    first, *others = day.schedule.setups
    day = with_setups(day, (replace(first, hold=replace(band(0), high=1e6)), *others))
    assert "hold-too-long" not in codes(replace(day, job=day.job.model_copy(update={"work": work})))


def test_each_rule_is_listed_once():
    assert len(CHECKS) == len(set(CHECKS)) == 7
