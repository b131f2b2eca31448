"""The shop pages, read back: what they say is what the plan has, and every figure of a structure defers."""

import io
import re
from dataclasses import replace

import pdfplumber
import pytest

from signplan.cost.quote import Made, cost
from signplan.documents.forces import area, force
from signplan.documents.traveller import render_traveller
from signplan.documents.traveller.care import cautions
from signplan.documents.traveller.quote import TAX, money
from signplan.documents.words import weight
from signplan.job.model import Hanging, Wind
from signplan.job.shop import Rates
from signplan.plan import Plan
from signplan.schedule.model import Schedule
from signplan.sign.hanging import hang
from signplan.sign.wind import wind_load

WIND = Wind(edition="ASCE 7-16", speed_mph=115.0, exposure="C", height=4000.0)


def page_named(plan: Plan, title: str) -> str:
    """The text of the page of that title, in one line."""
    with pdfplumber.open(io.BytesIO(render_traveller(plan))) as book:
        for page in book.pages:
            text = page.extract_text()
            if text.startswith(title):
                return re.sub(r"\s+", " ", text)
    raise AssertionError(f"no page {title}")


def with_job(plan: Plan, **changes) -> Plan:
    job = plan.job.model_copy(update=changes)
    return replace(
        plan,
        job=job,
        hanging=hang(plan.sign, plan.mass, job.hanging),
        wind=wind_load(plan.sign, plan.mass.total, job),
    )


def with_shop(plan: Plan, **changes) -> Plan:
    """The plan in a shop with other tables; its cost worked out anew."""
    shop = plan.shop.model_copy(update=changes)
    schedule = Schedule(
        layout=plan.layout,
        setups=plan.setups,
        order=plan.order,
        comparisons=plan.comparisons,
        findings=(),
        seconds=sum((each.seconds for each in plan.setups[1:]), plan.setups[0].seconds),
        refused="",
    )
    made = Made(sign=plan.sign, job=plan.job, shop=shop, board=plan.board, schedule=schedule)
    return replace(plan, shop=shop, costing=cost(made))


@pytest.mark.parametrize("fixture", ["plan", "plan_mm"])
def test_every_setup_has_its_hold(fixture, request):
    plan = request.getfixturevalue(fixture)
    text = page_named(plan, "Before you press the button")
    for planned, hold in zip(plan.setups, plan.holds, strict=True):
        weakest, units = hold.weakest, plan.job.job.units
        assert f"{force(weakest.side, units)} {force(weakest.push, units)}" in text
        assert f"{planned.setup.id} vacuum on" in text
        assert area(hold.grips[0].area, units) in text


def test_screws_are_listed_where_the_shop_uses_them(plan):
    text = page_named(plan, "Screws: good places")
    assert all(hold.proposed for hold in plan.holds)
    assert all(hold.setup in text for hold in plan.holds)


class TestWeightAndHanging:
    def test_weight_is_that_of_the_plan(self, plan):
        text = page_named(plan, "Weight, hanging, wind")
        assert f"together {weight(plan.mass.total, plan.job.job.units)}" in text

    def test_nothing_is_said_of_a_wind_that_is_not_stated(self, plan):
        text = page_named(with_job(plan, wind=None), "Weight, hanging, wind")
        assert "No wind is stated for the place" in text
        assert "velocity pressure" not in text

    def test_the_wind_names_its_edition_and_defers(self, plan):
        windy = with_job(plan, wind=WIND, hanging=Hanging(arm=600.0, bolts=300.0, breaking_lb=2000.0))
        text = page_named(windy, "Weight, hanging, wind")
        assert windy.wind is not None
        assert f"{windy.wind.allowable:.0f} lb" in text
        assert "by the formula of ASCE 7-16" in text
        assert text.count("engineer") >= 2  # in both columns, whose lines alternate here

    def test_flat_on_a_wall_no_figure_is_given(self, plan):
        text = page_named(with_job(plan, wind=WIND.model_copy(update={"mounted": "wall"})), "Weight, hanging")
        assert "no figure is given here" in text

    def test_a_slack_point_is_named(self, plan):
        x, y, _ = plan.mass.centroid
        slack = with_job(plan, hanging=Hanging(points=((x + 50, y + 200), (x + 150, y + 200))))
        assert "SLACK" in page_named(slack, "Weight, hanging, wind")


class TestCost:
    def test_rates_that_are_not_stated_are_named(self, plan):
        text = page_named(with_shop(plan, rates=Rates(labour_hour=30.0)), "Cost, for a quote")
        assert "No rate is stated for:" in text
        assert "not complete" in text

    def test_a_shop_without_rates_gets_no_sum(self, plan):
        text = page_named(with_shop(plan, rates=Rates()), "Cost, for a quote")
        assert "The shop file states no rates, so there is no sum" in text
        assert "not complete" not in text

    def test_the_sum_and_the_accountant(self, plan):
        rates = Rates(currency="$", machine_hour=20.0, labour_hour=30.0, steel_kg=5.0, glue_kg=20.0)
        priced = with_shop(plan, rates=rates)
        text = page_named(priced, "Cost, for a quote")
        assert money(priced.costing.total, "$") in text
        assert TAX in text


class TestCautions:
    def test_hands_at_the_spindle_only_where_tools_are_changed_by_hand(self, plan):
        def locked(kind: str) -> bool:
            change = plan.shop.tool_change.model_copy(update={"kind": kind})
            order = replace(plan.order, reloads=())
            lines = cautions(replace(with_shop(plan, tool_change=change), order=order))
            return any("1910.147" in line for line in lines)

        assert locked("by hand")
        assert not locked("automatic")

    def test_screws_only_where_there_are_screws(self, plan):
        def shrapnel(kind: str) -> bool:
            holding = plan.shop.holding.model_copy(update={"kind": kind})
            return any("shrapnel" in line for line in cautions(with_shop(plan, holding=holding)))

        assert shrapnel("both")
        assert not shrapnel("vacuum")

    def test_noise_by_what_was_measured(self, plan):
        def noise(level: float | None) -> str:
            machine = plan.shop.machine.model_copy(update={"noise_dba": level})
            lines = cautions(with_shop(plan, machine=machine))
            return next((line for line in lines if "oise" in line or "ear" in line.split()), "")

        hours = plan.time.seconds / 3600
        assert "is not stated" in noise(None)
        assert f"{hours / 4:.0%} of a day's allowance" in noise(95)
        assert "allowance" not in noise(87)
        assert noise(70) == ""

    def test_two_people_for_what_one_should_not_lift(self, plan):
        def lifted(kilograms: float) -> str:
            heavy = replace(plan, mass=replace(plan.mass, board=kilograms, steel=0.0))
            return next(line for line in cautions(heavy) if "NIOSH" in line)

        assert "one person may" in lifted(13.0)
        assert "two people or a lift" in lifted(14.0)

    def test_slow_machines_are_not_called_fast(self, plan):
        machine = plan.shop.machine.model_copy(update={"rapid": (100.0, 100.0, 50.0)})
        assert not any(line.startswith("Rapids") for line in cautions(with_shop(plan, machine=machine)))
