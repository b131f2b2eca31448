"""Fits and stacks against published formulas and worked examples. Inches where the source is in inches.

Sources: ASME Y14.5, appendix on fixed and floating fasteners: the formulas as quoted in trade forums, the
section numbers from memory. Worked stacks: two tolerance-analysis teaching pages that agree. The lever arm of
two pins and their binding: derived from the geometry, and fixture practice.
"""

import math

import numpy as np
import pytest
from shapely import MultiPolygon, box

from signplan.geometry.precision import SAME
from signplan.job.shop import IndexPins, Machine
from signplan.job.stock import look_up
from signplan.sign.dowels import place_pins
from signplan.sign.fits import Fit, pins_bind, sampled, stack_up
from signplan.sign.location import heat, play
from signplan.sign.register import is_ambiguous, on_table, view

HERE = np.zeros((1, 2))


def chain(*shifts, item="bolt"):
    """Features each located from the one before."""
    fits = [Fit(words=f"fit {k}", shift=shift) for k, shift in enumerate(shifts)]
    return stack_up(fits, HERE, name="ends", kind="pockets", item=item)


@pytest.mark.parametrize(("fastener", "tolerance", "hole"), [(0.250, 0.020, 0.270), (0.250, 0.031, 0.281)])
def test_floating_fastener(fastener, tolerance, hole):
    """ASME Y14.5, floating fastener: H = F + T, each hole within a zone of diameter T."""
    stack = chain(tolerance / 2, tolerance / 2)
    clearance_each_side = play([stack])["bolt"]
    assert fastener + 2 * clearance_each_side == pytest.approx(hole, abs=1e-9)


@pytest.mark.parametrize(
    ("fastener", "first", "second", "hole"),
    [(0.250, 0.010, 0.010, 0.270), (0.250, 0.0155, 0.0155, 0.281), (0.250, 0.008, 0.012, 0.270)],
)
def test_fixed_fastener(fastener, first, second, hole):
    """ASME Y14.5, fixed fastener: H = F + T1 + T2. The pin cannot find its own place: all of it counts."""
    stack = chain(first / 2, second / 2)
    assert fastener + 2 * stack.worst == pytest.approx(hole, abs=1e-9)


def test_fixed_fastener_out_of_square_without_a_projected_zone():
    """ASME Y14.5: H = F + T1 + T2 (1 + 2 P / D); F .25, T1 .010, T2 .005, P .75, D .5 -> .280.

    The pin is held over the depth D, as by two supports D apart; P beyond it the arm has grown its error.
    """
    depth, beyond = 0.5, 0.75
    pin = Fit(words="pin in its hole", shift=0.005 / 2, pair=((0.0, 0.0), (depth, 0.0)))
    (at_the_far_face,) = pin.at(np.array([[depth + beyond, 0.0]]))
    assert 0.25 + 0.010 + 2 * at_the_far_face == pytest.approx(0.280, abs=1e-9)


@pytest.mark.parametrize(
    ("clearance", "apart", "away", "offset"),
    [(0.008, 40, 30, 0.006), (0.008, 40, 10, 0.004), (0.1, 900, 700, 0.0777778)],
)
def test_worst_offset_on_the_line_of_two_pins(clearance, apart, away, offset):
    """max(c / 2, c r / L) at r from the middle of two pins L apart with diametral clearance c; derived."""
    fit = Fit(words="pins", shift=clearance / 2, pair=((0.0, 0.0), (apart, 0.0)))
    assert fit.at(np.array([[apart / 2 + away, 0.0]]))[0] == pytest.approx(offset, rel=1e-6)


@pytest.mark.parametrize(("first", "second", "turn"), [(0.008, 0.008, 2.0e-4), (0.008, 0.020, 3.5e-4)])
def test_turn_that_two_pins_allow(first, second, turn):
    """theta = (c1 + c2) / (2 L), L 40; derived. Far away the offset is that angle times the distance."""
    fit = Fit(words="pins", shift=(first + second) / 4, pair=((0.0, 0.0), (40.0, 0.0)))
    assert fit.at(np.array([[1e9, 0.0]]))[0] / 1e9 == pytest.approx(turn, rel=1e-6)


@pytest.mark.parametrize("place", [(-30.0, 7.0), (20.0, 55.0), (90.0, -12.0), (20.0, 0.0)])
def test_two_pins_against_trying_every_way_they_can_sit(place):
    """Neither hole may be off its pin by more than the shift: search all moves and turns that obey."""
    apart, shift = 40.0, 0.004
    fit = Fit(words="pins", shift=shift, pair=((0.0, 0.0), (apart, 0.0)))
    angle = np.linspace(-2 * shift / apart, 2 * shift / apart, 201)[:, None, None]
    way = np.linspace(0, 2 * np.pi, 181)[None, :, None]
    far = np.linspace(0, shift, 51)[None, None, :]
    dx, dy = far * np.cos(way), far * np.sin(way)
    allowed = np.hypot(dx, np.abs(dy) + np.abs(angle) * apart / 2) <= shift * (1 + 1e-12)
    x, y = place[0] - apart / 2, place[1]
    moved = np.hypot(dx - angle * y, dy + angle * x)
    found = moved[allowed].max()
    assert fit.at(np.array([place]))[0] == pytest.approx(found, rel=0.02)
    assert fit.at(np.array([place]))[0] >= found * (1 - 1e-9)


@pytest.mark.parametrize("turn", ["side", "end"])
@pytest.mark.parametrize("pins", [True, False])
def test_an_error_that_two_panels_share_against_moving_their_blank(turn, pins):
    """Two panels lie on one blank. Move and turn the blank by every error that is allowed, look where a
    corner of either panel comes to lie in the assembly frame, and take the difference.
    """
    shift, apart, spot = 0.05, 500.0, np.array([[310.0, 240.0]])
    width, wide = 320.0, 760.0
    placements = [
        on_table(view(panel, "inner", width), at) for panel, at in (("A", (40, 60)), ("B", (400, 60)))
    ]
    pair = (
        ((wide / 2, 20.0), (wide / 2, 20.0 + apart)) if turn == "side" else ((130.0, 200.0), (630.0, 200.0))
    )
    along = None if pins else ((1.0, 0.0) if turn == "side" else (0.0, 1.0))
    fits = [
        Fit(words="blank", shift=shift, pair=pair if pins else None, along=along, placement=placement)
        for placement in placements
    ]
    (share,) = stack_up(fits, spot, name="corner to corner", kind="seam").path
    moves = _pinned_moves(shift, apart, turn) if pins else [(shift * along[0], shift * along[1], 0.0)]
    middle = np.mean(pair, axis=0)
    worst = 0.0
    for dx, dy, angle in moves:
        ends = []
        for placement in placements:
            at = placement.path(spot)[0]
            away = at - middle
            moved = at + np.array([dx - angle * away[1], dy + angle * away[0]])
            ends.append(placement.inverse().path(moved[None])[0])
        worst = max(worst, math.dist(*ends))
    assert share.allowance == pytest.approx(worst, rel=2e-3, abs=1e-12)


def _pinned_moves(shift, apart, turn):
    """Moves and turns of a blank that leave both holes within `shift` of their pins."""
    for way in np.linspace(0, 2 * np.pi, 241):
        for part in np.linspace(0, 1, 5):
            along, across = shift * math.cos(way), shift * math.sin(way)
            angle = 2 * part * across / apart
            slide = (1 - part) * across
            yield (slide, along, angle) if turn == "side" else (along, slide, angle)


@pytest.mark.parametrize(("clearances", "bind"), [((0.008, 0.008), True), ((0.008, 0.020), False)])
def test_two_round_pins_bind_on_the_error_of_their_distance(clearances, bind):
    """They enter if (c1 + c2) / 2 takes up an error of .010 in their centre distance; derived."""
    assert pins_bind(0.010, clearances) == bind


@pytest.mark.parametrize(
    ("parts", "worst", "likely"),
    [((0.10, 0.05, 0.03, 0.05), 0.23, 0.126095), ((0.005, 0.003, 0.002, 0.005), 0.015, 0.0079373)],
)
def test_worst_case_and_root_sum_square(parts, worst, likely):
    """Worked stacks of two teaching pages: 40 +/-.10 - 25 +/-.05 - 2 +/-.03 - 10 +/-.05; one in inches."""
    stack = chain(*parts)
    assert stack.worst == pytest.approx(worst, rel=1e-5)
    assert stack.rss == pytest.approx(likely, rel=1e-4)
    assert stack.largest == f"fit {int(np.argmax(parts))}"


def test_the_sampled_figure_agrees_with_root_sum_square_where_theory_says_so():
    """Many equal errors, each anywhere in its disc: their sum is Rayleigh with sigma^2 = sum(t^2) / 4, whose
    99 % point is sqrt(2 ln 100) sigma = sqrt(ln(100) / 2) times the root-sum-square."""
    parts = np.full(40, 0.1)
    expected = math.sqrt(math.log(100) / 2) * float(np.linalg.norm(parts))
    assert sampled(parts) == pytest.approx(expected, rel=0.03)


def test_a_single_error_is_sampled_as_its_disc():
    """99 % of a disc of radius t lies within sqrt(.99) t."""
    assert sampled(np.array([2.0])) == pytest.approx(2 * math.sqrt(0.99), rel=2e-3)


def test_errors_along_one_line_are_sampled_along_it():
    """One of +/- t stays within .99 t; two add up to a triangle, 2 t (1 - sqrt(.01)) = 1.8 t; elementary."""
    assert sampled(np.array([2.0]), straight=[True]) == pytest.approx(1.98, rel=5e-3)
    assert sampled(np.array([2.0, 2.0]), straight=[True, True]) == pytest.approx(3.6, rel=0.02)


def test_the_same_sample_every_time():
    parts = np.array([0.1, 0.2, 0.05])
    assert sampled(parts) == sampled(parts)


# ISO 286, limit deviations in micrometres for nominal sizes over and up to, mm: m6 and H7 as two fastener
# tolerance tables have them, h6 and g6 from memory where only one has them. Dowel pins are m6 (ISO 2338, ISO
# 8734), which in an H7 hole is a transition fit.
ISO_286 = {
    "m6": {(3, 6): (4, 12), (6, 10): (6, 15), (10, 18): (7, 18)},
    "h6": {(3, 6): (-8, 0)},
    "g6": {(3, 6): (-12, -4)},
    "H7": {(3, 6): (0, 12), (6, 10): (0, 15), (10, 18): (0, 18)},
}


def limits(diameter, grade):
    """Least and greatest size, mm; a nominal size of 6 belongs to the step over 3 up to 6."""
    (step,) = (d for (low, high), d in ISO_286[grade].items() if low < diameter <= high)
    return tuple(diameter + deviation / 1000 for deviation in step)


@pytest.mark.parametrize(
    ("diameter", "pin", "clearance", "interference"),
    [
        (6, "m6", 0.008, 0.012),
        (8, "m6", 0.009, 0.015),
        (10, "m6", 0.009, 0.015),
        (12, "m6", 0.011, 0.018),
        (6, "h6", 0.020, 0.0),
        (6, "g6", 0.024, -0.004),
    ],
)
def test_dowel_pins_in_reamed_holes(diameter, pin, clearance, interference):
    """The greatest clearance is what locates; the largest pin is the one that the tables of stock have."""
    least, most = limits(diameter, pin)
    hole_least, hole_most = limits(diameter, "H7")
    assert hole_most - least == pytest.approx(clearance, abs=1e-9)
    assert most - hole_least == pytest.approx(interference, abs=1e-9)
    if pin == "m6":
        listed = look_up(f"dowel pin {diameter} mm").diameter
        assert listed - hole_least == pytest.approx(interference, abs=1e-9)
    fit = Fit(words="pins", shift=(hole_most - least) / 2, pair=((0.0, 0.0), (40.0, 0.0)))
    assert fit.at(np.array([[20.0, 0.0]]))[0] == pytest.approx(clearance / 2, rel=1e-9)
    assert fit.at(np.array([[50.0, 0.0]]))[0] == pytest.approx(clearance * 30 / 40, rel=1e-9)


def test_a_pocket_for_the_iso_pin_takes_the_inch_series_one():
    """ASME B18.8.5M, a catalogue's table: the 6 mm pin measures 6.003 to 6.009."""
    assert look_up("dowel pin 6 mm").diameter >= 6.009


def test_routed_holes_are_no_h7():
    """Common practice: a router holds .05 to .13 mm; the hole, not the pin, decides what a dowel locates.

    The shop's own figure is the machine's repeatability, 0.05 unless it says more; H7 on 6 mm is .012.
    """
    machine = Machine.model_fields["repeatability"].default
    assert 0.05 <= machine <= 0.13
    assert machine > limits(6, "H7")[1] - 6


def test_an_interface_of_pins_alone_and_one_through_bored_holes():
    """A pin in two parts locates to its clearance; where its holes are bored too, their places add.

    A handbook of dimensioning, on interfaces of pins.
    """
    pin, hole = Fit(words="pin", shift=0.004), Fit(words="hole bored", shift=0.05)
    assert stack_up([pin], HERE, name="pin", kind="seam").worst == pytest.approx(0.004)
    assert stack_up([pin, hole], HERE, name="both", kind="seam").worst == pytest.approx(0.054)


def test_steel_and_board_grow_apart():
    """48 in over 30 F: board at 35e-6 .0504, steel at 6.5e-6 .00936, difference .04104 in.

    Expansion of board: a trade article; of steel: from memory.
    """
    degrees_c = 30 / 1.8
    assert heat(48.0, degrees_c) == pytest.approx(0.04104, rel=1e-4)


def test_pins_that_a_half_turn_also_fits_are_refused():
    """36 x 24, pins at (18, 2) and (18, 22): the same set after a half turn. At (18, 21) it misses by 1."""
    assert is_ambiguous(((18, 2, 0.25), (18, 22, 0.25)), (36, 24), "side")
    assert not is_ambiguous(((18, 2, 0.25), (18, 21, 0.25)), (36, 24), "side")


@pytest.mark.parametrize("turn", ["side", "end"])
def test_the_planner_places_pins_that_only_one_turn_fits(turn):
    """The mismatch is a pin diameter or more (common practice), and they stand over 80 % of the blank apart,
    as an article on two-sided machining asks."""
    pins = IndexPins(diameter=8.0)
    out = MultiPolygon([box(40, 40, 860, 560)])
    found = place_pins((900.0, 600.0), turn, out, pins)
    assert len(found) == 2
    assert not is_ambiguous(tuple((p.x, p.y, p.diameter) for p in found), (900.0, 600.0), turn)
    along = [p.y for p in found] if turn == "side" else [p.x for p in found]
    length = 600.0 if turn == "side" else 900.0
    assert abs(along[0] - (length - along[1])) >= 8.0 - SAME
    assert abs(along[1] - along[0]) >= 0.8 * length
    across = [p.x for p in found] if turn == "side" else [p.y for p in found]
    assert across == pytest.approx([450.0] * 2 if turn == "side" else [300.0] * 2)
