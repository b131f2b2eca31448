"""The table for a quote on real plans: lines from the plan's own figures, every variant a difference."""

from dataclasses import replace
from pathlib import Path

import pytest

from signplan.cost.quote import Made, cost
from signplan.job.shop import MachineCost, Rates
from signplan.plan import Plan, make_plan
from signplan.schedule.model import Schedule
from signplan.sign.mass import steel_mass

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module", params=["gannet-and-thrum", "tansyrigg-orchard"])
def plan(request) -> Plan:
    return make_plan(ROOT / "demo_jobs" / request.param)


def made_of(plan: Plan, *, rates: Rates | None = None, others=(), **job) -> Made:
    shop = plan.shop if rates is None else plan.shop.model_copy(update={"rates": rates})
    return Made(
        sign=plan.sign,
        job=plan.job.model_copy(update=job),
        shop=shop,
        board=plan.board,
        schedule=schedule_of(plan),
        others=others,
    )


def schedule_of(plan: Plan) -> Schedule:
    first, *rest = plan.setups
    return Schedule(
        layout=plan.layout,
        setups=plan.setups,
        order=plan.order,
        comparisons=plan.comparisons,
        findings=(),
        seconds=sum((each.seconds for each in rest), first.seconds),
        refused="",
    )


def line(costing, name):
    return next(each for each in costing.lines if each.name == name)


def test_hours_and_weights_are_those_of_the_plan(plan):
    costing = cost(made_of(plan))
    assert line(costing, "machine").quantity == pytest.approx(plan.time.seconds / 3600)
    assert line(costing, "operator").quantity == pytest.approx(
        plan.time.seconds / 3600 * plan.shop.rates.attendance
    )
    assert line(costing, "steel").quantity == pytest.approx(plan.mass.steel)


def test_the_sum_is_that_of_its_lines_with_the_markup(plan):
    costing = cost(made_of(plan))
    assert costing.open == ()
    by_hand = sum(each.quantity * (each.rate or 0) for each in costing.lines)
    assert costing.total == pytest.approx(by_hand * (1 + plan.job.quote.markup_percent / 100))


def test_what_is_not_stated_stays_open(plan):
    costing = cost(made_of(plan, rates=Rates()))
    assert set(costing.open) == {"machine", "operator", "hand work", "steel", "adhesive"}
    assert costing.hour is None
    assert all(each.amount is None for each in costing.variants)
    assert costing.payback_years is None


def test_an_item_with_a_price_is_bought_by_the_piece(plan):
    first, *rest = plan.job.hardware
    priced = (first.model_copy(update={"price": 25.0}), *rest)
    costing = cost(made_of(plan, hardware=priced))
    assert line(costing, first.name).amount == 25.0
    weight = sum(each.quantity for each in costing.lines if each.name == "steel")
    assert weight == pytest.approx(plan.mass.steel - steel_mass(plan.sign.items[0]))


def test_the_yield_counts_both_panels_in_whole_sheets(plan):
    board = cost(made_of(plan)).board
    wide, long = plan.board.sheet
    assert board.share == pytest.approx(2 * plan.sign.outline.area / (board.sheets * wide * long), rel=1e-6)
    assert board.charged == pytest.approx(board.blanks / board.per_sheet)


def test_another_order_costs_its_time_at_the_loaded_hour(plan):
    costing = cost(made_of(plan))
    for habit in plan.comparisons:
        variant = next(each for each in costing.variants if each.name == f"order: {habit.name}")
        assert variant.changes == habit.changes - plan.order.changes
        assert variant.seconds == pytest.approx(habit.seconds - plan.time.seconds)
        assert variant.amount == pytest.approx(variant.seconds / 3600 * costing.hour)


def test_other_blanks_cost_their_board_too(plan):
    """The same schedule told as another layout: only its name and its time differ."""
    schedule = schedule_of(plan)
    slower = replace(schedule, seconds=replace(schedule.seconds, handling=schedule.seconds.handling + 3600))
    other = replace(slower, layout=replace(plan.layout, blanks="two"))
    (variant,) = [v for v in cost(made_of(plan, others=(other,))).variants if v.name == "blanks: two"]
    assert variant.seconds == pytest.approx(3600)
    assert variant.amount == pytest.approx(cost(made_of(plan)).hour)
    refused = replace(other, refused="blank A is larger than the bed")
    assert not [v for v in cost(made_of(plan, others=(refused,))).variants if v.name == "blanks: two"]


def test_a_changer_saves_the_difference_of_every_change(plan):
    costing, change = cost(made_of(plan)), plan.shop.tool_change
    by_hand = 360 if change.kind == "automatic" else change.each_s
    automatic = change.each_s if change.kind == "automatic" else 15
    assert costing.changer_hours * 3600 == pytest.approx(plan.order.changes * (by_hand - automatic))


def test_payback_is_asked_by_a_shop_that_changes_by_hand(plan):
    costing, rates = cost(made_of(plan)), plan.shop.rates
    if plan.shop.tool_change.kind == "automatic":
        assert costing.payback_years is None
    else:
        saving = costing.changer_hours * rates.jobs_a_year * costing.hour
        assert costing.payback_years == pytest.approx(rates.changer_price / saving)


def test_a_rate_is_worked_out_from_the_price_of_the_machine(plan):
    worked = Rates(machine=MachineCost(price=1000.0, life_years=10.0, hours=100.0), labour_hour=0.0)
    assert line(cost(made_of(plan, rates=worked)), "machine").rate == 1.0
