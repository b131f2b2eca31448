"""Least squares with a prior: against numpy, and what must hold whatever was logged."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from signplan.errors import SignplanError
from signplan.timing.least_squares import LEAST, MOST, PRIOR, Prior, fit, student_t

NO_PRIOR = Prior(weight=0.0, scatter=0.0, worth=0.0)


@st.composite
def holds(draw, least=3, most=12):
    """Shares of three kinds of work in some holds; no two kinds always in the same proportion."""
    count = draw(st.integers(least, most))
    parts = draw(st.lists(st.floats(0.05, 1.0), min_size=3 * count, max_size=3 * count))
    table = np.array(parts).reshape(count, 3)
    return table / table.sum(axis=1, keepdims=True)


factors = st.tuples(*[st.floats(0.5, 2.0)] * 3)
ratio = st.floats(0.5, 2.0)


@given(holds(), factors)
def test_factors_come_back_from_exact_rows(shares, true):
    """Three holds made of one kind each tell the kinds apart; without a prior nothing is in the way."""
    shares = np.vstack([shares, np.eye(3)])
    found = fit(shares, shares @ true, NO_PRIOR)
    assert found.factors == pytest.approx(true, rel=1e-9)
    assert found.scatter < 1e-9


@given(holds(), factors)
def test_with_the_prior_they_come_back_the_nearer_the_more_was_logged(shares, true):
    shares = np.vstack([shares, np.eye(3)])
    off = []
    for times in (1, 10, 100):
        many = np.tile(shares, (times, 1))
        off.append(np.abs(np.array(fit(many, many @ true).factors) - true).max())
    assert off[2] <= off[1] + 1e-12
    assert off[1] <= off[0] + 1e-12
    assert off[2] < 0.005


@given(holds(), st.data())
def test_it_is_numpys_least_squares_with_the_prior_as_rows(shares, data):
    ratios = data.draw(st.lists(st.floats(0.9, 1.5), min_size=len(shares), max_size=len(shares)))
    root = np.sqrt(PRIOR.weight)
    rows = np.vstack([shares, root * np.eye(3)])
    wanted, *_ = np.linalg.lstsq(rows, [*ratios, root, root, root])
    found = fit(shares, ratios)
    if min(wanted) > LEAST:
        assert found.factors == pytest.approx(wanted, rel=1e-9)
        squares = np.sum((rows @ wanted - [*ratios, root, root, root]) ** 2)
        pooled = (PRIOR.worth * PRIOR.scatter**2 + squares) / (PRIOR.worth + len(ratios))
        assert found.scatter == pytest.approx(np.sqrt(pooled))


@given(holds(), st.data())
def test_the_order_of_the_rows_does_not_matter_to_the_last_bit(shares, data):
    ratios = np.array(data.draw(st.lists(ratio, min_size=len(shares), max_size=len(shares))))
    order = data.draw(st.permutations(range(len(shares))))
    assert fit(shares, ratios) == fit(shares[order], ratios[order])


@given(holds(), st.data())
def test_one_more_hold_as_expected_narrows_the_band(shares, data):
    ratios = data.draw(st.lists(ratio, min_size=len(shares), max_size=len(shares)))
    before = fit(shares, ratios)
    after = fit(np.vstack([shares, shares[0]]), [*ratios, before.ratio(shares[0])])
    for each in (*shares, (0.2, 0.1, 0.7)):
        assert after.half_width(each) < before.half_width(each)


@settings(max_examples=300)
@given(holds(), st.data())
def test_factors_stay_in_their_bounds_and_nothing_fits_better(shares, data):
    """Whatever is logged; a bound may bind, and a step in any direction that it allows is no better."""
    ratios = np.array(data.draw(st.lists(st.floats(0.02, 60), min_size=len(shares), max_size=len(shares))))
    found = np.array(fit(shares, ratios).factors)
    assert (found >= LEAST - 1e-12).all()
    assert (found <= MOST + 1e-9).all()

    def cost(f):
        return np.sum((shares @ f - ratios) ** 2) + PRIOR.weight * np.sum((f - 1) ** 2)

    for step in np.vstack([np.eye(3), -np.eye(3)]) * 1e-4:
        assert cost(found) <= cost(np.clip(found + step, LEAST, MOST)) + 1e-9


def test_rows_that_look_alike_share_what_they_say():
    """Three holds of one make-up cannot tell cutting from changes: no factor runs off, the sum is right."""
    shares = [(0.70, 0.05, 0.25), (0.69, 0.05, 0.26), (0.71, 0.05, 0.24)]
    found = fit(shares, [1.2, 1.3, 1.1])
    assert all(0.9 < factor < 1.3 for factor in found.factors)
    assert found.ratio(shares[0]) == pytest.approx(1.2, abs=0.02)


def test_work_unlike_the_logged_has_a_wider_band():
    found = fit([(0.8, 0.1, 0.1)] * 5, [1.1, 1.12, 1.08, 1.1, 1.11])
    assert found.half_width((0.1, 0.1, 0.8)) > 1.3 * found.half_width((0.8, 0.1, 0.1))


def test_rows_that_are_none_are_refused():
    with pytest.raises(SignplanError, match="do not belong together"):
        fit([(0.5, 0.5)], [1.0, 2.0])
    with pytest.raises(SignplanError, match="do not belong together"):
        fit(np.empty((0, 3)), [])
    with pytest.raises(SignplanError, match="finite"):
        fit([(0.5, 0.5)], [float("nan")])


def test_few_rows_ask_for_more_than_the_normal_distribution():
    assert student_t(6) > student_t(30) > student_t(1e6) == pytest.approx(1.644854, abs=1e-5)
