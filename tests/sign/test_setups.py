"""Setups: every panel of every blank lies where the same board really lies, before and after its turn."""

from itertools import product

import pytest
from shapely import Point, Polygon

from signplan.job.shop import IndexPins
from signplan.sign.model import PanelPlan, Sign
from signplan.sign.register import is_ambiguous, turned, view
from signplan.sign.setups import Layout, Setup, lay_out

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


def test_assembly_positions_come_back_through_the_inverse_placement():
    for layout in LAYOUTS:
        for setup in laid(layout):
            for panel in setup.panels:
                placement = setup.placement(panel)
                assert placement.inverse().point(*placement.point(*WITNESS)) == pytest.approx(
                    WITNESS, abs=1e-9
                )
