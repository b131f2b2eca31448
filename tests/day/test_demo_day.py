"""A day of four jobs: the demo jobs that share one shop file, as docs/day.md shows it."""

import shlex
from itertools import pairwise
from pathlib import Path

import pytest

from signplan.day.hours import read_hours
from signplan.day.model import DayPlan
from signplan.day.plan import plan_day
from signplan.day.text import day_text
from signplan.plan import Plan, make_plan

ROOT = Path(__file__).parents[2]
JOBS = ("gannet-and-thrum", "skepwell-honey", "ebbshaw-house", "quillbeck-library")
HOURS = read_hours("8:00", "16:30", breaks=["9:30-10:00"])
OPEN, BREAK, AFTER, CLOSE = 8 * 60, 9 * 60 + 30, 10 * 60, 16 * 60 + 30
"""Minutes after midnight."""


@pytest.fixture(scope="module")
def four() -> tuple[Plan, ...]:
    return tuple(make_plan(ROOT / "demo_jobs" / name) for name in JOBS)


def test_the_day_is_as_the_page_shows_it(four, regenerate):
    """`--regenerate` writes the page anew: what stands between its last fences."""
    page = ROOT / "docs" / "day.md"
    head, command, between, *_ = page.read_text(encoding="utf-8").rsplit("```\n", 4)
    words = shlex.split(command)
    said = dict(zip(words[-6::2], words[-5::2], strict=True))
    assert words[:-6] == ["signplan", "day", *(f"demo_jobs/{name}" for name in JOBS)]
    hours = read_hours(said["--start"], said["--until"], on=said["--date"])
    shown = "```\n".join((head, command, between, day_text(plan_day(four, hours)) + "\n", ""))
    if regenerate:
        page.write_text(shown, encoding="utf-8")
    assert page.read_text(encoding="utf-8") == shown


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
    """From vacuum on to the latest that it may end nothing else is on the bed, and nobody has a break."""
    shop = {plan.job.job.number: plan.setups for plan in four}
    for each in day.placed:
        (own,) = (s for s in shop[each.hold.job.name] if s.setup.id == each.hold.planned.setup.id)
        assert each.hold.planned.operations == own.operations
        assert each.off_late <= BREAK or each.on >= AFTER
        assert not each.over_break
        assert each.off - each.on == pytest.approx(each.length.seconds / 60)
    for before, after in pairwise(day.placed):
        assert before.off <= after.load
    assert day.placed[0].off < BREAK < day.placed[-1].off, "the break lies within the day"


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
