"""Cutting formulas against worked examples that are not ours.

Each value stands with where it comes from. "Trade page" is a worked example on a page of a tooling maker or
a calculator; "handbook" is the milling chapter of a machinist's handbook, from memory; "geometry" is derived
here from first principles. Inches are used where the source uses them.
"""

import math

import numpy as np
import pytest

from signplan.job.shop import Board, Machine, Tool
from signplan.operations.cutters import point_length
from signplan.timing.feeds import (
    EFFICIENCY,
    ball_diameter,
    chip_load,
    cutting_data,
    depth_derate,
    effective_diameter,
    feed_rate,
    power_kw,
    surface_speed,
    tangential_force,
    thinning,
)
from signplan.toolpaths.relief import row_step
from signplan.toolpaths.removal import underside

INCH = 25.4


def cutter(shape, diameter, **more):
    fields = {"number": 1, "id": "t", "flutes": 2, "cutting_length": 60.0, "reach": 70.0, **more}
    return Tool(shape=shape, diameter=diameter, **fields)


@pytest.mark.parametrize(
    ("rpm", "flutes", "chip", "per_minute"),
    [(18000, 2, 0.010, 360), (18000, 2, 0.1, 3600)],  # trade pages: in/min, mm/min
)
def test_feed(rpm, flutes, chip, per_minute):
    assert feed_rate(rpm, flutes, chip) * 60 == pytest.approx(per_minute, rel=1e-12)


def test_chip_load():
    # Trade page, which prints .017: 500 in/min, 15,000 rpm, two flutes.
    assert chip_load(500 / 60, 15000, 2) == pytest.approx(0.016667, abs=1e-6)


def test_surface_speed():
    # Handbook: pi D n / 12 in ft/min, pi D n / 1000 in m/min.
    assert surface_speed(0.5, 18000) * 60 / 12 == pytest.approx(2356.19, rel=1e-5)
    assert surface_speed(12.7, 18000) * 60 / 1000 == pytest.approx(718.17, rel=1e-5)


@pytest.mark.parametrize(
    ("share", "factor"),
    [(0.05, 0.43589), (0.1, 0.6), (0.2, 0.8), (0.3, 0.91652), (0.5, 1), (0.7, 1), (1, 1)],  # geometry
)
def test_chip_thinning(share, factor):
    assert thinning(share * 12.7, 12.7) == pytest.approx(factor, abs=1e-4)


def test_chip_thinning_worked_example():
    # Calculator page with method note: D .5, width .05, wanted chip .002 -> advance .0033333, 36.87 degrees.
    assert 0.002 / thinning(0.05, 0.5) == pytest.approx(0.0033333, rel=1e-4)
    assert math.degrees(math.acos(1 - 2 * 0.05 / 0.5)) == pytest.approx(36.87, abs=1e-2)


def test_chip_thinning_is_of_the_thickest_chip_and_not_of_the_mean():
    # A cutter catalogue prints the mean chip, sqrt(width / D): .31623 at a tenth. Mixing them is an error.
    assert thinning(0.1, 1) != pytest.approx(math.sqrt(0.1), rel=0.5)


@pytest.mark.parametrize(
    ("diameter", "depth", "tilt", "effective"),
    [
        (0.25, 0.02, 0, 0.135647),  # shop-maths article names the formula
        (6, 0.5, 0, 3.31662),  # the same
        (6, 0.5, 15, 4.49771),  # geometry
        (6, 3, 0, 6),  # in to its widest
        (6, 0.5, 80, 6),  # past the equator the whole cutter cuts
    ],
)
def test_ball_nose_effective_diameter(diameter, depth, tilt, effective):
    assert ball_diameter(diameter, depth, tilt=tilt) == pytest.approx(effective, rel=1e-5)


def test_stepover_for_a_scallop():
    # Calculator page: D 6, height .005 -> .346266. Another page divides stepover by radius and is wrong.
    step = row_step(cutter("ball", 6.0), 0.005)
    assert step == pytest.approx(0.346266, rel=1e-5)
    assert 3 - math.sqrt(9 - (step / 2) ** 2) == pytest.approx(0.005, rel=1e-9)
    assert step / 3 != pytest.approx(0.005, rel=1)


@pytest.mark.parametrize(("height", "step"), [(0.0104348, 0.5), (0.0104348 / 4, 0.25)])
def test_scallop_falls_with_the_square_of_the_step(height, step):
    # Two calculator pages: D 6, stepover .5 -> .0104348 mm; half the step leaves a quarter, to first order.
    assert row_step(cutter("ball", 6.0), height) == pytest.approx(step, rel=3e-3)


@pytest.mark.parametrize(
    ("chip", "diameters", "left"), [(0.02, 2, 0.015), (0.018, 3, 0.009), (0.02, 1, 0.02)]
)
def test_depth_derates_the_chip(chip, diameters, left):
    # Two router tooling charts: full at 1 D, 75 % at 2 D, 50 % at 3 D.
    assert chip * depth_derate(diameters * 12.7, 12.7) == pytest.approx(left, rel=1e-12)


@pytest.mark.parametrize(
    ("angle", "tip", "depth", "width"),
    [
        (60, 0, 0.25, 0.288675),  # geometry: width = tip + 2 depth tan(angle / 2)
        (90, 0, 0.25, 0.5),
        (30, 0, 0.25, 0.133975),
        (60, 0, 0.433013, 0.5),  # the same the other way round
        (60, 0.02, 0.242487, 0.3),
        (90, 0, 0.5, 1.0),  # as wide as the cutter
        (90, 0, 0.625, 1.0),  # and never wider: a stroke of 1.25 wants a flat bottom or a bigger cutter
    ],
)
def test_vee_width_at_depth(angle, tip, depth, width):
    vee = cutter("vee", 1.0 * INCH, angle=float(angle), tip=tip * INCH)
    assert effective_diameter(vee, depth * INCH) == pytest.approx(width * INCH, rel=1e-5)


@pytest.mark.parametrize(
    ("diameter", "angle", "length"),
    [
        (0.25 * INCH, 118.0, 0.0751076 * INCH),
        (6.0, 118.0, 1.80258),
        (10.0, 135.0, 2.071068),
        (10.0, 90.0, 5.0),
    ],
)
def test_drill_point_length(diameter, angle, length):
    # Geometry: D / (2 tan(angle / 2)).
    assert point_length(cutter("drill", diameter, angle=angle)) == pytest.approx(length, rel=1e-5)


def test_removal_rate_and_power():
    # Handbook: .5 x .5 in at 360 in/min removes 90 in3/min = 1,474,836 mm3/min.
    section, feed = 12.7 * 12.7, 9144 / 60
    assert section * feed * 60 == pytest.approx(1_474_836, rel=1e-5)
    # Milling calculator page, corrected: kc 10 N/mm2, efficiency .8 -> .307257 kW, .2458 at the cutter.
    assert EFFICIENCY == 0.8
    assert power_kw(section, feed, 10) == pytest.approx(0.307257, rel=1e-4)
    assert power_kw(section, feed, 10) * EFFICIENCY == pytest.approx(0.2458, rel=1e-4)


def test_power_is_not_a_thousand_times_too_high():
    # That page divides by 60,000, which gives watts where it says kilowatts.
    wrong = 12.7 * 12.7 * 9144 * 10 / (60_000 * 0.8)
    assert power_kw(12.7 * 12.7, 9144 / 60, 10) == pytest.approx(wrong / 1000, rel=1e-12)


@pytest.mark.parametrize(("rpm", "available"), [(24000, 3.0), (12000, 1.5), (6000, 0.75)])
def test_a_spindle_gives_less_power_below_its_top_speed(rpm, available):
    """Tooling page: no more than 70 to 80 % of the power at that speed; below its base speed a spindle gives
    the same torque (from memory), so one of 3 kW at 24,000 rpm gives 1.5 kW at 12,000. By hand: what a cut
    12.7 by 12.7 mm of 1200 N/mm2 may be fed at for 75 % of that; the axes allow no more."""
    feed = 0.75 * available * EFFICIENCY * 1e6 / (12.7 * 12.7 * 1200.0)
    board = Board(
        id="b",
        density_kg_m3=240,
        sheet=(1000, 2000),
        thicknesses=(40.0,),
        chip_load={"12.7 mm": (0.5, 1.5)},
        cutting_force_n_mm2=1200.0,
    )
    machine = Machine(
        name="m",
        bed=(1000, 1000),
        travel_z=100,
        feed_max=60 * feed,  # a minute, as a shop states it
        rapid=(9000,) * 3,
        accel=(500,) * 3,
        rpm=(6000, 24000),
        spindle_kw=3.0,
        clearance_z=10,
    )
    data = cutting_data(cutter("flat", 12.7), board, machine, depth=12.7)
    assert data.rpm == pytest.approx(rpm)
    assert data.power_kw == pytest.approx(0.75 * available)
    assert data.chip_load < 0.5, "the power, not the board, sets the chip"


def test_the_usual_cutting_force_is_the_upper_end_of_what_is_supposed_for_foam():
    # Planning values: rigid urethane board of 15 to 20 lb/ft3 takes 5 to 20 N/mm2; common practice.
    assert Board.model_fields["cutting_force_n_mm2"].default == 20.0


@pytest.mark.parametrize(("past", "down"), [(0.0, 0.0), (0.125, 0.0334936), (0.2, 0.1), (0.25, 0.25)])
def test_the_form_of_a_round_over(past, down):
    # Geometry: z = R - sqrt(R2 - x2) below the face, x past the tangent point with it; R .25.
    tool = cutter("round-over", 0.75 * INCH, radius=0.25 * INCH)
    from_axis = np.array([0.75 / 2 - past]) * INCH
    assert 0.25 - underside(tool, from_axis)[0] / INCH == pytest.approx(down, abs=1e-6)


def test_past_its_radius_a_round_over_has_no_form():
    tool = cutter("round-over", 0.75 * INCH, radius=0.25 * INCH)
    inside, outside = underside(tool, np.array([0.75 / 2 - 0.26, 0.75 / 2 + 0.001]) * INCH)
    assert inside == 0, "under its narrow end it is flat"
    assert outside == math.inf, "beside it stands board"


def ogee(run, rise):
    """Of two equal tangent arcs, level at both ends; inches."""
    radius = (run**2 + rise**2) / (4 * rise)
    return cutter("ogee", 1.25 * INCH, radius=radius * INCH, rise=rise * INCH)


@pytest.mark.parametrize(
    ("run", "rise", "radius", "sweep"),
    [(0.5, 0.25, 0.3125, 53.1301), (0.5, 0.5, 0.25, 90.0)],  # run = rise = 2 R: two quarter circles
)
def test_an_ogee_of_two_equal_arcs(run, rise, radius, sweep):
    # Geometry: R = (W2 + H2) / 4 H, each arc 2 atan(H / W).
    tool = ogee(run, rise)
    assert tool.radius == pytest.approx(radius * INCH, rel=1e-9)
    assert tool.run == pytest.approx(run * INCH, rel=1e-9)
    assert math.degrees(2 * math.asin(tool.run / 4 / tool.radius / math.cos(math.atan(rise / run)))) == (
        pytest.approx(sweep, rel=1e-5)
    )
    # Read off the cutter: level at both ends, half way up in the middle, there as steep as the sweep.
    past = np.array([0, 1e-4, run / 2 - 1e-4, run / 2, run / 2 + 1e-4, run - 1e-4, run * (1 - 1e-12)])
    up = underside(tool, (1.25 / 2 - run + past) * INCH) / INCH
    assert up[[0, 3, 6]] == pytest.approx([0, rise / 2, rise], abs=1e-7)
    assert [up[1], rise - up[5]] == pytest.approx([1e-8 / 2 / radius] * 2, rel=1e-2)
    slope = (up[4] - up[2]) / 2e-4
    assert math.degrees(math.atan(slope)) == pytest.approx(sweep, abs=0.05 if sweep < 90 else 3)


def test_tangential_force():
    # Geometry: power over surface speed; .245806 kW at 718.168 m/min is 20.54 N.
    assert tangential_force(0.245806, 12.7, 18000) == pytest.approx(20.54, rel=1e-3)
