"""The sheet and the JSON of a day, read back."""

import json
from pathlib import Path

import pytest

from signplan.day.hours import read_hours
from signplan.day.plan import plan_day
from signplan.day.text import day_json, day_text
from signplan.plan import Plan, make_plan

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def gate() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "tansyrigg-orchard")


def test_the_sheet_says_when_what_and_with_which_tools(gate):
    text = day_text(plan_day([gate], read_hours("8:00", "16:30", breaks=["12:00-12:30"], on="2026-03-09")))
    head, holds, tools, saved = text.split("\n\n")
    assert head.startswith("DAY ON ROUTER: Monday 2026-03-09, 08:00 to 16:30, break 12:00 to 12:30")
    assert f"TO-007  Tansyrigg Orchard, gate sign, revision A, inputs {gate.hash}" in head
    assert "[ ] 1  08:00  08:03" in holds
    assert "Times computed: no logged holds yet." in holds
    assert all(setup.setup.id in holds for setup in gate.setups)
    used = {each.tool.number for setup in gate.setups for each in setup.operations}
    assert all(f"T{number} " in tools for number in used)
    assert saved.startswith(f"{gate.order.changes} tool changes, the fewest possible")


def test_no_line_is_wider_than_a_sheet(gate):
    text = day_text(plan_day([gate, gate], read_hours("8:00", "11:00")))
    assert "NOT TODAY: the day has no room for" in text
    assert max(map(len, text.splitlines())) <= 120


def test_a_day_without_room_says_so(gate):
    text = day_text(plan_day([gate], read_hours("8:00", "8:05")))
    assert "No hold fits into this day." in text


def test_json_says_the_same(gate):
    day = plan_day([gate, gate], read_hours("8:00", "11:00"))
    told = json.loads(day_json(day))
    assert told["format"] == "signplan-day/1"
    assert (told["start"], told["until"], told["date"]) == ("08:00", "11:00", None)
    assert [each["setup"] for each in told["holds"]] == [p.hold.planned.setup.id for p in day.placed]
    assert told["changes"]["day"] == sum(each["changes"] for each in told["holds"])
    assert len(told["left"]) == len(day.left)
    assert {each["tool"] for each in told["tools"]} == {each.tool.id for each in day.loads}


def test_the_same_day_gives_the_same_bytes(gate):
    hours = read_hours("8:00", "16:30")
    assert day_text(plan_day([gate], hours)) == day_text(plan_day([gate], hours))
    assert day_json(plan_day([gate], hours)) == day_json(plan_day([gate], hours))
