"""A fit: how far a feature may be out from what locates it. And a chain of fits: how far its ends may be out.

Every error lies in the plane, within an allowance. From the allowances of a chain follow three figures: their
sum is the worst case, the root of the sum of their squares the likely one, and a sample says what 99 of 100
signs stay within. Assembly frame, mm.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from signplan.sign.register import STAY, Placement

Points = NDArray[np.float64]
Kind = Literal["hardware", "pockets", "seam", "carving"]
Place = tuple[float, float]

SAMPLE = 4000
"""Signs in a sample; the 99 % figure is good to some 2 %."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Fit:
    """How one feature is located from another.

    Attributes:
        words: what it is, for a person. Two fits of a chain with the same words are one error, which both
            ends of the chain share.
        shift: how far it may be out where it locates, mm.
        pair: the two places where it locates, if it is a pair of pins: away from them the error grows, since
            the part may also turn. None: it does not turn.
        along: the one direction in which it is out, a unit vector. None: any direction.
        placement: from the assembly frame to the one that `pair` and `along` are in.
    """

    words: str
    shift: float
    pair: tuple[Place, Place] | None = None
    along: Place | None = None
    placement: Placement = STAY

    def at(self, points: Points) -> NDArray[np.float64]:
        """How far a feature may be out at each of the points, (N, 2)."""
        return most(self.maps(points))

    def maps(self, points: Points) -> NDArray[np.float64]:
        """From an error, a vector of length 1 or less, to where it moves each of the points, (K, N, 2, 2).

        A hole on each of two pins, L apart, may be off by `shift`. Either the part slides by that in any
        direction, or it slides along the line of the pins and turns by up to 2 shift / L; everything else
        lies between these K = 2. On the line, s from the middle, the most is shift max(1, 2 s / L): as much
        as between the pins, and more beyond them. Derived; it is the least bound.
        """
        maps = self._turning(self.placement.path(points)) if self.pair else self._sliding(points)
        if self.placement is not STAY:
            maps = np.array(self.placement.inverse().matrix)[:, :2] @ maps
        return maps * self.shift

    def _sliding(self, points: Points) -> NDArray[np.float64]:
        way = np.eye(2) if self.along is None else np.outer(self.along, self.along)
        return np.broadcast_to(way, (1, len(points), 2, 2))

    def _turning(self, points: Points) -> NDArray[np.float64]:
        first, second = np.array(self.pair)
        apart = float(np.linalg.norm(second - first))
        away = points - (first + second) / 2
        maps = np.tile(np.eye(2), (2, len(points), 1, 1))
        maps[1, :, :, 0] = (second - first) / apart
        maps[1, :, 0, 1], maps[1, :, 1, 1] = -2 / apart * away[:, 1], 2 / apart * away[:, 0]
        return maps


def most(maps: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far each of the points is moved at most, (N,), by errors of length 1; maps (K, N, 2, 2).

    The spectral norm of [[a, b], [c, d]] is half the sum of |(a + d, c - b)| and |(a - d, c + b)|.
    """
    a, b, c, d = (maps[..., i, j] for i in (0, 1) for j in (0, 1))
    worst: NDArray[np.float64] = (np.hypot(a + d, c - b) + np.hypot(a - d, c + b)).max(axis=0) / 2
    return worst


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """One error on the way between two features, and how far it puts them out from each other, mm."""

    words: str
    allowance: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Stack:
    """How far two features may be out from each other, mm, and why.

    Attributes:
        name: what is compared, such as `seam edge, panel A to panel B`.
        path: the errors between them, in order; `worst` is their sum.
        rss: root of the sum of their squares.
        sampled: what 99 % of a large sample stays within.
        kind: what sort of pair it is.
        item: the hardware that it is about; "" if none.
    """

    name: str
    path: tuple[Share, ...]
    worst: float
    rss: float
    sampled: float
    kind: Kind
    item: str = ""

    @property
    def largest(self) -> str:
        """The error that contributes most."""
        return max(self.path, key=lambda share: share.allowance).words


def stack_up(fits: Sequence[Fit], points: Points, *, name: str, kind: Kind, item: str = "") -> Stack:
    """The stack of a chain of fits, at the one of `points`, (N, 2), where it is greatest.

    An error that is met on the way to either end moves both of them: what counts is the difference.
    """
    maps: dict[str, NDArray[np.float64]] = {}
    for fit in fits:
        own = fit.maps(points)
        maps[fit.words] = maps[fit.words] - own if fit.words in maps else own
    table = np.array([most(each) for each in maps.values()])
    allowances = table[:, int(np.argmax(table.sum(axis=0)))]
    path = zip(maps, allowances.tolist(), strict=True)
    straight = {fit.words for fit in fits if fit.along}
    return Stack(
        name=name,
        path=tuple(Share(words=words, allowance=allowance) for words, allowance in path),
        worst=float(allowances.sum()),
        rss=float(np.linalg.norm(allowances)),
        sampled=sampled(allowances, straight=[words in straight for words in maps]),
        kind=kind,
        item=item,
    )


def sampled(
    allowances: NDArray[np.float64], *, straight: Sequence[bool] | None = None, share: float = 0.99
) -> float:
    """What that share of signs stays within, if each error lies anywhere within its allowance alike.

    An error may lie in any direction, or to and fro where it is `straight`; all of those lie along one line.
    Of many small errors in any direction this tends to sqrt(ln(100) / 2) = 1.517 times their root-sum-square.
    """
    along = tuple(straight or [False] * len(allowances))
    return _sampled(tuple(allowances.tolist()), along, share)


@lru_cache(maxsize=256)
def _sampled(allowances: tuple[float, ...], straight: tuple[bool, ...], share: float) -> float:
    to_and_fro, anywhere = _errors(len(allowances))
    errors = np.where(straight, to_and_fro, anywhere) if any(straight) else anywhere
    return float(np.quantile(np.abs(np.einsum("sn,n->s", errors, allowances)), share))


@cache
def _errors(count: int) -> tuple[NDArray[np.float64], NDArray[np.complex128]]:
    """Places drawn from -1 to 1, and from discs of radius 1, as complex numbers, (SAMPLE, count) each.

    They are always the same ones.
    """
    random = np.random.default_rng(20240229)
    turn = random.uniform(-1, 1, (SAMPLE, count))
    places: NDArray[np.complex128] = np.sqrt(random.uniform(0, 1, turn.shape)) * np.exp(1j * np.pi * turn)
    return turn, places


def pins_bind(spacing_error: float, clearances: tuple[float, float]) -> bool:
    """Whether two round pins cannot enter: half the sum of their clearances is less than the error.

    One of them then needs a slot, or must be relieved.
    """
    return sum(clearances) / 2 < spacing_error
