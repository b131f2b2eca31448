"""The day over several jobs: order, tools carried, what is left, what is refused."""

import math
from dataclasses import replace
from itertools import pairwise, permutations
from pathlib import Path

import pytest

from signplan.day.earliest import earliest
from signplan.day.fit import fit
from signplan.day.hours import Hours, Stretch, read_hours
from signplan.day.plan import plan_day
from signplan.day.run import Run
from signplan.errors import SignplanError
from signplan.findings import Finding, Severity
from signplan.plan import Plan, make_plan

ROOT = Path(__file__).parents[2]
LONG = read_hours("0:00", "23:59")
DAY = read_hours("8:00", "16:30", breaks=["12:00-12:30"])


@pytest.fixture(scope="module")
def hanging() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")


@pytest.fixture(scope="module")
def gate() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "tansyrigg-orchard")


def as_job(plan: Plan, number: str) -> Plan:
    head = plan.job.job.model_copy(update={"number": number})
    return replace(plan, job=plan.job.model_copy(update={"job": head}))


def tools_of(day) -> list[str]:
    return [each.operation.tool for placed in day.placed for each in placed.hold.planned.operations]


def test_one_job_is_planned_as_its_traveller_says(hanging):
    day = plan_day([hanging], DAY)
    assert [each.hold.planned.setup.id for each in day.placed] == [each.setup.id for each in hanging.setups]
    assert day.changes == hanging.order.changes == day.changes_apart
    for placed, planned in zip(day.placed, hanging.setups, strict=True):
        assert placed.length.seconds == pytest.approx(planned.hold.seconds)
        assert (placed.off - placed.on) * 60 == pytest.approx(planned.hold.seconds)


def test_four_jobs_in_a_day(hanging):
    jobs = [as_job(hanging, f"J-{k}") for k in range(1, 5)]
    day = plan_day(jobs, DAY)
    assert not day.left
    assert len(day.placed) == 8
    tools = dict(enumerate(tools_of(day)))
    assert day.changes == 1 + sum(tools[k] != tools[k - 1] for k in range(1, len(tools)))
    assert day.changes == sum(each.changes for each in day.placed)
    assert day.changes < day.changes_apart < day.changes_listed
    assert day.lower_bound == day.changes


def test_a_blank_is_turned_only_after_its_first_face(gate):
    day = plan_day([gate, gate, gate], LONG)
    for job in {each.hold.job.name for each in day.placed}:
        mine = [each.hold.planned.setup for each in day.placed if each.hold.job.name == job]
        assert [bool(setup.turn) for setup in mine] == [False, True]


def test_a_job_that_comes_twice_has_two_names(gate):
    assert [job.name for job in plan_day([gate, gate], LONG).jobs] == ["TO-007", "TO-007 #2"]


def test_the_tool_in_the_spindle_is_carried_on(gate):
    day = plan_day([gate, gate], LONG)
    for before, after in pairwise(day.placed):
        left = before.hold.planned.operations[-1].operation.tool
        assert after.carried is (after.first_tool == left)
    carried = [each for each in day.placed if each.carried]
    assert carried
    for each in carried:
        apart = each.hold.planned.changes - each.hold.planned.starts_with_change
        assert each.changes == apart


def test_holds_do_not_overlap_nor_run_into_the_break(gate):
    day = plan_day([gate] * 3, DAY)
    for before, after in pairwise(day.placed):
        assert after.load >= before.off
    for each in day.placed:
        assert each.over_break or each.off_late <= 720 or each.load >= 750
        assert each.on <= each.start_by + 1e-9


def test_a_short_day_leaves_the_last_jobs(gate):
    jobs = [as_job(gate, "FIRST"), as_job(gate, "LAST")]
    day = plan_day(jobs, read_hours("8:00", "10:30"))
    assert {each.hold.job.name for each in day.placed} >= {"FIRST"}
    assert day.left
    assert {hold.job.name for hold in day.left} == {"LAST"}
    first = [each for each in day.placed if each.hold.job.name == "FIRST"]
    assert len(first) == len(gate.setups)


def test_where_a_break_stands_in_the_way_another_order_is_taken(hanging):
    """Three short holds and then three long ones leave no room before the break; two and two do."""
    jobs = [as_job(hanging, f"J-{k}") for k in range(3)]
    holding, (inner, outer) = hanging.shop.holding, hanging.setups
    short = holding.locate_minutes + inner.hold.seconds / 60 + holding.clean_minutes
    before = holding.locate_minutes + holding.turn_minutes
    long, longest = before + outer.hold.seconds / 60 + holding.clean_minutes, before + outer.hold.high / 60
    rest = Stretch(480 + 2.5 * short + long + longest, 495 + 2.5 * short + long + longest)
    hours = Hours(open=Stretch(480, rest.end + short + longest + 1), breaks=(rest,))
    day = plan_day(jobs, hours)
    assert not day.left
    turned = [bool(each.hold.planned.setup.turn) for each in day.placed]
    assert turned != sorted(turned)
    assert day.changes > day.lower_bound


def test_the_earliest_end_is_that_of_all_orders(hanging):
    """Against every order of three jobs' holds, tried one by one."""
    day = plan_day([as_job(hanging, f"J-{k}") for k in range(3)], LONG)
    holds = [each.hold for each in sorted(day.placed, key=lambda e: e.hold.name)]
    shop, hours = hanging.shop, read_hours("8:00", "16:30", breaks=["9:30-9:45", "10:30-10:40"])

    def end(order) -> float:
        run = Run(shop, order, as_given=True)
        slots = fit([run.span(k) for k in range(len(order))], hours)
        return math.inf if slots is None else slots[-1].off

    def keeps_blanks(order) -> bool:
        return all(
            [hold.planned.setup.turn for hold in order if hold.blank == blank] == ["", "side"]
            for blank in {hold.blank for hold in order}
        )

    best = min(end(order) for order in permutations(holds) if keeps_blanks(order))
    found = earliest(holds, shop, hours)
    assert found is not None
    assert keeps_blanks(found)
    assert end(found) == pytest.approx(best)


def test_a_hold_that_no_day_has_room_for_takes_its_blank_with_it(gate):
    outer = max(gate.setups, key=lambda each: each.hold.high)
    day = plan_day([gate], read_hours("8:00", "9:00"))
    assert [hold.planned.setup.id for hold in day.left] == [outer.setup.id]
    assert [each.hold.planned.setup.id for each in day.placed] == [gate.setups[0].setup.id]


def test_no_time_at_all_leaves_everything(gate):
    day = plan_day([gate], read_hours("8:00", "8:05"))
    assert day.placed == ()
    assert len(day.left) == len(gate.setups)
    assert day.loads == ()


def test_a_job_with_errors_is_not_planned(hanging):
    wrong = replace(hanging, findings=(Finding(code="web-thin", severity=Severity.ERROR, message="thin"),))
    day = plan_day([as_job(wrong, "WRONG"), hanging], DAY)
    assert [job.name for job in day.not_ready] == ["WRONG"]
    assert {each.hold.job.name for each in day.placed} == {"GT-041"}


def test_jobs_of_two_machines_are_refused(hanging, gate):
    with pytest.raises(SignplanError, match=r"GT-041 is planned for 'router 1' and TO-007 for 'router'"):
        plan_day([hanging, gate], DAY)


def test_one_name_for_two_cutters_is_refused(hanging):
    first, *rest = hanging.shop.tools
    other = first.model_copy(update={"diameter": first.diameter + 1})
    shop = hanging.shop.model_copy(update={"tools": (other, *rest)})
    with pytest.raises(SignplanError, match="means another cutter by 'em-1/2'"):
        plan_day([hanging, replace(hanging, shop=shop)], DAY)


def test_no_job_is_refused():
    with pytest.raises(SignplanError, match="one job or more"):
        plan_day([], DAY)


class TestMagazine:
    def test_every_tool_has_its_own_place(self, hanging):
        day = plan_day([hanging, hanging], DAY)
        assert {each.tool.id for each in day.loads} == set(tools_of(day))
        assert all(each.place == each.tool.number for each in day.loads)

    def test_by_hand_tools_come_in_the_order_of_their_first_use(self, gate):
        day = plan_day([gate], DAY)
        assert [each.tool.id for each in day.loads] == list(dict.fromkeys(tools_of(day)))
        assert {each.place for each in day.loads} == {0}

    def test_a_small_magazine_is_reloaded_and_its_stops_take_their_time(self, hanging):
        change = hanging.shop.tool_change.model_copy(update={"slots": 5})
        small = replace(hanging, shop=hanging.shop.model_copy(update={"tool_change": change}))
        day = plan_day([small], DAY)
        places = {each.place: each.tool.id for each in day.loads if each.place}
        assert len(places) == 5
        for placed in day.placed:
            for reload in placed.reloads:
                assert places[reload.slot] == reload.tool_out
                places[reload.slot] = reload.tool_in
        stops = {r.before for placed in day.placed for r in placed.reloads if r.in_hold}
        plain = plan_day([hanging], DAY)
        longer = sum(each.length.seconds for each in day.placed) - sum(e.length.seconds for e in plain.placed)
        assert longer == pytest.approx(len(stops) * change.reload_minutes * 60)
