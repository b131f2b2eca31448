"""The graph of fits of a whole sign: paths as a person would spell them out, and what follows."""

import math
import tomllib
from dataclasses import replace

import networkx as nx
import pytest

from signplan.job.shop import Tool
from signplan.sign.fits import Fit
from signplan.sign.location import BY_HAND, graph_of_fits, play, stacks
from signplan.sign.setups import Layout, lay_out

BAR = """
[[hardware]]
name = "bar"
clearance = 1
split = "{}"
[[hardware.part]]
shape = "flat"
size = [120, 30]
thickness = 10
center = [300, 150]
"""
DOWELS = "[dowels]\ndiameter = 10\ndepth = 15\nat = [[40, 40], [560, 260]]\nclearance = 0.08\n"
CARVE = '[[carve]]\nside = "A"\nas = "edge"\n'
TWO = Layout(blanks="two", turn="side", cutout="outer")


@pytest.fixture
def sign(judge):
    return judge(BAR.format("both") + CARVE + DOWELS).sign


def laid(sign, shop, layout=TWO):
    setups, _ = lay_out(sign, layout, bed=shop.machine.bed, pins=shop.index_pins)
    return setups


def found(sign, shop, layout=TWO):
    return stacks(sign, shop, laid(sign, shop, layout))


def words(stack):
    return tuple(share.words for share in stack.path)


def named(found, start):
    (only,) = [stack for stack in found if stack.name.startswith(start)]
    return only


def test_pocket_to_pocket_goes_by_the_dowels(sign, shop):
    """0.05 for each of two pockets and two sets of holes, 0.04 for the dowel in each: 0.28 at worst."""
    stack = named(found(sign, shop), "bar, pocket in A to")
    assert words(stack) == (
        "pocket of bar cut in A",
        "dowel holes bored in A",
        "dowels in A",
        "dowels in B",
        "dowel holes bored in B",
        "pocket of bar cut in B",
    )
    assert stack.worst == pytest.approx(4 * 0.05 + 2 * 0.04, rel=0.02)
    assert stack.rss < stack.sampled < stack.worst
    assert stack.kind == "pockets"


def test_play_is_half_of_that(sign, shop):
    every = found(sign, shop)
    assert play(every) == {"bar": named(every, "bar, pocket in A to").worst / 2}


@pytest.mark.parametrize("panel", ["A", "B"])
def test_an_item_in_one_panel_has_no_second_pocket_to_be_out_from(judge, shop, panel):
    sign = judge(BAR.format(panel) + DOWELS).sign
    assert play(found(sign, shop)) == {}
    assert named(found(sign, shop), "bar").name == f"bar in its pocket, to the outline of {panel}"


def test_steel_may_lie_anywhere_in_its_pocket(sign, shop):
    """Its clearance, the cut of the pocket, and the turn that the outline is cut after."""
    stack = named(found(sign, shop), "bar in its pocket")
    assert words(stack) == (
        "play of bar in its pocket",
        "pocket of bar cut in A",
        "index holes bored in blank A",
        "index pins in blank A",
        "index pins in the bed under blank A",
        "outline of A cut",
    )
    assert stack.largest == "play of bar in its pocket"
    assert stack.path[0].allowance == 1.0
    assert stack.worst == pytest.approx(sum(share.allowance for share in stack.path))
    assert stack.worst > 1.0 + 5 * 0.05


def test_an_outline_cut_from_the_outer_face_brings_the_turn_into_the_seam(sign, shop):
    outer = named(found(sign, shop), "seam")
    inner = named(found(sign, shop, replace(TWO, cutout="inner")), "seam")
    assert "index pins in blank A" in words(outer)
    assert not any("index" in each for each in words(inner))
    assert outer.worst - inner.worst >= 2 * (0.05 + 0.05 + 0.05)


def test_a_carving_cut_in_the_outlines_own_setup_is_close_to_it(sign, shop):
    same = named(found(sign, shop), "carving to outline, side A")
    other = named(found(sign, shop, replace(TWO, cutout="inner")), "carving")
    assert words(same) == ("face of A carved", "outline of A cut")
    assert same.worst == pytest.approx(0.1)
    assert other.worst > same.worst


def test_only_a_side_that_is_carved_is_compared(sign, shop):
    assert not [stack for stack in found(sign, shop) if "side B" in stack.name]


@pytest.mark.parametrize("blanks", ["one", "two"])
def test_panels_of_one_blank_are_cut_apart_before_they_are_glued(sign, shop, blanks):
    """The machine that cut both locates neither from the other: the dowels do."""
    assert "dowels in A" in words(named(found(sign, shop, replace(TWO, blanks=blanks)), "seam"))


def test_without_dowels_the_panels_are_lined_up_by_hand(judge, shop):
    stack = named(found(judge(BAR.format("both")).sign, shop), "seam")
    assert stack.largest == "panels lined up by hand"
    assert stack.worst > BY_HAND


@pytest.mark.parametrize(("blanks", "worst"), [("one", [2.0]), ("two", [1.0, 1.0])])
def test_turning_against_edge_stops_puts_the_size_of_the_blank_into_the_seam(sign, shop, blanks, worst):
    """Two blanks are out each for itself; one blank moves its panels opposite ways across the turn."""
    layout = Layout(blanks=blanks, turn="side", cutout="outer", locate="edge stops")
    seam = named(found(sign, _sawn(shop, 1.0), layout), "seam")
    sizes = [share.allowance for share in seam.path if share.words.startswith("size of blank")]
    assert sizes == pytest.approx(worst)
    assert seam.largest.startswith("size of blank")


def test_the_size_of_one_blank_turned_end_over_end_moves_both_edges_alike(sign, shop):
    """So it is not in the seam; it is in what the outline is out from the pockets."""
    layout = Layout(blanks="one", turn="end", cutout="outer", locate="edge stops")
    every = found(sign, _sawn(shop, 1.0), layout)
    size = {share.words: share.allowance for share in named(every, "seam").path}["size of blank AB"]
    assert size == pytest.approx(0, abs=1e-12)
    size = {share.words: share.allowance for share in named(every, "bar in").path}["size of blank AB"]
    assert size == pytest.approx(1.0)


def _sawn(shop, error):
    return shop.model_copy(update={"holding": shop.holding.model_copy(update={"blank_error": error})})


def test_every_feature_hangs_together(sign, shop):
    graph = graph_of_fits(sign, shop, laid(sign, shop))
    assert nx.is_tree(graph)
    assert all(isinstance(fit, Fit) for _, _, fit in graph.edges(data="fit"))


def test_the_same_stacks_every_time(sign, shop):
    assert found(sign, shop) == found(sign, shop)


def test_a_border_with_no_room_for_pins_leaves_the_turn_to_the_eye(sign, shop):
    seam = named(found(replace(sign, border=12.0), shop), "seam")
    assert "blank A turned without pins" in words(seam)
    assert seam.worst > 2 * BY_HAND


@pytest.mark.parametrize("blanks", ["one", "two"])
def test_pins_lie_in_the_waste_seen_from_the_sign_too(sign, shop, blanks):
    """Each panel sees the pins from its own place on the blank: below and above it, or beside it."""
    graph = graph_of_fits(sign, shop, laid(sign, shop, replace(TWO, blanks=blanks)))
    for panel in "AB":
        fit = graph.edges[f"index holes beside {panel}", f"index pins beside {panel}"]["fit"]
        seen = sorted((fit.placement.inverse().point(*pin) for pin in fit.pair), key=lambda place: place[1])
        (low, high) = seen
        assert low[1] < 0
        assert high[1] > 400
        assert all(x == pytest.approx(300) if blanks == "two" else not 0 < x < 600 for x, _ in seen)


def test_pockets_do_not_care_how_the_blank_was_turned(sign, shop):
    """Pockets and dowel holes are cut in one hold: one blank or two, pins or stops are all the same."""
    ways = [
        Layout(blanks=blanks, turn="side", cutout="outer", locate=locate)
        for blanks in ("one", "two")
        for locate in ("index pins", "edge stops")
    ]
    figures = {named(found(sign, shop, way), "bar, pocket in A to").worst for way in ways}
    assert len(figures) == 1


def test_the_larger_the_blank_the_farther_its_panels_from_the_pins(sign, shop):
    """On one blank the panels lie beside the line of the pins, on blanks of their own across it."""
    one, two = (named(found(sign, shop, replace(TWO, blanks=blanks)), "seam") for blanks in ("one", "two"))
    assert len(one.path) == len(two.path) - 3
    assert one.worst > two.worst


ROD = """
[[hardware]]
name = "rod"
clearance = 0.8
bottom = "round"
[[hardware.part]]
shape = "round"
diameter = 9.525
from = [150, 200]
to = [450, 200]
z = {}
"""
NUT = """
[[hardware.part]]
shape = "hex"
across_flats = 19
at = [300, 200]
along = [1, 0]
thickness = 10
"""
BALL = """
[[tool]]
number = 8
id = "ball"
shape = "ball"
diameter = 19.05
flutes = 2
cutting_length = 50
reach = 60
"""


@pytest.fixture
def with_ball(shop):
    ball = Tool.model_validate(tomllib.loads(BALL)["tool"][0], context={"units": "mm"})
    return shop.model_copy(update={"tools": (*shop.tools, ball)})


def rod_play(judge, shop, text):
    stack = named(found(judge(text + DOWELS, shop=shop).sign, shop), "rod in its pocket")
    (share,) = [each for each in stack.path if each.words == "play of rod in its pocket"]
    return share.allowance


@pytest.mark.parametrize("z", [2.38125, -2.38125])
def test_a_rod_is_as_loose_as_its_channel_is_wide(judge, with_ball, z):
    """A 3/4 in ball, its tip 0.8 below a rod of 3/8: half a chord of the circle, less half of the rod."""
    below = 2.38125 - (2.38125 + 4.7625 + 0.8 - 9.525)
    loose = math.sqrt(9.525**2 - below**2) - 4.7625
    assert loose == pytest.approx(0.1535 * 25.4, abs=1e-3)
    assert rod_play(judge, with_ball, ROD.format(z)) == pytest.approx(loose, abs=1e-3)


def test_a_nut_in_its_flat_pocket_holds_the_rod(judge, with_ball):
    assert rod_play(judge, with_ball, ROD.format(0) + NUT) == pytest.approx(0.8, abs=1e-3)


def test_a_rod_in_a_flat_pocket_has_its_clearance(judge, shop):
    flat = ROD.format(2.38125).replace('bottom = "round"', "")
    assert rod_play(judge, shop, flat) == pytest.approx(0.8, abs=1e-3)
