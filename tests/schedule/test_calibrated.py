"""Calibrated plans: logged holds are heard everywhere that a time is told, and computed times are kept."""

import shutil
from pathlib import Path

import pytest

from signplan.day.hours import read_hours
from signplan.day.plan import plan_day
from signplan.documents.measures import running_clock
from signplan.documents.shop_log import log_hold, read_entry
from signplan.job.read import read_job
from signplan.plan import make_plan
from signplan.timing.model import Seconds

DEMO_JOBS = Path(__file__).parents[2] / "demo_jobs"
BY = 1.5
"""What every hold takes over what was computed for it."""


@pytest.fixture(scope="module")
def plans(tmp_path_factory):
    """A job before and after six holds were logged, each half as long again as computed."""
    root = tmp_path_factory.mktemp("shop")
    shutil.copytree(DEMO_JOBS / "gannet-and-thrum", root / "job")
    shutil.copy(DEMO_JOBS / "shop.toml", root)
    before = make_plan(root / "job")
    for planned in before.setups * 3:
        computed = planned.computed.total - planned.computed.handling
        log_hold(
            read_job(root / "job"),
            before,
            planned.setup.id,
            read_entry(f"{computed * BY / 60:.3f}"),
            force=True,
        )
    return before, make_plan(root / "job")


def test_holds_last_longer_and_computed_times_stay(plans):
    before, after = plans
    for old, new in zip(before.setups, after.setups, strict=True):
        assert new.computed == old.computed
        assert new.hold.seconds == pytest.approx(BY * old.hold.seconds, rel=0.05)
        assert new.hold.reason == "from 6 logged holds"
        assert new.seconds.handling == old.seconds.handling
        assert new.hold.seconds == pytest.approx(new.seconds.total - new.seconds.handling)
        assert running_clock(new)[-1][1] == pytest.approx(new.hold.seconds)


def test_the_order_of_work_stays(plans):
    before, after = plans
    assert after.order == before.order


def test_the_whole_run_is_its_holds_and_its_handling(plans):
    _, after = plans
    seconds = sum((each.seconds for each in after.setups), Seconds())
    assert after.time.seconds == pytest.approx(seconds.total)
    assert after.time.high > sum(each.hold.high for each in after.setups)
    assert after.time.reason == "from 6 logged holds"
    assert next(each for each in after.alternatives if each.chosen).seconds == pytest.approx(seconds.total)


def test_other_orders_are_compared_with_changes_as_they_are(plans):
    before, after = plans
    per_change = after.calibration.factors[2]
    for old, new in zip(before.comparisons, after.comparisons, strict=True):
        assert new.seconds - after.time.seconds == pytest.approx(
            per_change * (old.seconds - before.time.seconds)
        )
    assert per_change > 1


def test_the_machine_costs_what_it_runs(plans):
    _, after = plans
    machine = next(line for line in after.costing.lines if line.name == "machine")
    assert machine.quantity == pytest.approx(after.time.seconds / 3600)


def test_the_day_is_planned_with_it(plans):
    _, after = plans
    day = plan_day([after], read_hours("8:00", "16:30"))
    longest = {each.hold.planned.setup.id: each.length for each in day.placed}
    for planned in after.setups:
        assert longest[planned.setup.id].seconds == pytest.approx(planned.hold.seconds)
        assert longest[planned.setup.id].high == pytest.approx(planned.hold.high)
    assert day.each_change == pytest.approx((12 + 5) * after.calibration.factors[2])


def test_the_latest_start_hears_it(plans):
    before, after = plans
    starts = [
        (old.latest_start, new.latest_start) for old, new in zip(before.setups, after.setups, strict=True)
    ]
    assert all(new < old for old, new in starts)


def test_the_log_is_among_the_inputs(plans):
    before, after = plans
    assert "../shop-log.toml" not in [each.path for each in before.inputs]
    assert "../shop-log.toml" in [each.path for each in after.inputs]
    assert after.hash != before.hash
