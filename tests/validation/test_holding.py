"""Vacuum holding against published principles and worked arithmetic, the source of each beside it.

Sources: pages of makers of vacuum tables and pumps (force = sealed area x pressure difference; only the area
that is really sealed counts; friction governs sliding; parts under 500 cm2 not by vacuum alone; a skin of 0.2
to 0.3 mm in sheet). The inch of mercury is the conventional one, 3386.389 Pa (NIST SP 811, from memory).
"""

import math

import pytest

from signplan.checks.holding import SMALL_MM2
from signplan.job.shop import Holding
from signplan.schedule.holding import SAFE, leak, side_hold, vacuum_force
from signplan.schedule.screws import SCREW_CLEAR
from signplan.timing.feeds import power_kw, tangential_force
from signplan.units import PASCALS_PER_INCH_OF_MERCURY

INCH2 = 25.4**2
NEWTONS_PER_POUND = 4.4482216152605
PASCALS_PER_PSI = NEWTONS_PER_POUND / 0.0254**2


def pounds(square_inches: float, inches_of_mercury: float) -> float:
    return vacuum_force(square_inches * INCH2, inches_of_mercury) / NEWTONS_PER_POUND


def test_an_inch_of_mercury():
    """1 inHg = .491154 psi = 3.38639 kPa; 10 inHg = 4.91154 psi."""
    assert pytest.approx(3386.39, rel=1e-5) == PASCALS_PER_INCH_OF_MERCURY
    assert pytest.approx(4.91154, rel=1e-5) == 10 * PASCALS_PER_INCH_OF_MERCURY / PASCALS_PER_PSI


@pytest.mark.parametrize(
    ("square_inches", "mercury", "expected"),
    [(24 * 36, 10, 4243.6), (6 * 6, 8, 141.45), (32 * 144, 15, 33_948.6)],
)
def test_force_is_sealed_area_times_pressure(square_inches, mercury, expected):
    """Principle: makers' pages; the numbers are arithmetic."""
    assert pounds(square_inches, mercury) == pytest.approx(expected, rel=1e-4)


def test_a_published_figure_that_is_wrong():
    """An article has 15 inHg as 1,094 lb/ft2, 34,560 lb on 32 ft2. It is 1,060.9 and 33,949."""
    assert pounds(144, 15) == pytest.approx(1060.9, rel=1e-4)
    assert pounds(144, 15) != pytest.approx(1094, rel=0.01)
    assert pounds(32 * 144, 15) != pytest.approx(34_560, rel=0.01)


def test_only_the_sealed_area_counts():
    """864 in2 less 150 in2 of pockets that lie down, at 8 inHg: 2,805.5 lb."""
    assert pounds(864 - 150, 8) == pytest.approx(2805.5, rel=1e-4)


def test_friction_holds_sideways():
    """6 x 6 in, 8 inHg, mu 0.3: 42.44 lb (mu .2 to .5 on fibreboard: common practice)."""
    holding = Holding(kind="vacuum", inches_of_mercury=8.0, friction=0.3)
    assert side_hold(36 * INCH2, holding) / NEWTONS_PER_POUND == pytest.approx(42.44, rel=1e-3)


def test_screws_alone_leave_no_friction_to_count_on():
    assert side_hold(36 * INCH2, Holding(kind="screws")) == 0.0


def test_a_cut_against_what_friction_holds():
    """1/2 x 1/2 in at 9144 mm/min and 18,000 rpm, kc 10 N/mm2: 20.54 N, times 3 is less than 42.44 lb."""
    at_cutter = power_kw(12.7 * 12.7, 9144 / 60, 10.0) * 0.8
    push = tangential_force(at_cutter, 12.7, 18_000)
    assert push == pytest.approx(20.54, rel=1e-3)
    assert SAFE * push <= 42.44 * NEWTONS_PER_POUND


def test_an_open_hole_leaks():
    """A 1/4 in hole at 8 inHg: 8.54 cubic feet a minute (orifice formula, to 3 %)."""
    area = math.pi / 4 * 6.35**2
    assert leak(area, 8) * 60 / 0.3048**3 == pytest.approx(8.54, rel=0.03)


def test_small_parts():
    """Under 500 cm2 (77.5 in2) not by vacuum alone: 8 x 9 in is too small, 9 x 9 in is not."""
    assert 8 * 9 * INCH2 < SMALL_MM2 < 9 * 9 * INCH2
    assert pytest.approx(77.5, rel=1e-3) == SMALL_MM2 / INCH2


def test_the_small_part_s_circle_is_ten_inches_across():
    """The page with the rule likens 500 cm2 to a 5 inch circle; that is 127 cm2."""
    across = 2 * math.sqrt(SMALL_MM2 / math.pi) / 25.4
    assert across == pytest.approx(10, abs=0.1)
    assert math.pi / 4 * (5 * 25.4) ** 2 / 100 == pytest.approx(126.7, abs=0.1)


def test_a_screw_is_kept_a_quarter_inch_from_the_cutter():
    """Cutter 1/2 in: 0.50 in from its path; a screw at 0.30 in is too near (common practice)."""
    keep_out = 12.7 / 2 + SCREW_CLEAR
    assert keep_out / 25.4 == pytest.approx(0.50)
    assert keep_out / 25.4 > 0.30
