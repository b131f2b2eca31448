"""The hold, operation by operation, on a real plan."""

import math
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from shapely import box

from signplan.operations.practice import engagement
from signplan.plan import Plan, make_plan
from signplan.schedule.holding import holds, peak_force, vacuum_force

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")


def with_holding(plan: Plan, **changes):
    """How the plan is held in a shop that holds otherwise."""
    shop = plan.shop.model_copy(update={"holding": plan.shop.holding.model_copy(update=changes)})
    return holds(plan.setups, plan.sign, shop, plan.board)


def outer(plan: Plan):
    """The setup with the recesses down, and how it is held."""
    return next(each for each in zip(plan.setups, plan.holds, strict=True) if each[0].setup.cuts_out)


class TestVacuum:
    def test_a_fresh_blank_is_sealed_whole(self, plan):
        wide, deep, _ = plan.setups[0].setup.blank
        assert plan.holds[0].sealed == pytest.approx(wide * deep)
        assert plan.holds[0].recessed == pytest.approx(0.0, abs=1e-6)

    def test_recesses_that_lie_down_are_not_sealed(self, plan):
        setup, hold = outer(plan)
        lost = sum(math.pi / 4 * pin.diameter**2 for pin in setup.setup.pins)
        for panel in plan.sign.panels:
            lost += shapely.union_all([pocket.as_cut for pocket in panel.pockets]).area
            lost += sum(math.pi / 4 * dowel.diameter**2 for dowel in panel.dowels)
        assert hold.recessed == pytest.approx(lost, rel=5e-3)

    def test_every_operation_has_its_grip_in_working_order(self, plan):
        for setup, hold in zip(plan.setups, plan.holds, strict=True):
            assert [g.operation for g in hold.grips] == [each.operation.id for each in setup.operations]

    def test_a_panel_that_is_cut_free_has_only_its_own_area(self, plan):
        _, hold = outer(plan)
        for panel in plan.sign.panels:
            grip = next(g for g in hold.grips if g.operation == f"{panel.id}/outer/outline/cutout")
            down = shapely.union_all([pocket.as_cut for pocket in panel.pockets])
            dowels = sum(math.pi / 4 * dowel.diameter**2 for dowel in panel.dowels)
            own = panel.outline.difference(down).area - dowels
            assert grip.piece == f"panel {panel.id}"
            assert grip.area == pytest.approx(own, rel=2e-3)

    def test_the_hold_never_grows_while_cuts_open(self, plan):
        for hold in plan.holds:
            of_blank = [grip.area for grip in hold.grips if grip.piece.startswith("blank")]
            assert of_blank == sorted(of_blank, reverse=True)

    def test_forces_follow_from_area_pressure_and_friction(self, plan):
        holding = plan.shop.holding
        for grip in (grip for hold in plan.holds for grip in hold.grips):
            assert grip.down == vacuum_force(grip.area, holding.inches_of_mercury)
            assert grip.side == pytest.approx(holding.friction * grip.down)

    def test_screws_count_no_vacuum(self, plan):
        assert all(grip.side == 0 for hold in with_holding(plan, kind="screws") for grip in hold.grips)

    def test_a_skin_lets_nothing_go(self, plan):
        setup, _ = outer(plan)
        skinned = tuple(
            replace(each, operation=replace(each.operation, work=replace(each.operation.work, tabs=0)))
            if each.operation.kind == "cutout"
            else each
            for each in setup.operations
        )
        (hold,) = holds([replace(setup, operations=skinned)], plan.sign, plan.shop, plan.board)
        assert {grip.piece for grip in hold.grips} == {"blank AB"}
        assert all(piece.skin and not piece.tabs for piece in hold.pieces)
        assert hold.grips[-1].area == pytest.approx(hold.sealed, rel=1e-3)


class TestPush:
    def test_a_roughing_cut(self, plan):
        each = next(e for s in plan.setups for e in s.operations if e.operation.kind == "rough")
        depth, _ = engagement(each.operation, each.tool)
        most = plan.board.cutting_force_n_mm2 * depth * each.cutting.chip_load
        assert 0 < peak_force(each, plan.board) <= most
        assert peak_force(each, plan.board) == pytest.approx(most, rel=0.03)  # two flutes: one tooth cuts

    def test_more_teeth_in_the_cut_push_harder(self, plan):
        each = next(e for s in plan.setups for e in s.operations if e.operation.kind == "cutout")
        four = replace(each, tool=each.tool.model_copy(update={"flutes": 4}))
        assert peak_force(four, plan.board) == pytest.approx(2 * peak_force(each, plan.board))

    def test_a_drill_pushes_down(self, plan):
        each = next(e for s in plan.setups for e in s.operations if e.tool.shape == "drill")
        assert peak_force(each, plan.board) == 0

    def test_the_weakest_is_the_least_of_all(self, plan):
        for hold in plan.holds:
            assert hold.weakest.factor == min(grip.factor for grip in hold.grips)


def test_vacuum_alone_proposes_none_and_a_weak_one_does(plan):
    assert all(hold.proposed == () for hold in plan.holds)
    assert any(hold.proposed for hold in with_holding(plan, inches_of_mercury=0.5))
    assert all(hold.proposed for hold in with_holding(plan, kind="both"))


def test_a_small_hole_of_the_outline_has_no_room_for_tabs(plan):
    setup, _ = outer(plan)
    cut = next(each for each in setup.operations if each.operation.kind == "cutout")
    outline = cut.operation.work.outline
    x, y = outline.representative_point().coords[0]
    holed = shapely.Polygon(outline.exterior, [box(x, y, x + 5, y + 5).exterior.coords])
    work = replace(cut.operation.work, outline=holed)
    operations = (replace(cut, operation=replace(cut.operation, work=work)),)
    (hold,) = holds([replace(setup, operations=operations)], plan.sign, plan.shop, plan.board)
    panel, waste = hold.pieces
    assert panel.tabs >= 4
    assert (waste.tabs, waste.area) == (0, pytest.approx(25.0))
