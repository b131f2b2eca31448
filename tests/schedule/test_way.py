"""A schedule: every operation once, in its setup, after what it needs, the tool carried over."""

import math
from itertools import pairwise
from pathlib import Path

import pytest

from signplan.operations.practice import BREAKTHROUGH
from signplan.plan import Plan, make_plan
from signplan.schedule.model import why_again

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module", params=["gannet-and-thrum", "tansyrigg-orchard"])
def plan(request) -> Plan:
    return make_plan(ROOT / "demo_jobs" / request.param)


def test_the_order_is_what_runs(plan):
    assert [each.operation.id for setup in plan.setups for each in setup.operations] == list(
        plan.order.sequence
    )


def test_nothing_runs_before_what_it_needs(plan):
    done: set[str] = set()
    for setup in plan.setups:
        for each in setup.operations:
            assert {need.operation for need in each.needs} <= done
            assert all(need.reason for need in each.needs)
            done.add(each.operation.id)


def test_changes_by_setup_add_up_and_carry_the_tool_over(plan):
    tools = [each.operation.tool for setup in plan.setups for each in setup.operations]
    assert plan.order.changes == 1 + sum(a != b for a, b in pairwise(tools))
    assert sum(setup.changes for setup in plan.setups) == plan.order.changes
    for before, after in pairwise(plan.setups):
        carried = before.operations[-1].operation.tool == after.first_tool
        assert after.starts_with_change is not carried


def test_the_planned_order_never_takes_more_changes_than_a_habit(plan):
    assert plan.order.proven
    for habit in plan.comparisons:
        assert habit.changes >= plan.order.changes
        assert habit.seconds >= plan.time.seconds


def test_the_quickest_layout_is_taken(plan):
    chosen = [each for each in plan.alternatives if each.chosen]
    assert len(chosen) == 1
    assert len(plan.alternatives) == 2
    assert chosen[0].seconds == min(each.seconds for each in plan.alternatives)
    assert chosen[0].seconds == pytest.approx(plan.time.seconds)


def test_paths_lie_on_the_blank_and_no_deeper_than_through(plan):
    for planned in plan.setups:
        wide, deep, thick = planned.setup.blank
        for each in planned.operations:
            low_x, low_y, low_z, high_x, high_y, high_z = each.path.bounds
            reach = each.tool.diameter / 2
            assert low_x - reach > 0
            assert low_y - reach > 0
            assert high_x + reach < wide
            assert high_y + reach < deep
            into_spoilboard = 0.0
            if each.operation.kind == "index":
                point = each.tool.diameter / 2 / math.tan(each.tool.half_angle)
                into_spoilboard = plan.shop.index_pins.depth_in_spoilboard + point
            assert low_z >= -thick - max(into_spoilboard, BREAKTHROUGH) - 1e-9
            assert high_z == pytest.approx(plan.shop.machine.clearance_z)


def test_inner_faces_before_outer_where_the_outline_is_cut_from_the_outer(plan):
    assert [setup.setup.face for setup in plan.setups] == ["inner", "outer"]
    assert plan.setups[-1].operations[-1].operation.kind == "cutout"


def test_a_tool_that_comes_back_says_why(plan):
    outer = plan.setups[-1]
    cutouts = [each for each in outer.operations if each.operation.kind == "cutout"]
    roughs = [each for each in outer.operations if each.operation.kind == "rough"]
    assert cutouts[0].tool == roughs[0].tool
    assert why_again(outer, cutouts) in {need.reason for each in cutouts for need in each.needs}
    assert why_again(outer, roughs) == ""
