"""The graph of fits of a whole sign: paths as a person would spell them out, and what follows."""

from dataclasses import replace

import networkx as nx
import pytest
from shapely import box

from signplan.sign.location import BY_HAND, Fit, corners, graph_of_fits, play, schemes, stacks
from signplan.sign.setups import Layout

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


def named(found, start):
    (only,) = [stack for stack in found if stack.name.startswith(start)]
    return only


def test_pocket_to_pocket_goes_by_the_dowels(sign, shop):
    """0.05 for each of two pockets and two sets of holes, 0.04 for the dowel in each: 0.28 at worst."""
    stack = named(stacks(sign, shop, TWO), "bar")
    assert stack.path == (
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
    found = stacks(sign, shop, TWO)
    assert play(found) == {"bar": named(found, "bar").worst / 2}


@pytest.mark.parametrize("panel", ["A", "B"])
def test_an_item_in_one_panel_has_no_second_pocket_to_be_out_from(judge, shop, panel):
    sign = judge(BAR.format(panel) + DOWELS).sign
    assert play(stacks(sign, shop, TWO)) == {}


def test_an_outline_cut_from_the_outer_face_brings_the_turn_into_the_seam(sign, shop):
    outer = named(stacks(sign, shop, TWO), "seam")
    inner = named(stacks(sign, shop, Layout(blanks="two", turn="side", cutout="inner")), "seam")
    assert "index pins in the blank of A" in outer.path
    assert not any("index" in words for words in inner.path)
    assert outer.worst - inner.worst >= 2 * (0.05 + 0.05 + 0.05)


def test_a_carving_cut_in_the_outlines_own_setup_is_close_to_it(sign, shop):
    same = named(stacks(sign, shop, TWO), "carving to outline, side A")
    other = named(stacks(sign, shop, Layout(blanks="two", turn="side", cutout="inner")), "carving")
    assert same.path == ("face of A carved", "outline of A cut")
    assert same.worst == pytest.approx(0.1)
    assert other.worst > same.worst


def test_only_a_side_that_is_carved_is_compared(sign, shop):
    assert not [stack for stack in stacks(sign, shop, TWO) if "side B" in stack.name]


@pytest.mark.parametrize("blanks", ["one", "two"])
def test_panels_of_one_blank_are_cut_apart_before_they_are_glued(sign, shop, blanks):
    """The machine that cut both locates neither from the other: the dowels do."""
    path = named(stacks(sign, shop, Layout(blanks=blanks, turn="side", cutout="outer")), "seam").path
    assert "dowels in A" in path


def test_without_dowels_the_panels_are_lined_up_by_hand(judge, shop):
    stack = named(stacks(judge(BAR.format("both")).sign, shop, TWO), "seam")
    assert stack.largest == "panels lined up by hand"
    assert stack.worst > BY_HAND


def test_turning_against_edge_stops_puts_the_size_of_the_blank_into_the_seam(sign, shop):
    """Both panels are turned, so twice; about pins it does not matter."""
    ranked = schemes(sign, shop, TWO, blank_error=1.0)
    assert len(ranked) == 4
    assert [scheme.seam.worst for scheme in ranked] == sorted(scheme.seam.worst for scheme in ranked)
    worst = ranked[-1]
    assert (worst.locating, worst.layout.cutout) == ("edge stops", "outer")
    assert worst.seam.largest == "size of the blank, its other edge against the stops"
    assert worst.seam.worst > 2.0
    assert ranked[0].layout.cutout == "inner"


def test_every_feature_hangs_together(sign, shop):
    graph = graph_of_fits(sign, shop, TWO)
    assert nx.is_tree(graph)
    assert all(isinstance(fit, Fit) for _, _, fit in graph.edges(data="fit"))


def test_the_same_stacks_every_time(sign, shop):
    assert stacks(sign, shop, TWO) == stacks(sign, shop, TWO)


def test_a_wider_blank_with_pins_close_together_is_worse(sign, shop):
    """Beyond the pins an error grows with the lever arm."""
    near = Fit(words="pins", shift=0.05, pair=((0, 0), (100, 0)))
    far = Fit(words="pins", shift=0.05, pair=((-200, 0), (300, 0)))
    at = corners(box(-300, -200, 400, 200))
    assert near.at(at).max() > 3 * far.at(at).max()
    assert (far.at(at) >= 0.05).all()


def test_a_border_with_no_room_for_pins_leaves_the_turn_to_the_eye(sign, shop):
    seam = named(stacks(replace(sign, border=12.0), shop, TWO), "seam")
    assert "blank of A turned without pins" in seam.path
    assert seam.worst > 2 * BY_HAND


def test_a_fit_without_a_pair_does_not_turn():
    assert Fit(words="cut", shift=0.05).at(corners(box(0, 0, 900, 600))).tolist() == [0.05] * 5


@pytest.mark.parametrize("blanks", ["one", "two"])
def test_pins_lie_in_the_waste_seen_from_the_sign_too(sign, shop, blanks):
    """Each panel sees the pins from its own place on the blank: below and above it, or beside it."""
    layout = Layout(blanks=blanks, turn="side", cutout="outer")
    graph = graph_of_fits(sign, shop, layout)
    for panel in "AB":
        fit = graph.edges[f"index holes of {panel}", f"index pins under {panel}"]["fit"]
        low, high = sorted(fit.pair, key=lambda place: place[1])
        assert low[1] < 0
        assert high[1] > 400
        assert all(x == pytest.approx(300) if blanks == "two" else not 0 < x < 600 for x, _ in fit.pair)
