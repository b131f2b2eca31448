"""Calibration against the outside: certified regressions, tables of Student's t, and whether the band holds.

The certified values are those of NIST's Statistical Reference Datasets for regression through the origin,
NoInt1 and NoInt2 (data of Eberhardt, 1979; values from memory, and followed here by their closed form).
"""

import math

import numpy as np
import pytest
import scipy.stats

from signplan.timing.least_squares import PRIOR, Prior, fit, student_t

PLAIN = Prior(weight=0.0, scatter=0.0, worth=-1.0)
"""No prior, and one degree of freedom fewer than rows: the usual residual of one sought factor."""

NIST = [
    ("NoInt1", range(60, 71), range(130, 141), 2.07438016528926, 0.0165289256198347, 3.56753034006338),
    ("NoInt2", (4, 5, 6), (3, 4, 4), 0.727272727272727, 0.0420827318078432, 0.369274472937998),
]


@pytest.mark.parametrize(("name", "x", "y", "slope", "its_error", "residual"), NIST)
def test_certified_regressions_through_the_origin(name, x, y, slope, its_error, residual):
    found = fit([[each] for each in x], list(y), PLAIN)
    assert found.factors[0] == pytest.approx(slope, rel=1e-14)
    assert found.scatter == pytest.approx(residual, rel=1e-12)
    assert found.scatter * math.sqrt(found.spread[0][0]) == pytest.approx(its_error, rel=1e-12)
    assert found.freedom == len(y) - 1
    squares = sum(b * b for b in y) - sum(a * b for a, b in zip(x, y, strict=True)) ** 2 / sum(
        a * a for a in x
    )
    assert residual == pytest.approx(math.sqrt(squares / (len(y) - 1)), rel=1e-12)


# NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2: upper critical values of Student's t, 0.95.
TABLE = {6: 1.943, 7: 1.895, 8: 1.860, 9: 1.833, 10: 1.812, 15: 1.753, 20: 1.725, 30: 1.697, 60: 1.671}


@pytest.mark.parametrize(("freedom", "value"), TABLE.items())
def test_students_t_is_that_of_the_table(freedom, value):
    assert student_t(freedom) == pytest.approx(value, abs=1e-3)


@pytest.mark.parametrize("freedom", [6, 6.5, 9, 33, 1000])
def test_students_t_is_scipys(freedom):
    assert student_t(freedom) == pytest.approx(scipy.stats.t.ppf(0.95, freedom), rel=1e-3)


@pytest.mark.parametrize("logged", [3, 7, 30])
def test_nine_holds_in_ten_lie_in_the_band(logged):
    """Shops drawn from the prior, holds drawn from each shop: how often the next one is inside."""
    random, shops, inside = np.random.default_rng(11), 3000, 0
    for _ in range(shops):
        scatter = PRIOR.scatter * math.sqrt(PRIOR.worth / random.chisquare(PRIOR.worth))
        true = random.normal(1.0, scatter / math.sqrt(PRIOR.weight), 3)
        shares = random.dirichlet((8, 1, 3), logged + 1)
        ratios = shares @ true + random.normal(0, scatter, logged + 1)
        found = fit(shares[:-1], ratios[:-1])
        inside += abs(ratios[-1] - found.ratio(shares[-1])) <= found.half_width(shares[-1])
    assert inside / shops == pytest.approx(0.9, abs=0.015)
