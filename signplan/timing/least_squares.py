"""Least squares with an opinion to begin with: a factor for each kind of work, and what is left over.

Each row is one thing measured: the shares in it of several kinds of work, which add up to one, and by what it
came out over what was computed. Sought is one factor a kind, so that shares x factors give the ratio.

Three rows that look alike cannot tell kinds apart. So the computed figures count too, as rows of small weight
that say "factor 1", and the scatter that people expect counts as a few rows. That is the conjugate prior of
the normal linear model, and what follows is its closed form: Gelman et al., Bayesian Data Analysis, 3rd
edition 2013, chapters 3 and 14 (from memory). Without that prior it is plain least squares.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike, NDArray

from signplan.errors import SignplanError

LEAST = 0.1
"""No kind of work takes less than this share of its computed time, whatever the rows say."""

MOST = 10.0
"""Nor more than so many times its computed time."""

COVERAGE = 0.9
"""Share of the holds to come that lie within the band, if they are like the ones before."""

Array = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, slots=True)
class Prior:
    """What is believed before anything was measured.

    Attributes:
        weight: the computed time of one kind counts as this many rows that are all of that kind.
        scatter: standard deviation of a row about its estimate, as a share of it.
        worth: for the scatter, that belief counts as this many rows.
    """

    weight: float = 0.1
    scatter: float = 0.10
    worth: float = 3.0


PRIOR = Prior()
"""Ours: a row is 10 % off, and the factor of a kind a third; the first three rows weigh as much as that."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Fit:
    """What the rows say.

    Attributes:
        factors: real time over computed time, of each kind.
        spread: their covariance over the square of `scatter`, a row a kind.
        scatter: standard deviation of a row about its estimate, as a share of it.
        freedom: degrees of freedom of `scatter`.
    """

    factors: tuple[float, ...]
    spread: tuple[tuple[float, ...], ...]
    scatter: float
    freedom: float

    def ratio(self, shares: ArrayLike) -> float:
        """By what a thing of these shares is expected to come out over what was computed."""
        return float(np.asarray(shares, dtype=float) @ np.asarray(self.factors))

    def half_width(self, shares: ArrayLike) -> float:
        """How far its ratio may lie from that, either way, with the chance `COVERAGE`.

        The predictive distribution is Student's: t x scatter x sqrt(1 + shares' spread shares). What is
        unlike anything measured gets more.
        """
        z = np.asarray(shares, dtype=float)
        leverage = float(z @ np.asarray(self.spread) @ z)
        return student_t(self.freedom) * self.scatter * math.sqrt(1 + leverage)


def fit(shares: ArrayLike, ratios: ArrayLike, prior: Prior = PRIOR) -> Fit:
    """The factors that fit the rows and the prior best, none below `LEAST` or above `MOST`.

    Args:
        shares: (N, K), a row a measurement, each adding up to one.
        ratios: (N,) measured over computed.

    Raises:
        SignplanError: the rows are not of that form, or one is not a finite number.
    """
    z, r = _in_order(shares, ratios)
    kinds = z.shape[1]
    precision = z.T @ z + prior.weight * np.eye(kinds)
    factors = _bounded(precision, z.T @ r + prior.weight)
    left = r - z @ factors
    squares = float(left @ left + prior.weight * np.sum((factors - 1) ** 2))
    freedom = prior.worth + len(r)
    return Fit(
        factors=tuple(map(float, factors)),
        spread=tuple(tuple(map(float, row)) for row in np.linalg.inv(precision)),
        scatter=math.sqrt((prior.worth * prior.scatter**2 + squares) / freedom),
        freedom=freedom,
    )


def _in_order(shares: ArrayLike, ratios: ArrayLike) -> tuple[Array, Array]:
    """Rows sorted, so that the last digit does not depend on the order in which they were measured."""
    z, r = np.asarray(shares, dtype=float), np.asarray(ratios, dtype=float)
    if z.ndim != 2 or r.shape != z.shape[:1] or not len(r):
        raise SignplanError(f"shares of shape {z.shape} and ratios of shape {r.shape} do not belong together")
    if not (np.isfinite(z).all() and np.isfinite(r).all()):
        raise SignplanError("a logged time is not a finite number")
    order = np.lexsort((r, *z.T))
    return z[order], r[order]


def _bounded(precision: Array, pull: Array) -> Array:
    """The f from `LEAST` to `MOST` with the least f'Pf / 2 - p'f.

    Convex, so the best is one of the solutions with some factors at a bound: a handful, all of them tried.
    """
    least, most = LEAST * (1 - 1e-12), MOST * (1 + 1e-12)
    found = [f for f in _candidates(precision, pull) if ((f >= least) & (f <= most)).all()]
    return min(found, key=lambda f: float(f @ precision @ f / 2 - pull @ f))


def _candidates(precision: Array, pull: Array) -> Iterator[Array]:
    for pattern in product((math.nan, LEAST, MOST), repeat=len(pull)):
        f = np.array(pattern)
        free = np.isnan(f)
        rest = pull[free] - precision[np.ix_(free, ~free)] @ f[~free]
        f[free] = np.linalg.solve(precision[np.ix_(free, free)], rest)
        yield f


def student_t(freedom: float, coverage: float = COVERAGE) -> float:
    """How many standard deviations either way hold the share `coverage` of Student's distribution.

    Expansion in 1 / freedom (Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, 26.7.5; from
    memory): right to 0.1 % from 6 degrees of freedom on, the fewest of three rows and our prior.

    >>> round(student_t(6), 3), round(student_t(1e9), 3)
    (1.943, 1.645)
    """
    z = NormalDist().inv_cdf((1 + coverage) / 2)
    terms = (
        z,
        (z**3 + z) / 4,
        (5 * z**5 + 16 * z**3 + 3 * z) / 96,
        (3 * z**7 + 19 * z**5 + 17 * z**3 - 15 * z) / 384,
    )
    return sum(term / freedom**k for k, term in enumerate(terms))
