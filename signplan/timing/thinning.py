"""Fewer points for a path whose coordinates were rounded.

Rounding to a step q turns the directions of chords h long by q / h at random. Where points are dense the
path then looks like a chain of small corners, and a model that respects acceleration slows down for all
of them, as some controllers really do. One that blends corners wider than q does not. What comes in:
points and the step. What goes out: the indices of the points that carry the shape.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from signplan.timing.limits import Floats, MotionError, MotionLimits
from signplan.timing.segments import read_blocks

_EXPLAINED = 2.25
"""Steps off the chord that rounding explains: the point and the chord are off by half a step in each axis,
which makes the square root of 3, and the chord itself passes half a step inside of its curve."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Thinned:
    """A path with fewer points: its `points`, `feed` and `stops`, and how it stands for the whole.

    `kept` are the indices of its points in the whole path, `length` mm of all segments of that.
    """

    points: Floats
    feed: Floats
    stops: NDArray[np.intp]
    kept: NDArray[np.intp]
    length: Floats

    def spread(self, times: Floats) -> Floats:
        """Times of the segments of this path, shared out among those of the whole by length."""
        whole = np.maximum(np.add.reduceat(self.length, self.kept[:-1]), np.finfo(float).tiny)
        return self.length * np.repeat(times / whole, np.diff(self.kept))


def thinned(
    points: Floats, feed: ArrayLike, limits: MotionLimits, *, rounded: float, stops: ArrayLike | None = None
) -> Thinned:
    """The path without the points that carry nothing but rounding.

    1. Both ends, the stops and the points where the feed changes stay.
    2. Between them about one point stays in every 2 F sqrt(q / a), the distance over which a deviation of
       q asks for the acceleration a at the feed F.
    3. Where a dropped point is farther from the chord than the rounding or a quarter of the corner tolerance
       explains, the farthest one comes back, until none is.

    Args:
        points: (N, 3) mm, at least two.
        feed: mm/s, one number or one per segment; inf for a rapid.
        rounded: the step q that coordinates were rounded to, mm.
        stops: indices that must stay.

    Raises:
        MotionError: points, feeds or stops that are no path, or a step that is not above zero.
    """
    if not 0 < rounded < np.inf:
        raise MotionError(f"rounded: {rounded} is not a step above zero")
    for _ in read_blocks(points, feed, limits, stops=stops):
        pass  # refuses what is not a path
    count = len(points) - 1
    feeds = np.broadcast_to(np.asarray(feed, dtype=float), count)
    rests = np.asarray([] if stops is None else stops, dtype=np.intp)
    length = np.linalg.norm(np.diff(points, axis=0), axis=1)
    # 1.
    fixed = np.concatenate(([0, count], rests, np.flatnonzero(np.diff(feeds)) + 1))
    # 2.
    accel = min(*limits.accel, limits.path_accel)
    spacing = 2 * np.minimum(feeds, max(limits.speed)) * np.sqrt(rounded / accel)
    place = np.concatenate(([0.0], np.cumsum(length / spacing)))
    spaced = np.flatnonzero(np.diff(np.floor(place))) + 1
    # 3.
    tolerance = max(_EXPLAINED * rounded, limits.corner_tolerance / 4)
    kept = _with_farthest(points, np.union1d(fixed, spaced), tolerance)
    return Thinned(
        points=points[kept],
        feed=feeds[kept[:-1]],
        stops=np.searchsorted(kept, rests),
        kept=kept,
        length=length,
    )


def _with_farthest(points: Floats, kept: NDArray[np.intp], tolerance: float) -> NDArray[np.intp]:
    while True:
        away = _distance_from_chords(points, kept)
        chord = np.repeat(np.arange(len(kept) - 1), np.diff(kept))
        farthest = np.maximum.reduceat(away, kept[:-1])[chord]
        missing = np.flatnonzero((farthest > tolerance) & (away == farthest))
        if not missing.size:
            return kept
        kept = np.union1d(kept, missing)


def _distance_from_chords(points: Floats, kept: NDArray[np.intp]) -> Floats:
    """How far each point but the last is from the chord between its kept neighbours, mm."""
    chord = np.diff(points[kept], axis=0)
    count = np.diff(kept)
    start, along = np.repeat(points[kept[:-1]], count, axis=0), np.repeat(chord, count, axis=0)
    offset = points[:-1] - start
    size = np.maximum(np.einsum("nk,nk->n", along, along), np.finfo(float).tiny)
    share = np.clip(np.einsum("nk,nk->n", offset, along) / size, 0, 1)
    away: Floats = np.linalg.norm(offset - share[:, None] * along, axis=1)
    return away
