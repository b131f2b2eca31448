"""Checks of the hold: each rule fails on one thing too much, and is silent on the neighbour that is right."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from signplan.checks.holding import CHECKS, SMALL_MM2, Held, check_holding
from signplan.checks.work import Day
from signplan.operations.practice import BREAKTHROUGH
from signplan.plan import Plan, make_plan
from signplan.schedule.holding import LoosePiece, holds
from signplan.schedule.model import Schedule
from signplan.schedule.screws import Obstacle
from signplan.timing.model import Seconds
from signplan.units import parse_length

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")


@pytest.fixture
def held(plan) -> Held:
    return held_by(plan)


def held_by(plan: Plan, **changes) -> Held:
    """The hanging sign in a shop that holds otherwise."""
    shop = plan.shop.model_copy(update={"holding": plan.shop.holding.model_copy(update=changes)})
    schedule = Schedule(
        layout=plan.layout,
        setups=plan.setups,
        order=plan.order,
        comparisons=(),
        findings=(),
        seconds=Seconds(),
        refused="",
    )
    return Held(
        day=Day(schedule=schedule, job=plan.job, shop=shop),
        holds=holds(plan.setups, plan.sign, shop, plan.board),
        sign=plan.sign,
        board=plan.board,
    )


def found(held: Held, code: str):
    return [finding for finding in check_holding(held) if finding.code == code]


def test_a_right_job_passes_every_check(held):
    assert list(check_holding(held)) == []


def test_a_weak_vacuum_is_told_once_a_setup_with_places_for_screws(plan):
    strong = held_by(plan).holds[1].weakest.factor
    mercury = plan.shop.holding.inches_of_mercury
    (finding,) = found(held_by(plan, inches_of_mercury=mercury * 2.9 / strong), "hold-weak")
    assert finding.severity == "warning"
    assert finding.measured == pytest.approx(2.9)
    assert finding.where == f"operation {plan.holds[1].weakest.operation}"
    assert "Clear of every path: (" in finding.hint
    assert finding.message.count(" lbf") == 2
    assert " N" not in finding.message
    assert found(held_by(plan, inches_of_mercury=mercury * 3.01 / strong), "hold-weak") == []


def test_what_the_cutter_pushes_away_for_certain_is_an_error(plan):
    strong = held_by(plan).holds[1].weakest.factor
    mercury = plan.shop.holding.inches_of_mercury * 0.99 / strong
    assert [f.severity for f in found(held_by(plan, inches_of_mercury=mercury), "hold-weak")] == ["error"]


def with_piece(held: Held, **changes) -> Held:
    piece = LoosePiece(operation="A/outer/outline/cutout", name="panel A", area=100.0, tabs=0, skin=False)
    return replace(held, holds=(replace(held.holds[0], pieces=(replace(piece, **changes),)),))


def test_a_small_piece_needs_a_tab_or_a_skin(held):
    assert len(found(with_piece(held), "piece-loose")) == 1
    assert found(with_piece(held, tabs=1), "piece-loose") == []
    assert found(with_piece(held, skin=True), "piece-loose") == []
    assert found(with_piece(held, area=SMALL_MM2), "piece-loose") == []
    assert len(found(with_piece(held, area=SMALL_MM2 * 0.99), "piece-loose")) == 1


def with_skin(held: Held, left: float, **board) -> Held:
    """The cut-out leaves a skin, of a board that may be out."""

    def skinned(each):
        if each.operation.kind != "cutout":
            return each
        work = replace(each.operation.work, tabs=0, left=left)
        return replace(each, operation=replace(each.operation, work=work))

    setups = tuple(replace(s, operations=tuple(map(skinned, s.operations))) for s in held.day.schedule.setups)
    schedule = replace(held.day.schedule, setups=setups)
    return replace(held, day=replace(held.day, schedule=schedule), board=held.board.model_copy(update=board))


def test_a_skin_is_thicker_than_board_and_bed_may_be_out(held):
    """A skin of .010 in where blank and spoilboard may be out by .015 in is cut through."""
    inch = 25.4
    thin = with_skin(held, 0.010 * inch, thickness_error=0.015 * inch - 0.1)
    assert [f.measured for f in found(thin, "skin-thin")] == pytest.approx([0.010, 0.010])
    assert found(with_skin(held, 0.020 * inch, thickness_error=0.015 * inch - 0.1), "skin-thin") == []


def test_a_cut_out_goes_below_the_thickest_board_that_is_stated(held):
    def stated(error: float) -> Held:
        return replace(held, board=held.board.model_copy(update={"thickness_error": error}))

    told = found(stated(BREAKTHROUGH * 1.01), "cutout-short")
    assert [finding.severity for finding in told] == ["warning"] * 2
    assert told[0].message.startswith("The cut-out of panel ")
    assert found(stated(BREAKTHROUGH), "cutout-short") == []
    assert found(with_skin(held, 2.0, thickness_error=0.9), "cutout-short") == []


def test_a_board_whose_error_is_not_stated_is_not_told_of(held):
    assert held.board.thickness_error > BREAKTHROUGH
    assert found(held, "cutout-short") == []


def test_a_screw_in_the_way_says_which_cut_and_where_to(held):
    near = Obstacle(screw=(50.8, 25.4), operation="A/outer/outline/cutout", room=2.54, rapid=False)
    hold = replace(held.holds[1], obstacles=(near,), proposed=((12.7, 12.7),))
    (finding,) = found(replace(held, holds=(held.holds[0], hold)), "clamp-in-path")
    assert finding.severity == "error"
    assert finding.message == (
        'The screw at (2", 1") of setup AB-outer is 0.100 in from the edge of a cutter cutting; 0.250 in is '
        "wanted."
    )
    assert finding.hint == (
        'Nearest is A/outer/outline/cutout. Move the screw. Clear of every path: (1/2", 1/2").'
    )


def test_screws_belong_in_the_waste(plan):
    wide, deep, _ = plan.setups[0].setup.blank
    inside = tuple(float(v) for v in plan.setups[0].setup.placements[0][1].point(100.0, 100.0))
    misplaced = found(held_by(plan, kind="both", screws=((wide + 1, 20.0), inside)), "screw-misplaced")
    assert [finding.message.split(" is ")[1] for finding in misplaced][:2] == [
        "off the blank.",
        "inside the sign.",
    ]
    assert found(held_by(plan, kind="both", screws=((12.0, deep - 12.0),)), "screw-misplaced") == []


@pytest.mark.parametrize(("kind", "severity"), [("screws", "error"), ("both", "note")])
def test_screws_without_a_place_are_proposed(plan, kind, severity):
    missing = found(held_by(plan, kind=kind), "screws-missing")
    assert [finding.severity for finding in missing] == [severity] * len(plan.setups)
    assert all("Clear of every path: (" in finding.hint for finding in missing)
    assert found(held_by(plan, kind="vacuum"), "screws-missing") == []


def test_the_proposed_places_are_the_way_out(plan):
    """As a person types them: rounded to what the hint says, and good in every setup."""
    hint = found(held_by(plan, kind="screws"), "screws-missing")[0].hint
    typed = re.findall(r'\(([^(),]+"), ([^(),]+")\)', hint)
    screws = tuple((parse_length(x, "in"), parse_length(y, "in")) for x, y in typed)
    assert len(screws) >= 4
    assert list(check_holding(held_by(plan, kind="screws", screws=screws))) == []


def test_one_screw_or_those_off_the_blank_do_not_hold_it(plan):
    wide, deep, _ = plan.setups[0].setup.blank
    on, off = (12.0, deep - 12.0), (wide + 12.0, 12.0)
    for screws, count in (((on,), 1), ((on, off), 1), ((off, off), 0)):
        told = found(held_by(plan, kind="screws", screws=screws), "screws-missing")
        assert [(finding.severity, finding.measured) for finding in told] == [("error", count)] * 2
    assert found(held_by(plan, kind="screws", screws=(on, (wide - 12.0, 12.0))), "screws-missing") == []
    assert found(held_by(plan, kind="both", screws=(on,)), "screws-missing") == []


def test_each_rule_is_listed_once():
    assert len(CHECKS) == len(set(CHECKS)) == 7
