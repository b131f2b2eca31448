import pytest

from signplan.documents.sections import Section, sections
from signplan.plan import Plan


def _of(plan: Plan, key: str, part: str) -> Section:
    return next(each for each in sections(plan)[key] if each.part == part)


def test_room_in_a_section_is_the_clearance_that_the_job_asked_for(plan: Plan) -> None:
    rod = _of(plan, "hardware[0]", "rod 3/8")
    sizes = {gap.name: gap.size for gap in rod.gaps}
    assert sizes["room, left"] == pytest.approx(0.8, abs=1e-6)
    assert sizes["room, right"] == pytest.approx(0.8, abs=1e-6)
    assert sizes["room to A's floor"] == pytest.approx(0.6, abs=1e-6)
    assert sizes["room to B's floor"] == pytest.approx(0.6, abs=1e-6)


def test_a_floor_is_the_panel_less_the_pocket_and_the_carving(plan: Plan) -> None:
    plate = _of(plan, "hardware[2]", 'flat 1/4" × 1" × 4"')
    depth = next(p.depth for p in plan.sign.panel("A").pockets if p.hardware == "weight plate")
    sizes = {gap.name: gap.size for gap in plate.gaps}
    assert sizes["floor of A"] == pytest.approx(plan.sign.thickness - depth, abs=1e-6)
    assert "room to B's floor" not in sizes


def test_a_nut_is_cut_at_its_own_place(plan: Plan) -> None:
    nut = _of(plan, "hardware[0]", "nut 3/8")
    (_, y0), (_, y1) = nut.cut
    assert 15.2 * 25.4 < y0 == y1 < 15.55 * 25.4
