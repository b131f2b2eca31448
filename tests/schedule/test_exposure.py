"""Between the levels of the table the formula holds; the published values are in tests/validation."""

import pytest

from signplan.schedule.exposure import noise_dose, noise_hours


def test_between_two_levels_of_the_table():
    assert 3.0 < noise_hours(96) < 4.0
    assert noise_hours(96) == pytest.approx(8 / 2**1.2)


def test_a_dose_adds_up():
    assert noise_dose([(90, 2), (90, 2)]) == noise_dose([(90, 4)]) == 0.5
