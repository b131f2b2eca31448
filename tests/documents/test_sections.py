from dataclasses import replace
from typing import Any

import pytest
from shapely import LineString, Point
from shapely.ops import unary_union

from signplan.documents.sections import Section, sections
from signplan.plan import Plan
from signplan.sign.model import Bar, Channel


def _of(plan: Plan, key: str, part: str) -> Section:
    return next(each for each in sections(plan)[key] if each.part == part)


def test_room_in_a_section_is_the_clearance_that_the_job_asked_for(plan: Plan) -> None:
    rod = _of(plan, "hardware[0]", "rod 3/8")
    sizes = {gap.name: gap.size for gap in rod.gaps}
    assert sizes["room, left"] == pytest.approx(0.8, abs=1e-6)
    assert sizes["room, right"] == pytest.approx(0.8, abs=1e-6)
    assert sizes["room to A's floor"] == pytest.approx(0.6, abs=1e-6)
    assert sizes["room to B's floor"] == pytest.approx(0.6, abs=1e-6)


def test_a_channel_is_drawn_round(plan: Plan) -> None:
    """Board begins at the ball's radius from the axis in every direction, as finely as pages are drawn."""
    item = plan.sign.items[0]
    rod = next(part for part in item.parts if isinstance(part, Bar))
    channel = Channel(lines=(LineString([rod.start, rod.end]),), radius=6.0, depth=6.0)
    panels = tuple(
        replace(
            panel,
            pockets=tuple(
                replace(p, channel=channel, depth=6.0, as_cut=channel.open_at(0.0))
                for p in panel.pockets
                if p.hardware == item.name
            )[:1],
        )
        for panel in plan.sign.panels
    )
    alone = replace(plan.sign, panels=(panels[0], panels[1]), items=(replace(item, parts=(rod,)),))
    (found,) = sections(replace(plan, sign=alone))[item.key]
    board = unary_union([mark.shape for mark in found.drawing.marks if mark.role == "cut"])
    assert board.intersection(Point(0, 0).buffer(5.94, quad_segs=64)).area < 1e-6
    around = Point(0, 0).buffer(6.06, quad_segs=64).boundary
    assert around.difference(board).length < 0.01


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


@pytest.mark.parametrize(("z", "panel"), [(15.875, "A"), (-15.875, "B")])
def test_an_empty_slot_over_steel_is_shown(plan: Plan, judge: Any, z: float, panel: str) -> None:
    """A rod of 3/8 with its middle 5/8 from the glue plane: 7/16 of its pocket are empty."""
    judged = judge(
        '[[hardware]]\nname = "rod"\nclearance = 0.8\n[[hardware.part]]\nshape = "round"\ndiameter = 9.525\n'
        f"from = [150, 200]\nto = [450, 200]\nz = {z}\n"
    )
    (found,) = sections(replace(plan, sign=judged.sign))["hardware[0]"]
    sizes = {gap.name: gap.size for gap in found.gaps}
    assert sizes["room to glue plane"] == pytest.approx(11.1125, abs=1e-6)
    assert sizes[f"room to {panel}'s floor"] == pytest.approx(0.8, abs=1e-6)


def test_no_slot_is_shown_over_steel_on_both_sides(plan: Plan) -> None:
    assert not [g for each in sections(plan).values() for s in each for g in s.gaps if "plane" in g.name]
