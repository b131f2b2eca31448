"""Time by tool: nothing of a hold is lost or counted twice."""

from pathlib import Path

import pytest

from signplan.plan import make_plan
from signplan.schedule.by_tool import by_tool
from signplan.timing.model import Seconds

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def plan():
    return make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")


def test_tools_share_all_of_a_hold_but_its_handling(plan):
    for planned in plan.setups:
        whole = sum((each.seconds for each in by_tool(planned.operations)), Seconds())
        parts = planned.seconds
        assert (whole.cutting, whole.travel, whole.changes, whole.handling) == pytest.approx(
            (parts.cutting, parts.travel, parts.changes, 0.0)
        )


def test_operations_and_changes_add_up(plan):
    operations = [each for planned in plan.setups for each in planned.operations]
    found = by_tool(operations)
    assert sum(each.operations for each in found) == len(operations)
    assert sum(each.changes for each in found) == plan.order.changes
    assert [each.tool.id for each in found] == list(dict.fromkeys(each.operation.tool for each in operations))
