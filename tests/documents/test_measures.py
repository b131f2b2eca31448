import math
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from shapely import LineString, Point, union_all

from signplan.documents.measures import (
    Gauge,
    feature_tag,
    gauges,
    own_place,
    part_name,
    places,
    put_in_later,
    running_clock,
)
from signplan.job.shop import Shop, Tool
from signplan.job.starter import starter_files
from signplan.plan import Plan, make_plan
from signplan.sign.model import Vent


def test_every_place_on_a_sheet_has_its_own_number(plan: Plan) -> None:
    for planned in plan.setups:
        found = [(each.panel, each.tag) for each in places(plan, planned.setup)]
        assert len(found) == len(set(found))


def test_a_dowel_lies_where_its_setup_puts_it(plan: Plan) -> None:
    setup = plan.setups[0].setup
    dowel = plan.sign.panel("A").dowels[0]
    found = next(each for each in places(plan, setup) if (each.panel, each.tag) == ("A", "D1"))
    # Side A's inner face is seen mirrored; its box begins one border in.
    assert found.x[0] == pytest.approx(plan.sign.border + plan.sign.width - dowel.x)
    assert found.y[0] == pytest.approx(plan.sign.border + dowel.y)


def test_a_vent_is_measured_where_its_setup_puts_it(plan: Plan) -> None:
    first, second = plan.sign.panels
    line = LineString([(200.0, 48.3), (220.0, -2.5)])
    vent = Vent(panel="A", recess="dowel 1", line=line, width=3.0, depth=1.5, tool="em-1/8")
    vented = replace(plan, sign=replace(plan.sign, panels=(replace(first, vents=(vent,)), second)))
    found = next(each for each in places(vented, plan.setups[0].setup) if each.tag == "V1")
    right = plan.sign.border + plan.sign.width
    assert found.x == pytest.approx((right - 220.0, right - 200.0))
    assert found.y == pytest.approx((plan.sign.border - 2.5, plan.sign.border + 48.3))
    assert found.depth is not None
    assert found.depth.target == 1.5


def test_pockets_are_told_on_inner_faces_and_carvings_on_outer_ones(plan: Plan) -> None:
    inner, outer = (places(plan, planned.setup) for planned in plan.setups)
    assert {each.tag for each in inner if each.panel == "A"} >= {"1", "7", "D4"}
    assert {each.tag for each in outer if each.panel == "A"} == {"A", "C1", "C2", "C3", "C4", "C5"}
    assert feature_tag(plan, "A/weight-plate-1") == "7"
    assert feature_tag(plan, "B/incise-1") == "C2"
    assert feature_tag(plan, "outline") == ""


def test_the_clock_of_a_setup_ends_when_its_hold_does(plan: Plan) -> None:
    for planned in plan.setups:
        times = running_clock(planned)
        assert all(a[1] <= b[0] for a, b in pairwise(times))
        assert times[-1][1] == pytest.approx(planned.hold.seconds, rel=1e-9)


def test_reloads_in_a_hold_are_on_its_clock(tmp_path: Path) -> None:
    """One place for tools: every change is a reload, which somebody makes while the machine waits."""
    (tmp_path / "art").mkdir()
    for name, content in starter_files("in").items():
        (tmp_path / name).write_bytes(content.replace(b"slots = 10", b"slots = 1"))
    made = make_plan(tmp_path)
    assert sum(planned.reload_stops for planned in made.setups) > 0
    for planned in made.setups:
        assert running_clock(planned)[-1][1] == pytest.approx(planned.hold.seconds, rel=1e-9)
        used = {each.operation.tool for each in planned.operations}
        assert put_in_later(planned, made) == used - {planned.first_tool}


def test_a_carving_on_lowered_ground_is_as_deep_as_both(plan: Plan) -> None:
    a, b = plan.sign.panels
    carvings = tuple(replace(each, ground=7.9 if each.treatment == "incise" else 0.0) for each in a.carvings)
    lowered = replace(plan, sign=replace(plan.sign, panels=(replace(a, carvings=carvings), b)))
    found = {each.tag: each for each in places(lowered, plan.setups[1].setup) if each.panel == "A"}
    incised = found["C2"]
    assert incised.ground == 7.9
    assert incised.depth
    assert incised.depth.target == pytest.approx(7.9 + 0.2 * 25.4)


def test_a_pocket_is_told_by_its_walls(plan: Plan) -> None:
    """The hex nut's pocket has its corners relieved; its rod's runs out at the top edge."""
    setup = plan.setups[0].setup
    placement = dict(setup.placements)["A"]
    found = {each.tag: each for each in places(plan, setup) if each.panel == "A"}
    for number, pocket in enumerate(plan.sign.panel("A").pockets, 1):
        x0, y0, x1, y1 = placement.shape(pocket.drawn).bounds
        told = found[str(number)]
        assert told.x == pytest.approx((x0, x1))
        assert told.y[0] == pytest.approx(y0)
        assert told.y[1] < y1 - 1 if pocket.mouth else told.y[1] == pytest.approx(y1)
        assert told.y[1] <= found["A"].y[1]


def test_a_balloon_points_at_its_carving(plan: Plan) -> None:
    setup = plan.setups[1].setup
    for panel, placement in setup.placements:
        found = {each.tag: each for each in places(plan, setup) if each.panel == panel}
        for number, carving in enumerate(plan.sign.panel(panel).carvings, 1):
            shapes = [placement.shape(carving.shape), *map(placement.shape, carving.lines)]
            drawn = [shape for shape in shapes if not shape.is_empty]
            assert min(Point(found[f"C{number}"].at).distance(shape) for shape in drawn) < 1e-6


def test_a_gauge_leaves_half_of_the_play(plan: Plan) -> None:
    rod = next(each for each in gauges(plan) if each.part == "rod 3/8")
    assert (rod.steel, rod.go, rod.target, rod.no_go) == pytest.approx((9.525, 10.325, 11.125, 11.925))


def test_what_has_no_stock_name_is_told_by_its_size(plan: Plan) -> None:
    assert part_name(plan.sign.items[2], 0, plan) == 'flat 1/4" × 1" × 4"'


def test_a_pocket_is_pointed_at_where_its_own_floor_is(plan: Plan) -> None:
    for panel in plan.sign.panels:
        for pocket in panel.pockets:
            at = Point(own_place(pocket, panel))
            deeper = [each for each in panel.pockets if each.depth > pocket.depth]
            covered = pocket.as_cut.difference(union_all([each.as_cut for each in deeper])).is_empty
            assert pocket.as_cut.covers(at)
            assert covered or not any(each.as_cut.contains(at) for each in deeper)


ROD = """
[[hardware]]
name = "rod"
clearance = 0.8
{}
[[hardware.part]]
shape = "round"
diameter = 9.525
from = [150, 200]
to = [450, 200]
z = {}
"""

Gauged = Callable[..., dict[str, Gauge]]


@pytest.fixture
def gauged(plan: Plan, judge: Callable[..., Any], shop: Shop) -> Gauged:
    """The gauge of a rod of 3/8 by panel; the shop has a ball of 1/2 in."""
    ball = {"number": 8, "id": "ball", "shape": "ball", "diameter": 12.7, "flutes": 2}
    long = {"cutting_length": 50, "reach": 60}
    tool = Tool.model_validate(ball | long, context={"units": "mm"})
    stocked = shop.model_copy(update={"tools": (*shop.tools, tool)})

    def by_panel(z: float, bottom: str = "flat") -> dict[str, Gauge]:
        sign = judge(ROD.format(f'bottom = "{bottom}"', z), shop=stocked).sign
        return {panel: each for each in gauges(replace(plan, sign=sign)) for panel in each.panels}

    return by_panel


def test_a_gauge_is_for_the_channel_as_wide_as_its_cutter_leaves_it(gauged: Gauged) -> None:
    """A ball of 1/2 in, its tip 5.5625 deep: 0.7875 above its middle the glue plane cuts a whole chord."""
    found = gauged(0.0, "round")
    wide = 2 * math.sqrt(6.35**2 - (6.35 - 5.5625) ** 2)
    for panel in ("A", "B"):
        each = found[panel]
        assert (each.go, each.target, each.no_go) == pytest.approx((wide - 0.8, wide, wide + 0.8), abs=2e-3)


def test_a_gauge_is_for_the_mouth_of_each_panels_own_pocket(gauged: Gauged) -> None:
    """Off the glue plane a rod is narrower in the other panel: a chord of it, and the clearance twice."""
    found = gauged(3.96875)
    chord = 2 * math.sqrt(4.7625**2 - 3.96875**2)
    assert found["A"].target == pytest.approx(9.525 + 1.6, abs=2e-3)
    assert found["B"].target == pytest.approx(chord + 1.6, abs=2e-3)


@pytest.mark.parametrize(("z", "panel"), [(10.0, "A"), (-10.0, "B")])
def test_no_gauge_is_tried_in_a_panel_without_the_pocket(gauged: Gauged, z: float, panel: str) -> None:
    assert set(gauged(z)) == {panel}
