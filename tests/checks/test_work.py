"""Checks of the work: each rule fails on one thing too much, and is silent on the neighbour that is right."""

from dataclasses import replace
from pathlib import Path

import pytest

from signplan.checks.work import CHECKS, Day, check_work
from signplan.findings import Finding
from signplan.plan import make_plan
from signplan.schedule.model import Schedule
from signplan.timing.estimate import band
from signplan.timing.pace import Pace

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
    assert not limited(with_cutting(day, chip_load=least))
    assert limited(with_cutting(day, chip_load=least * 0.99))


def limited(day: Day) -> list[Finding]:
    """The findings of a chip that is too small at the feed itself."""
    return [each for each in check_work(day) if each.code == "chip-load" and "limited by" in each.message]


def with_paces(day: Day, *paces: Pace) -> list[Finding]:
    """What is said of chips if only these operations are cut, one after the other with the same cutter."""
    setup = day.schedule.setups[0]
    cut = next(each for each in setup.operations if each.tool.shape == "flat")
    cutting = replace(cut.cutting, rpm=12_000.0, feed=100.0, chip_load=0.25, chip_range=(0.2, 0.3))
    cuts = tuple(replace(cut, cutting=cutting, pace=pace) for pace in paces)
    found = check_work(with_setups(day, [replace(setup, operations=cuts)]))
    return [finding for finding in found if finding.code == "chip-load"]


def test_a_cutter_that_never_gets_up_to_its_feed_is_said_to_rub(day):
    """12,000 rpm, two flutes: 40 mm/s is 0.1 mm a tooth, half of the least; 6,000 rpm would make it 0.2."""
    (found,) = with_paces(day, Pace(length=2400, seconds=60))
    assert found.severity == "warning"
    assert found.measured == pytest.approx(0.1 / 25.4)
    assert found.wanted == pytest.approx(0.2 / 25.4)
    assert "takes 0.0039 in a tooth where the board asks for 0.0079 in at least" in found.message
    assert "(1 cut, 1 min)" in found.message
    assert found.hint.startswith("At 6000 rpm, fed at 142 in/min at most, it would cut.")
    assert found.where.startswith("operation ")


def test_a_cutter_at_its_least_chip_does_not_rub(day):
    assert with_paces(day, Pace(length=4801, seconds=60)) == []
    assert len(with_paces(day, Pace(length=4799, seconds=60))) == 1


def test_rubbing_is_said_from_a_minute_in_the_job_on_and_once_a_cutter(day):
    short = Pace(length=20 * 40, seconds=20)
    assert with_paces(day, short, short) == []
    (found,) = with_paces(day, short, short, short)
    assert "(3 cuts, 1 min)" in found.message


def test_rubbing_lasts_as_long_as_the_logged_holds_say(day):
    slower = [
        replace(s, seconds=replace(s.seconds, cutting=3 * s.computed.cutting)) for s in day.schedule.setups
    ]
    (found,) = with_paces(with_setups(day, slower), Pace(length=2400, seconds=60))
    assert "(1 cut, 3 min)" in found.message


def test_where_the_spindle_cannot_turn_so_slowly_fewer_flutes_are_named(day):
    """12 mm/s would ask for 1,800 rpm; the spindle's lowest is named, and another cutter."""
    (found,) = with_paces(day, Pace(length=720, seconds=60))
    lowest = day.shop.machine.rpm[0]
    assert found.hint.startswith(f"At {lowest:.0f} rpm, ")
    assert "rub less" in found.hint
    assert "fewer flutes" in found.hint


def test_a_groove_is_judged_at_its_mean_depth(day):
    """A 60 degree vee is 2 d tan 30 wide at depth d, and a narrower one asks for less of a tooth."""
    cut = next(each for each in day.operations if each.operation.kind == "incise")
    least = cut.cutting.chip_range[0] * cut.path.mean_depth / cut.cutting.depth
    wide = cut.cutting.rpm / 60 * cut.tool.flutes * 100
    setup = day.schedule.setups[0]

    def told(chip: float) -> bool:
        slow = replace(cut, pace=Pace(length=chip * wide, seconds=100))
        return "chip-load" in codes(with_setups(day, [replace(setup, operations=(slow,))]))

    assert cut.path.mean_depth < 0.7 * cut.cutting.depth
    assert not told(1.001 * least)
    assert told(0.999 * least)


def test_the_pace_of_a_plan_is_that_of_its_paths(day):
    """Small lettering is cut at a fraction of its feed; a straight pocket nearly at it."""
    share = {each.operation.id: (each.chip_cut or 0) / each.cutting.chip_load for each in day.operations}
    assert share["A/outer/incise-1/incise"] < 0.3
    assert share["A/inner/tie-bar-1/rough"] > 0.8


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


def test_a_hold_too_long_by_the_log_names_the_log(day):
    def hint(reason: str) -> str:
        first, *others = day.schedule.setups
        long = with_setups(day, (replace(first, hold=replace(band(0, reason), high=1e6)), *others))
        return next(each.hint for each in check_work(long) if each.code == "hold-too-long")

    assert hint("from 3 logged holds").startswith("That is from 3 logged holds: look in the shop's log")
    assert hint("computed: 2 logged holds, 3 needed").startswith("Two blanks make shorter holds")


def test_a_job_without_closing_time_has_no_hold_too_long(day):
    work = day.job.work.model_copy(update={"until": None})
    first, *others = day.schedule.setups
    day = with_setups(day, (replace(first, hold=replace(band(0), high=1e6)), *others))
    assert "hold-too-long" not in codes(replace(day, job=day.job.model_copy(update={"work": work})))


def test_each_rule_is_listed_once():
    assert len(CHECKS) == len(set(CHECKS)) == 7
