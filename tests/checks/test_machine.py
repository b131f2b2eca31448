"""Pins: no wrong turn fits them, and nothing is cut into them."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from signplan.checks.machine import CHECKS, PIN_CLEAR, pin_in_path, turn_ambiguous
from signplan.checks.work import Day
from signplan.plan import make_plan
from signplan.schedule.model import Schedule
from signplan.sign.model import IndexPin

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def day() -> Day:
    plan = make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")
    schedule = Schedule(
        layout=plan.layout,
        setups=plan.setups,
        order=plan.order,
        comparisons=(),
        findings=(),
        seconds=plan.setups[0].seconds,
        refused="",
    )
    return Day(schedule=schedule, job=plan.job, shop=plan.shop)


def with_pins(day, *pins):
    setups = tuple(
        replace(planned, setup=replace(planned.setup, pins=tuple(pins))) for planned in day.schedule.setups
    )
    return replace(day, schedule=replace(day.schedule, setups=setups))


def test_the_planners_own_pins_pass(day):
    assert [finding for check in CHECKS for finding in check(day)] == []


@pytest.mark.parametrize(("by", "codes"), [(0.5, ["turn-ambiguous"]), (10.5, [])])
def test_pins_as_far_from_both_ends_let_the_blank_be_turned_wrong(day, by, codes):
    wide, deep, _ = day.schedule.setups[0].setup.blank
    pins = [IndexPin(x=wide / 2, y=20, diameter=9.5), IndexPin(x=wide / 2, y=deep - 20 - by, diameter=9.5)]
    assert [f.code for f in turn_ambiguous(with_pins(day, *pins))] == codes


def test_a_pin_beside_a_path_needs_a_little_board(day):
    """A pin its own radius, that of the cutter and 2 mm away from the cut-out, and then a hair nearer."""
    planned = next(s for s in day.schedule.setups if s.setup.turn)
    cut = next(o for o in planned.operations if o.operation.kind == "cutout")
    low = cut.path.points[cut.path.points[:, 2] < 0]
    leftmost = low[np.argmin(low[:, 0])]
    room = cut.tool.diameter / 2 + 4.75 + PIN_CLEAR
    for by, codes in ((0.01, []), (-0.01, ["pin-in-path"])):
        pin = IndexPin(x=float(leftmost[0]) - room - by, y=float(leftmost[1]), diameter=9.5)
        found = [f for f in pin_in_path(with_pins(day, pin)) if cut.operation.id in f.where]
        assert [f.code for f in found] == codes
