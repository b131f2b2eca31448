"""Places for screws and what stands in their way, against a search that samples every path."""

import math
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import box

from signplan.job.shop import Holding
from signplan.plan import Plan, make_plan
from signplan.schedule.model import PlannedSetup
from signplan.schedule.screws import OVER_HEAD, SCREW_CLEAR, SCREW_EDGE, good_places, obstacles
from signplan.toolpaths.model import Move, Toolpath

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")


def outer(plan: Plan) -> PlannedSetup:
    """The setup in which the panels are cut out."""
    return next(each for each in plan.setups if each.setup.cuts_out)


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


def swept(setup: PlannedSetup, screws: np.ndarray, radius_more: float, clearance: float) -> np.ndarray:
    """The lowest that any cutter passes within its radius and more of each screw, by points along every move.

    Every path of the setup in working order, and the straight rapids from each to the next.
    """
    lowest, before = np.full(len(screws), np.inf), None
    for each in setup.operations:
        points, reach = each.path.points, each.tool.diameter / 2 + radius_more
        if before is not None:
            points = np.concatenate([[[*before, clearance], [*points[0, :2], clearance]], points])
        before = points[-1, :2]
        steps = np.diff(points, axis=0)
        parts = np.maximum(1, np.ceil(np.linalg.norm(steps[:, :2], axis=1) / 0.5)).astype(int)
        move = np.repeat(np.arange(len(steps)), parts)
        share = (np.arange(len(move)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[move]
        places = np.concatenate([points[:-1][move] + share[:, None] * steps[move], points[-1:]])
        for k, screw in enumerate(screws):
            near = np.hypot(*(places[:, :2] - screw).T) < reach
            lowest[k] = min(lowest[k], places[near, 2].min(initial=np.inf))
    return lowest


class TestScrews:
    def test_no_cutter_passes_a_screw_low_that_is_not_told(self, plan):
        """Screws anywhere on the blank: links between cuts and between operations lift over their heads.

        What passes lower than 2 mm over a head, by a search over every move, is told as an obstacle; at
        what is not told everything passes over, and links do, at the clearance height of the shop.
        """
        clearance, head = plan.shop.machine.clearance_z, 3.0
        for setup in plan.setups:
            wide, deep, _ = setup.setup.blank
            spots = np.random.default_rng(3).uniform((0, 0), (wide, deep), (60, 2))
            screws = tuple((float(x), float(y)) for x, y in spots)
            told = {each.screw for each in obstacles(setup, Holding(kind="screws", screws=screws))}
            near, far = (swept(setup, spots, SCREW_CLEAR + off, clearance) for off in (-0.05, 0.05))
            assert {screw for screw, low in zip(screws, near, strict=True) if low < head + OVER_HEAD} <= told
            assert told <= {screw for screw, low in zip(screws, far, strict=True) if low < head + OVER_HEAD}
            passed = [low for screw, low in zip(screws, near, strict=True) if screw not in told]
            assert min(passed) >= head + OVER_HEAD
            assert any(low == clearance for low in passed), "some rapid does pass over one"

    def test_good_places_are_clear_of_every_path(self, plan):
        setup = outer(plan)
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
        setup = outer(plan)
        good = good_places(setup, plan.sign, 3.0)[0]
        cut = next(each for each in setup.operations if each.operation.kind == "cutout")
        under = tuple(float(value) for value in cut.path.points[len(cut.path.points) // 2, :2])
        found = list(obstacles(setup, Holding(kind="screws", screws=(good, under))))
        assert [each.screw for each in found] == [under]
        assert found[0].room <= 0

    def test_room_is_what_sampling_finds(self, plan):
        setup = outer(plan)
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
