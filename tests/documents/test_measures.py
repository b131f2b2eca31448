from itertools import pairwise

import pytest

from signplan.documents.measures import (
    feature_tag,
    gauges,
    part_name,
    places,
    running_clock,
)
from signplan.plan import Plan


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


def test_pockets_are_told_on_inner_faces_and_carvings_on_outer_ones(plan: Plan) -> None:
    inner, outer = (places(plan, planned.setup) for planned in plan.setups)
    assert {each.tag for each in inner if each.panel == "A"} >= {"1", "7", "D4"}
    assert {each.tag for each in outer if each.panel == "A"} == {"A", "C1", "C2", "C3", "C4", "C5"}
    assert feature_tag(plan, "A/weight-plate-1") == "7"
    assert feature_tag(plan, "B/incise-1") == "C2"
    assert feature_tag(plan, "outline") == ""


def test_the_clock_of_a_setup_ends_when_its_hold_does(plan: Plan) -> None:
    for planned in plan.setups:
        times = running_clock(planned, plan.shop)
        assert all(a[1] <= b[0] for a, b in pairwise(times))
        assert times[-1][1] == pytest.approx(planned.hold.seconds, rel=1e-9)


def test_a_gauge_leaves_half_of_the_play(plan: Plan) -> None:
    rod = next(each for each in gauges(plan) if each.part == "rod 3/8")
    assert (rod.steel, rod.go, rod.target, rod.no_go) == pytest.approx((9.525, 10.325, 11.125, 11.925))


def test_what_has_no_stock_name_is_told_by_its_size(plan: Plan) -> None:
    assert part_name(plan.sign.items[2], 0, plan) == 'flat 1/4" × 1" × 4"'
