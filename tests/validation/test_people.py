"""Dust, noise, lifting and isocyanates against published limits. The employer's programme decides."""

import pytest

from signplan.schedule.exposure import (
    DUST_RESPIRABLE_MG_M3,
    DUST_TOTAL_MG_M3,
    MDI_CEILING_PPM,
    NOISE_ACTION_DBA,
    NOISE_TABLE,
    noise_dose,
    noise_hours,
)
from signplan.sign.lifting import lifting_index, recommended_weight


def test_dust():
    """Not otherwise regulated, 8 h: 15 mg/m3 total, 5 respirable (29 CFR 1910.1000, table Z-1)."""
    assert (DUST_TOTAL_MG_M3, DUST_RESPIRABLE_MG_M3) == (15, 5)


def test_isocyanate():
    """MDI: ceiling 0.02 ppm, 20 parts in a thousand million (an OSHA sampling sheet)."""
    assert MDI_CEILING_PPM * 1000 == 20


@pytest.mark.parametrize(
    ("level", "hours"),
    [(90, 8), (92, 6), (95, 4), (97, 3), (100, 2), (102, 1.5), (105, 1), (110, 0.5), (115, 0.25)],
)
def test_noise_table(level, hours):
    """29 CFR 1910.95, table G-16; the action level is 85 dBA."""
    assert noise_hours(level) == hours
    assert NOISE_ACTION_DBA == 85


def test_the_formula_behind_the_table():
    """T = 8 / 2^((L - 90) / 5): 92 dBA gives 6.063 where the rounded table has 6."""
    assert noise_hours(92 + 1e-9) == pytest.approx(6.063, rel=1e-4)
    for level, hours in NOISE_TABLE.items():
        assert 8 / 2 ** ((level - 90) / 5) == pytest.approx(hours, rel=0.02)


def test_a_day_of_two_levels():
    """4 h at 92 and 2 h at 95 dBA: 1.1667 of what is permitted (note to table G-16)."""
    assert noise_dose([(92, 4), (95, 2)]) == pytest.approx(1.1667, abs=1e-4)
    assert noise_dose([(92, 4), (95, 2)]) > 1


def test_below_ninety_nothing_counts():
    assert noise_dose([(89.9, 8)]) == 0


def test_lifting():
    """H 15, V 30, D 20 in, no twist, fair grip: 29.393 lb (NIOSH 94-110, by a handbook's chapter)."""
    assert recommended_weight(15, 30, 20) == pytest.approx(29.393, rel=1e-4)


@pytest.mark.parametrize(("pounds", "index", "alone"), [(22.5, 0.7655, True), (40, 1.361, False)])
def test_a_sign_lifted_off_a_bench(pounds, index, alone):
    assert lifting_index(pounds) == pytest.approx(index, rel=1e-3)
    assert (lifting_index(pounds) <= 1) is alone


def test_the_ideal_lift_is_the_load_constant():
    """51 lb (23 kg): 10 in out, hands at 30 in, a short way, a good grip."""
    assert recommended_weight(10, 30, 10, grip=1.0) == pytest.approx(51.0)
    assert recommended_weight(5, 30, 3, grip=1.0) == pytest.approx(51.0)
