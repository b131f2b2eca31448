"""Setups: every panel of every blank lies where the same board really lies, before and after its turn."""

import re
from dataclasses import replace
from itertools import product

import pytest
from shapely import Point, Polygon

from signplan.findings import Finding
from signplan.job.shop import IndexPins
from signplan.sign.model import PanelPlan, Sign
from signplan.sign.register import is_ambiguous, turned, view
from signplan.sign.setups import Layout, Setup, lay_out, why_refused

OUTLINE = Polygon([(0, 0), (900, 0), (900, 350), (600, 600), (0, 600)])
SIGN = Sign(
    outline=OUTLINE,
    thickness=38.0,
    panels=(PanelPlan(id="A", outline=OUTLINE), PanelPlan(id="B", outline=OUTLINE)),
    border=40.0,
)
BED = (3000.0, 1500.0)
WITNESS = (700.0, 120.0)
LAYOUTS = [
    Layout(blanks=blanks, turn=turn, cutout=cutout)
    for blanks, turn, cutout in product(("one", "two"), ("side", "end"), ("outer", "inner"))
]


def laid(layout: Layout, bed: tuple[float, float] = BED) -> tuple[Setup, ...]:
    setups, findings = lay_out(SIGN, layout, bed=bed, pins=IndexPins())
    assert findings == ()
    return setups


@pytest.mark.parametrize("layout", LAYOUTS)
def test_each_panel_shows_each_face_once(layout):
    shown = [(panel, setup.face) for setup in laid(layout) for panel in setup.panels]
    assert sorted(shown) == sorted(product("AB", ("inner", "outer")))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_face_that_is_cut_out_comes_last(layout):
    for blank in {setup.blank_id for setup in laid(layout)}:
        faces = [setup.face for setup in laid(layout) if setup.blank_id == blank]
        assert faces[-1] == layout.cutout
        assert [setup.cuts_out for setup in laid(layout) if setup.blank_id == blank] == [False, True]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_panel_lies_after_the_turn_where_the_turn_took_it(layout):
    setups = laid(layout)
    for first, second in zip(setups[::2], setups[1::2], strict=True):
        for panel in first.panels:
            before = first.placement(panel).point(*WITNESS)
            over = turned(first.blank[:2], layout.turn)
            assert second.placement(panel).point(*WITNESS) == pytest.approx(over.point(*before), abs=1e-6)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_face_seen_from_the_glue_plane_up_is_mirrored_exactly_if_its_view_is(layout):
    for setup in laid(layout):
        for panel in setup.panels:
            assert setup.placement(panel).determinant == view(panel, setup.face, SIGN.width).determinant
            assert setup.from_view(panel, SIGN.width).determinant == 1


@pytest.mark.parametrize("layout", LAYOUTS)
def test_panels_lie_inside_the_border_and_clear_of_each_other(layout):
    for setup in laid(layout):
        waste = Polygon([(0, 0), (setup.blank[0], 0), setup.blank[:2], (0, setup.blank[1])]).exterior
        outlines = [setup.placement(panel).shape(OUTLINE) for panel in setup.panels]
        assert all(outline.distance(waste) == pytest.approx(SIGN.border) for outline in outlines)
        if len(outlines) == 2:
            assert outlines[0].distance(outlines[1]) >= SIGN.border - 1e-9


@pytest.mark.parametrize("layout", LAYOUTS)
def test_index_pins_lie_on_the_turning_axis_in_the_waste_and_allow_one_turn_only(layout):
    for setup in laid(layout):
        assert len(setup.pins) == 2
        pins = tuple((pin.x, pin.y, pin.diameter) for pin in setup.pins)
        over = turned(setup.blank[:2], layout.turn)
        for pin in setup.pins:
            assert over.point(pin.x, pin.y) == pytest.approx((pin.x, pin.y), abs=1e-6)
            for panel in setup.panels:
                hole = Point(pin.x, pin.y).buffer(pin.diameter / 2)
                assert hole.disjoint(setup.placement(panel).shape(OUTLINE))
        assert not is_ambiguous(pins, setup.blank[:2], layout.turn)


def test_both_setups_of_a_blank_use_the_same_pins():
    for layout in LAYOUTS:
        for first, second in zip(laid(layout)[::2], laid(layout)[1::2], strict=True):
            assert first.pins == second.pins


def test_two_panels_lie_one_above_the_other_where_only_that_fits_the_bed():
    layout = Layout(blanks="one", turn="side", cutout="outer")
    assert laid(layout)[0].blank[:2] == (2 * 900 + 3 * 40, 600 + 2 * 40)
    assert laid(layout, bed=(1200.0, 1500.0))[0].blank[:2] == (900 + 2 * 40, 2 * 600 + 3 * 40)


NOTCHED = Polygon([(0, 0), (900, 0), (820, 300), (900, 600), (0, 600), (80, 300)])
"""Waste enough for pins half way up each side, where only end over end puts the axis."""


def tried(
    layout: Layout, outline: Polygon = NOTCHED, bed: tuple[float, float] = BED
) -> tuple[str, list[Finding]]:
    """Why the sign with a border of 12 cannot be laid out so, and the findings."""
    panels = (PanelPlan(id="A", outline=outline), PanelPlan(id="B", outline=outline))
    sign = Sign(outline=outline, thickness=38.0, panels=panels, border=12.0)
    setups, findings = lay_out(sign, layout, bed=bed, pins=IndexPins())
    return why_refused(setups, bed), list(findings)


@pytest.mark.parametrize(
    ("blanks", "turn", "locate", "bed", "why"),
    [
        ("two", "end", "index pins", BED, ""),
        ("two", "side", "index pins", BED, "no room for two index pins"),
        ("two", "side", "edge stops", BED, ""),
        ("two", "side", "index pins", (500.0, 500.0), "blank A is larger than the bed"),
        ("one", "end", "edge stops", (500.0, 500.0), "blank AB is larger than the bed"),
    ],
)
def test_a_layout_is_refused_off_the_bed_and_without_room_for_its_pins(blanks, turn, locate, bed, why):
    layout = Layout(blanks=blanks, turn=turn, cutout="outer", locate=locate)
    assert tried(layout, bed=bed)[0] == why


def test_each_blank_without_room_for_its_pins_is_named_once():
    found = tried(Layout(blanks="two", turn="side", cutout="outer"))[1]
    assert [each.code for each in found] == ["pins-blocked"] * 2
    assert [each.message.split(" of ")[0] for each in found] == [
        "Blank A, 924.0 mm by 624.0 mm, has no room for two index pins",
        "Blank B, 924.0 mm by 624.0 mm, has no room for two index pins",
    ]
    (one,) = tried(Layout(blanks="one", turn="end", cutout="outer"), OUTLINE)[1]
    assert one.message.startswith("Blank AB, 1836.0 mm by 624.0 mm, has no room for two index pins of ")


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("outline", [OUTLINE, NOTCHED], ids=["plain", "notched"])
def test_another_layout_is_offered_only_where_its_pins_have_room(layout, outline):
    """What the hint says, read as the job file would be, has nothing more to find."""
    layouts = {each: tried(each, outline)[1] for each in LAYOUTS if each.cutout == layout.cutout}
    for finding in layouts[layout]:
        offered = finding.hint.removeprefix("This would do (work): ").split('locate = "edge stops"')[0]
        choices = dict(re.findall(r'(\w+) = "(\w+)"', offered))
        if choices:
            assert layouts[replace(layout, **choices)] == []
        else:
            assert all(layouts.values())
        assert finding.hint.endswith('locate = "edge stops". Or widen the border.')
    assert tried(replace(layout, locate="edge stops"), outline) == ("", [])


def test_the_other_turn_is_offered_where_it_would_do():
    found = tried(Layout(blanks="two", turn="side", cutout="outer"))[1]
    said = 'This would do (work): turn = "end"; or locate = "edge stops". Or widen the border.'
    assert {each.hint for each in found} == {said}


def test_assembly_positions_come_back_through_the_inverse_placement():
    for layout in LAYOUTS:
        for setup in laid(layout):
            for panel in setup.panels:
                placement = setup.placement(panel)
                assert placement.inverse().point(*placement.point(*WITNESS)) == pytest.approx(
                    WITNESS, abs=1e-9
                )
