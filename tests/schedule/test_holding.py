"""The hold, operation by operation, on a real plan; room at screws against a search that samples paths."""

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import box

from signplan.job.shop import Holding
from signplan.operations.practice import engagement
from signplan.plan import Plan, make_plan
from signplan.schedule.holding import (
    OVER_HEAD,
    SCREW_CLEAR,
    SCREW_EDGE,
    good_places,
    holds,
    obstacles,
    peak_force,
    vacuum_force,
)
from signplan.schedule.model import PlannedSetup
from signplan.toolpaths.model import Move, Toolpath

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


def nearest_by_sampling(setup: PlannedSetup, spot: tuple[float, float], top: float) -> float:
    """Least room from any cutter below `top` to a spot, by points every half millimetre along every path."""
    least = math.inf
    for each in setup.operations:
        points = each.path.points
        for start, end in pairwise(points):
            if min(start[2], end[2]) >= top or min(start[0], end[0]) - 30 > spot[0]:
                continue
            if max(start[0], end[0]) + 30 < spot[0]:
                continue
            if min(start[1], end[1]) - 30 > spot[1] or max(start[1], end[1]) + 30 < spot[1]:
                continue
            steps = max(2, math.ceil(math.dist(start[:2], end[:2]) / 0.5) + 1)
            line = np.linspace(start[:2], end[:2], steps)
            least = min(least, float(np.hypot(*(line - spot).T).min()) - each.tool.diameter / 2)
    return least


class TestScrews:
    def test_good_places_are_clear_of_every_path(self, plan):
        setup, _ = outer(plan)
        found = good_places(setup, plan.sign, 3.0)
        assert len(found) >= 4
        for spot in found:
            assert nearest_by_sampling(setup, spot, 3.0 + OVER_HEAD) >= SCREW_CLEAR - 0.01

    def test_good_places_lie_in_the_waste_of_the_blank(self, plan):
        for setup in plan.setups:
            wide, deep, _ = setup.setup.blank
            inside = box(
                SCREW_EDGE - 1e-6, SCREW_EDGE - 1e-6, wide - SCREW_EDGE + 1e-6, deep - SCREW_EDGE + 1e-6
            )
            panels = [place.shape(plan.sign.panel(p).outline) for p, place in setup.setup.placements]
            for x, y in good_places(setup, plan.sign, 3.0):
                here = shapely.Point(x, y)
                assert inside.covers(here)
                assert min(panel.distance(here) for panel in panels) >= SCREW_CLEAR
                assert all(math.dist((x, y), (pin.x, pin.y)) > pin.diameter for pin in setup.setup.pins)

    def test_a_good_place_is_no_obstacle_and_a_place_under_a_cutter_is(self, plan):
        setup, _ = outer(plan)
        good = good_places(setup, plan.sign, 3.0)[0]
        cut = next(each for each in setup.operations if each.operation.kind == "cutout")
        under = tuple(float(value) for value in cut.path.points[len(cut.path.points) // 2, :2])
        found = list(obstacles(setup, Holding(kind="screws", screws=(good, under))))
        assert [each.screw for each in found] == [under]
        assert found[0].room <= 0

    def test_room_is_what_sampling_finds(self, plan):
        setup, _ = outer(plan)
        x0, y0, _, _ = setup.setup.placements[0][1].shape(plan.sign.panels[0].outline).bounds
        screw = (x0 - 16.0, y0 + 100.0)
        found = list(obstacles(setup, Holding(kind="screws", screws=(screw,))))
        expected = nearest_by_sampling(setup, screw, 3.0 + OVER_HEAD)
        assert expected < SCREW_CLEAR
        assert found[0].room == pytest.approx(expected, abs=0.02)

    @pytest.mark.parametrize(("head", "hit"), [(3.0, False), (10.6, False), (10.8, True)])
    def test_a_rapid_over_a_screw_counts_at_its_real_height(self, plan, head, hit):
        """A rapid at 12.7 over the board clears a head that stands 10.6 proud, 2 mm left, not one at 10.8."""
        setup = plan.setups[0]
        points = np.array([[0.0, 50.0, 12.7], [100.0, 50.0, 12.7]])
        path = Toolpath(points=points, moves=np.array([Move.RAPID], dtype=np.int8))
        alone = replace(setup, operations=(replace(setup.operations[0], path=path),))
        holding = Holding(kind="screws", screws=((50.0, 52.0),), screw_head=head)
        found = list(obstacles(alone, holding))
        assert [each.rapid for each in found] == [True] * hit

    @pytest.mark.parametrize(("away", "hit"), [(0.30, True), (0.49, True), (0.51, False)])
    def test_a_half_inch_cutter_keeps_half_an_inch(self, plan, away, hit):
        setup = plan.setups[0]
        half_inch = plan.shop.tool("em-1/2")
        points = np.array([[0.0, 50.0, -5.0], [100.0, 50.0, -5.0]])
        path = Toolpath(points=points, moves=np.array([Move.CUT], dtype=np.int8))
        alone = replace(setup, operations=(replace(setup.operations[0], path=path, tool=half_inch),))
        holding = Holding(kind="screws", screws=((50.0, 50.0 + away * 25.4),))
        assert bool(list(obstacles(alone, holding))) is hit

    def test_vacuum_alone_proposes_none_and_a_weak_one_does(self, plan):
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
