"""Rates at their edges; the published cases are in tests/validation/test_costing.py."""

import pytest

from signplan.cost.rates import blanks_per_sheet, hour_of_machine, loaded_hour
from signplan.job.shop import Rates


def test_a_stated_hour():
    rates = Rates(machine_hour=20.0, labour_hour=30.0, attendance=0.5)
    assert hour_of_machine(rates) == 20.0
    assert loaded_hour(rates) == 35.0


@pytest.mark.parametrize(
    "rates",
    [Rates(), Rates(labour_hour=30.0), Rates(machine_hour=20.0), Rates(machine_hour=20.0, attendance=0.1)],
)
def test_an_hour_that_is_not_whole_is_none(rates):
    assert loaded_hour(rates) is None


def test_a_machine_that_nobody_is_paid_to_watch():
    assert loaded_hour(Rates(machine_hour=20.0, attendance=0.0)) == 20.0


def test_the_better_way_round():
    assert blanks_per_sheet((1000, 700), (1220, 2440)) == 3
    assert blanks_per_sheet((700, 1000), (1220, 2440)) == 3
