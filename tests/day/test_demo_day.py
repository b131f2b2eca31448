"""A day of four jobs, as a shop has them: four folders that share one shop file."""

import shutil
from itertools import pairwise
from pathlib import Path

import pytest

from signplan.day.hours import read_hours
from signplan.day.model import DayPlan
from signplan.day.plan import plan_day
from signplan.plan import Plan, make_plan

DEMO = Path(__file__).parents[2] / "demo_jobs"
HOURS = read_hours("8:00", "16:30", breaks=["12:00-12:30"])
OPEN, NOON, AFTER, CLOSE = 8 * 60, 12 * 60, 12 * 60 + 30, 16 * 60 + 30
"""Minutes after midnight."""


@pytest.fixture(scope="module")
def four(tmp_path_factory) -> tuple[Plan, ...]:
    """The hanging sign four times under other job numbers, beside one shop file."""
    desk = tmp_path_factory.mktemp("four")
    shutil.copy(DEMO / "shop.toml", desk)
    plans = []
    for number in ("GT-101", "GT-102", "GT-103", "GT-104"):
        folder = desk / number
        shutil.copytree(DEMO / "gannet-and-thrum" / "art", folder / "art")
        text = (DEMO / "gannet-and-thrum" / "job.toml").read_text(encoding="utf-8")
        assert text.count('"GT-041"') == 1
        (folder / "job.toml").write_text(text.replace('"GT-041"', f'"{number}"'), encoding="utf-8")
        plans.append(make_plan(folder))
    return tuple(plans)


@pytest.fixture(scope="module")
def day(four) -> DayPlan:
    return plan_day(four, HOURS)


def test_every_hold_of_the_four_jobs_has_one_place(four, day):
    wanted = {(plan.job.job.number, each.setup.id) for plan in four for each in plan.setups}
    placed = [(each.hold.job.name, each.hold.planned.setup.id) for each in day.placed]
    assert len(wanted) == len(placed) == 8
    assert set(placed) == wanted
    assert day.left == day.not_ready == ()


def test_no_hold_is_split_by_another_or_by_the_break(four, day):
    """From vacuum on to the latest that it may end nothing else is on the bed, and nobody is at lunch."""
    shop = {plan.job.job.number: plan.setups for plan in four}
    for each in day.placed:
        (own,) = (s for s in shop[each.hold.job.name] if s.setup.id == each.hold.planned.setup.id)
        assert each.hold.planned.operations == own.operations
        assert each.off_late <= NOON or each.on >= AFTER
        assert not each.over_break
        assert each.off - each.on == pytest.approx(each.length.seconds / 60)
    for before, after in pairwise(day.placed):
        assert before.off <= after.load


def test_no_hold_begins_before_opening_or_may_end_past_closing(day):
    assert min(each.load for each in day.placed) >= OPEN
    assert max(each.off_late for each in day.placed) <= CLOSE


def test_tools_are_kept_from_job_to_job(four, day):
    tools = [op.operation.tool for each in day.placed for op in each.hold.planned.operations]
    changes = 1 + sum(before != after for before, after in pairwise(tools))
    apart = sum(plan.order.changes for plan in four)
    assert day.changes == changes
    assert day.changes_apart == apart
    assert changes < apart
    between = [(a, b) for a, b in pairwise(day.placed) if a.hold.job != b.hold.job]
    assert any(after.carried for _, after in between)
