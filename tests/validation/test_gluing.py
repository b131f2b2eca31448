"""Board and glue-up in figures: arithmetic, and planning values that are marked for what they are."""

import pytest
from shapely import MultiPolygon, box

from signplan.sign.gluing import (
    CLAMP_SHARE,
    SPREAD_G_M2,
    clamp_force,
    compressive_strength,
    coverage,
    glue_area,
    glue_grams,
    most_clamp_pressure,
    strength_exponent,
)
from signplan.sign.model import PanelPlan, Pocket, Sign
from signplan.units import PASCALS_PER_INCH_OF_MERCURY, POUNDS_PER_FT3_TO_KG_PER_M3

INCH2 = 25.4**2
NEWTONS_PER_POUND = 4.4482216152605
MPA_PER_PSI = NEWTONS_PER_POUND / INCH2


@pytest.mark.parametrize(("pounds", "kilograms"), [(15, 240.28), (18, 288.33), (20, 320.37)])
def test_densities(pounds, kilograms):
    """lb/ft3 to kg/m3, exact by the pound and the foot; the densities are those of sign-trade articles."""
    assert pounds * POUNDS_PER_FT3_TO_KG_PER_M3 == pytest.approx(kilograms, rel=1e-4)


@pytest.mark.parametrize(("pounds", "mpa", "psi"), [(10, 2.2, 319), (15, 4.9, 711), (20, 8.4, 1218)])
def test_strength_at_the_tabled_grades(pounds, mpa, psi):
    """Compressive strength by grade, as in ASTM F1839 and its data sheets (from memory)."""
    strength = compressive_strength(pounds * POUNDS_PER_FT3_TO_KG_PER_M3)
    assert strength == pytest.approx(mpa, rel=1e-3)
    assert strength / MPA_PER_PSI == pytest.approx(psi, rel=2e-3)


def test_strength_between_the_grades():
    """A power of 1.975 from 10 to 15 and 1.874 from 15 to 20 lb/ft3; 18 lb/ft3 about 6.93 MPa (to 2 %)."""
    assert strength_exponent((10, 2.2), (15, 4.9)) == pytest.approx(1.975, abs=1e-3)
    assert strength_exponent((15, 4.9), (20, 8.4)) == pytest.approx(1.874, abs=1e-3)
    assert compressive_strength(18 * POUNDS_PER_FT3_TO_KG_PER_M3) == pytest.approx(6.93, rel=0.02)


def test_the_estimate_stays_in_what_was_measured():
    """0.16 to 0.32 g/cm3: yield 0.9 to 4.5 MPa in short cylinders, by a journal's abstract (2008).

    The table has up to twice that, which is why a tenth is the limit and the board's own data sheet rules.
    """
    for density in (160.0, 320.0):
        assert compressive_strength(density) < 2.5 * (0.9 if density < 200 else 4.5)


def test_glue_for_a_panel():
    """36 x 24 in at 200 g/m2: 111.48 g (spread: common practice)."""
    assert SPREAD_G_M2 == 200
    assert glue_grams(36 * 24 * INCH2) == pytest.approx(111.48, rel=1e-3)


@pytest.mark.parametrize(("thick", "square_feet"), [(0.006, 267.4), (0.010, 160.4)])
def test_coverage_of_a_gallon(thick, square_feet):
    """231 in3 spread .006 or .010 in thin."""
    assert coverage(231, thick) / 144 == pytest.approx(square_feet, rel=1e-3)


def test_clamps():
    """36 x 24 in at 5 psi: 4,320 lb, of 12 clamps 360 lb each; under a bag at 20 inHg 8,487 lb."""
    area = 36 * 24 * INCH2
    total = clamp_force(area, 5 * MPA_PER_PSI) / NEWTONS_PER_POUND
    assert total == pytest.approx(4320)
    assert total / 12 == pytest.approx(360)
    bag = clamp_force(area, 20 * PASCALS_PER_INCH_OF_MERCURY * 1e-6) / NEWTONS_PER_POUND
    assert bag == pytest.approx(8487, rel=1e-3)


def test_foam_is_clamped_softly():
    """Below a tenth of its compressive strength: 15 lb/ft3 under about 70 psi (common practice)."""
    most = most_clamp_pressure(15 * POUNDS_PER_FT3_TO_KG_PER_M3) / MPA_PER_PSI
    assert CLAMP_SHARE == 0.1
    assert most == pytest.approx(71, rel=0.01)
    assert most > 15


def test_pockets_take_no_glue():
    outline = box(0, 0, 300, 200)
    pocket = Pocket(
        id="A/bar-1",
        hardware="bar",
        panel="A",
        depth=5.0,
        above=0.0,
        drawn=MultiPolygon([box(50, 50, 150, 80)]),
        as_cut=MultiPolygon([box(50, 50, 150, 80)]),
        tool="em-6",
        mouth=False,
    )
    panels = (PanelPlan(id="A", outline=outline, pockets=(pocket,)), PanelPlan(id="B", outline=outline))
    sign = Sign(outline=outline, thickness=40.0, panels=panels)
    assert glue_area(sign).area == pytest.approx(300 * 200 - 100 * 30)
