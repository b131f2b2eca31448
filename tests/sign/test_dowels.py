"""Dowels far apart and clear of everything; pins that only one turn fits."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, box

from signplan.job.shop import IndexPins
from signplan.sign.dowels import CUT_PATH, place_pins, upside_down_fits
from signplan.sign.register import is_ambiguous

DOWELS = "[dowels]\ndiameter = 10\ndepth = 15\ncount = {}\n"
BAR = """
[[hardware]]
name = "bar"
clearance = 1
[[hardware.part]]
shape = "flat"
size = [540, 20]
thickness = 10
center = [290, 45]
"""


def places(judged):
    return [(dowel.x, dowel.y) for dowel in judged.sign.panels[0].dowels]


def test_both_panels_have_the_same_dowels(judge):
    a, b = judge(DOWELS.format(4)).sign.panels
    assert a.dowels == b.dowels
    assert len(a.dowels) == 4


def test_they_are_as_far_apart_as_the_sign_allows(judge):
    """Wall 20 and radius 5: the farthest places are 25 in from the corners (0, 400) and (600, 0)."""
    longest = max(math.dist(p, q) for p, q in itertools.combinations(places(judge(DOWELS.format(4))), 2))
    assert longest == pytest.approx(math.dist((25, 375), (575, 25)), abs=0.5)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 6, 8])
def test_they_keep_clear_of_edge_and_pockets(judge, count):
    judged = judge(BAR + DOWELS.format(count))
    assert "dowel-blocked" not in judged.codes
    found = places(judged)
    assert len(found) == count
    for place in found:
        assert judged.sign.outline.boundary.distance(Point(place)) >= 25
        assert judged.sign.panels[0].pockets[0].as_cut.distance(Point(place)) >= 15
    assert all(math.dist(p, q) >= 20 for p, q in itertools.combinations(found, 2))


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_they_are_never_the_same_after_a_half_turn(judge, count):
    judged = judge(DOWELS.format(count), outline=box(0, 0, 600, 400))
    assert not upside_down_fits(places(judged), judged.sign, 10.0)
    assert "dowels-symmetric" not in judged.codes


def test_they_keep_out_from_under_deep_carving(judge):
    text = '[[carve]]\nside = "B"\nas = "lower"\nart = { file = "face.dxf", layer = "SUNK" }\ndepth = 18\n'
    judged = judge(text + DOWELS.format(4), SUNK=box(0, 0, 600, 120))
    assert judged.codes == set()
    assert min(y for _, y in places(judged)) >= 120 + 5 + (10**2 - 7**2) ** 0.5


def test_fewer_are_placed_where_there_is_no_room(judge):
    judged = judge(DOWELS.format(4), outline=box(0, 0, 51, 400))
    assert len(places(judged)) == 4
    tight = judge(DOWELS.format(4), outline=box(0, 0, 49, 400))
    assert places(tight) == []
    assert tight.the("dowel-blocked").message.startswith("There is room for 0 dowels; the job asks for 4.")


def test_stated_places_are_kept(judge):
    text = DOWELS.format(2) + "at = [[100, 100], [500, 120]]\nclearance = 0.2\n"
    dowels = judge(text).sign.panels[1].dowels
    assert [(d.x, d.y, d.clearance) for d in dowels] == [(100, 100, 0.2), (500, 120, 0.2)]


PINS = IndexPins(diameter=8.0)


def triples(pins):
    return tuple((pin.x, pin.y, pin.diameter) for pin in pins)


@given(
    st.floats(200, 900),
    st.floats(200, 900),
    st.floats(40, 80),
    st.floats(-15, 15),
    st.floats(-15, 15),
    st.sampled_from(["side", "end"]),
)
def test_pins_stand_in_the_waste_on_the_axis_and_fit_one_turn_only(wide, deep, border, dx, dy, turn):
    keep = MultiPolygon([box(border + dx, border + dy, wide + border + dx, deep + border + dy)])
    blank = wide + 2 * border, deep + 2 * border
    pins = place_pins(blank, turn, keep, PINS)
    assert len(pins) == 2
    for pin in pins:
        assert keep.distance(Point(pin.x, pin.y)) >= 4 + CUT_PATH - 1e-6
        assert (pin.x if turn == "side" else pin.y) == pytest.approx(blank[0 if turn == "side" else 1] / 2)
    assert not is_ambiguous(triples(pins), blank, turn)


def test_pins_are_as_far_apart_as_they_can_be():
    pins = place_pins((400.0, 300.0), "side", MultiPolygon([box(60, 60, 340, 240)]), PINS)
    low, high = sorted(pin.y for pin in pins)
    assert low == pytest.approx(8.0)
    assert 300 - high == pytest.approx(16.0, abs=1e-3)


def test_a_narrow_border_has_no_room_for_pins():
    assert place_pins((300.0, 200.0), "side", MultiPolygon([box(15, 15, 285, 185)]), PINS) == ()


def test_a_wider_cut_out_cutter_keeps_the_pins_farther_away():
    keep = MultiPolygon([box(30, 30, 270, 170)])
    assert len(place_pins((300.0, 200.0), "side", keep, PINS)) == 2
    assert place_pins((300.0, 200.0), "side", keep, PINS, path=14.0) == ()
