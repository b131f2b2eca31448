"""Points of a path to blocks of straight segments, ready for the motion model.

What comes in: points, feeds, places of rest, the limits of a machine. What goes out, one block at a time
so that a path of any length passes through a few megabytes: for every segment its length, direction,
acceleration and top speed; for every vertex how fast it may be passed and how its corner is rounded.
Nothing here knows how fast the machine really goes; `motion` does.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from signplan.timing.corners import corners, squares
from signplan.timing.limits import Floats, MotionError, MotionLimits

BLOCK = 16384
"""Segments in a block: its arrays stay in a processor's second-level cache."""

_NOTHING = 1e-100
"""mm, mm/s. A segment that is not longer has no length, and a feed that is not more is none: the squares of
less are lost to rounding."""


@dataclass(slots=True)
class Block:
    """n segments in a row and the n + 1 vertices between them; the last vertex is the next block's first.

    Per segment: `number` among the segments given, `length` mm, `unit` direction (3, n), `top` squared
    speed, `accel` that the axes allow along it, and what of that can speed the machine up (`gain`) and slow
    it down (`loss`).
    Per vertex: `bend` squared sine of half its turn, `span` mm over which it turns, `cap` squared speed, and
    `square`, the squared speed, once it is known.
    For coupling alone: `ceiling` above which it may not raise a vertex's squared speed, and `turn`, its
    change of direction (3, n + 1). Without it these are empty, and `unit` is (3, 2): the first and the last.
    """

    number: NDArray[np.intp]
    length: Floats
    unit: Floats
    top: Floats
    accel: Floats
    gain: Floats
    loss: Floats
    bend: Floats
    span: Floats
    cap: Floats
    ceiling: Floats
    turn: Floats
    square: Floats

    def vertices(self) -> list[Floats]:
        """What reading finds out about the vertices, as `corners` wants it."""
        return [self.bend, self.span, self.cap, *([self.ceiling, self.turn] if self.ceiling.size else [])]


def read_blocks(
    points: ArrayLike | Iterator[ArrayLike],
    feed: ArrayLike,
    limits: MotionLimits,
    *,
    stops: ArrayLike | None = None,
    ceilings: bool = False,
    size: int = BLOCK,
) -> Iterator[Block]:
    """Blocks of the segments that have a length, in order; the path begins and ends at rest.

    Args:
        points: (N, 3) mm, or an iterator of (k, 3) arrays that are one path together.
        feed: mm/s, one number or one per segment; inf for a rapid.
        stops: indices of points where the machine comes to rest.
        ceilings: work these out too; coupling needs them.
        size: segments in a block.

    Raises:
        MotionError: points, feeds or stops that are not what is asked for, with the place of the first.
    """
    feeds, halts = _Feeds(feed, size), _Stops(stops)
    first, waiting = 0, None
    for slab in _slabs(points, size):
        block = _block(slab, first, feeds, limits, ceilings)
        if block is not None:
            if waiting is not None:
                _join(waiting, block, limits)
            halts.apply(block)
            if waiting is not None:
                for mine, its in zip(waiting.vertices(), block.vertices(), strict=True):
                    mine[..., -1] = its[..., 0]
                yield waiting
            waiting = block
        first += len(slab) - 1
    feeds.check_length(first)
    halts.check_range(first)
    if waiting is not None:
        yield waiting


def _slabs(points: Any, size: int) -> Iterator[Floats]:
    """The points in arrays of up to size + 1, each beginning with the last point of the one before."""
    held: list[Floats] = []
    ready = 0
    for chunk in points if isinstance(points, Iterator) else (points,):
        held.append(coordinates(chunk))
        ready += len(held[-1])
        if ready > size:
            whole = held[0] if len(held) == 1 else np.concatenate(held)
            start = 0
            while ready > size:
                yield whole[start : start + size + 1]
                start, ready = start + size, ready - size
            held = [whole[start:]]
    if ready:
        yield np.concatenate(held)


def coordinates(chunk: ArrayLike) -> Floats:
    """An (N, 3) array of numbers, which may still be none.

    Raises:
        MotionError: they are not numbers, or not three a point.
    """
    try:
        array = np.asarray(chunk, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise MotionError(f"points are not numbers: {error}") from None
    if array.size == 0:
        return array.reshape(0, 3)
    if array.ndim != 2 or array.shape[1] != 3:
        raise MotionError(f"points have the shape {array.shape}, not (N, 3)")
    return array


def _block(slab: Floats, first: int, feeds: "_Feeds", limits: MotionLimits, ceilings: bool) -> Block | None:
    """The segments of a slab that have a length, from number `first` on, or None if there are none."""
    number = np.arange(first, first + len(slab) - 1)
    feed = feeds.of(first, len(number))
    with np.errstate(over="ignore", invalid="ignore"):
        step = np.subtract(slab[1:].T, slab[:-1].T, order="C")
        square, by_accel = squares(step, limits.accel)
        length = np.sqrt(square)
    if not math.isfinite(length.sum() + slab[-1].sum()):
        _refuse(slab, first)
    if not (length > _NOTHING).all():
        moving = length > _NOTHING
        number, step, length, feed = number[moving], step[:, moving], length[moving], feed[moving]
        square, by_accel = square[moving], by_accel[moving]
    if not number.size:
        return None
    top, accel = _squared_tops(step, square, feed, limits), np.sqrt(square / by_accel)
    if limits.path_accel < np.inf:
        accel = np.minimum(accel, limits.path_accel)
    unit = step / length
    ends = number.size + 1
    block = Block(
        number=number,
        length=length,
        unit=unit if ceilings else unit[:, [0, -1]],
        top=top,
        accel=accel,
        gain=accel,
        loss=accel,
        bend=np.empty(ends),
        span=np.empty(ends),
        cap=np.empty(ends),
        ceiling=np.empty(ends if ceilings else 0),
        turn=np.empty((3, ends if ceilings else 0)),
        square=np.empty(0),
    )
    for vertex in block.vertices():
        vertex[..., 0] = vertex[..., -1] = 0
    corners(unit, length, top, limits, out=[vertex[..., 1:-1] for vertex in block.vertices()])
    return block


def _squared_tops(step: Floats, square: Floats, feed: Floats, limits: MotionLimits) -> Floats:
    """What the feed allows, and of the axes those that may be slower than it."""
    top, fastest = feed * feed, feed.max()
    with np.errstate(divide="ignore", over="ignore"):
        for along, speed in zip(step, limits.speed, strict=True):
            if speed < fastest:
                np.minimum(top, square * (speed / along) ** 2, out=top)
    return top


def _join(before: Block, after: Block, limits: MotionLimits) -> None:
    """Let two blocks in a row share the vertex between them."""
    unit = np.column_stack((before.unit[:, -1], after.unit[:, 0]))
    length = np.array((before.length[-1], after.length[0]))
    top = np.array((before.top[-1], after.top[0]))
    corners(unit, length, top, limits, out=[vertex[..., :1] for vertex in after.vertices()])


def _refuse(slab: Floats, first: int) -> None:
    bad = np.flatnonzero(~np.isfinite(slab).all(axis=1))
    if bad.size:
        raise MotionError(f"point {first + bad[0]} is not a place: {tuple(slab[bad[0]].tolist())}")
    raise MotionError(f"points {first} to {first + len(slab) - 1} are too far apart to be a path")


class _Feeds:
    """The feed of any stretch of segments."""

    def __init__(self, feed: ArrayLike, size: int) -> None:
        try:
            self._feed = np.asarray(feed, dtype=np.float64)
        except (TypeError, ValueError) as error:
            raise MotionError(f"feed is not a number: {error}") from None
        if self._feed.ndim > 1:
            raise MotionError(f"feed has the shape {self._feed.shape}, not one number or one per segment")
        if self._feed.ndim == 0:
            self._check(self._feed.reshape(1), 0)
            self._same = np.full(size, self._feed)

    def of(self, first: int, count: int) -> Floats:
        if self._feed.ndim == 0:
            return self._same[:count]
        part = self._feed[first : first + count]
        self._check(part, first)
        if len(part) < count:
            self.check_length(first + count)
        return part

    def check_length(self, segments: int) -> None:
        if self._feed.ndim and len(self._feed) != segments:
            raise MotionError(f"{len(self._feed)} feeds were given for {segments} or more segments")

    @staticmethod
    def _check(feed: Floats, first: int) -> None:
        if not (feed > _NOTHING).all():
            place = int(np.flatnonzero(~(feed > _NOTHING))[0])
            raise MotionError(f"the feed of segment {first + place} is {feed[place]} mm/s, not above zero")


class _Stops:
    """Points of rest, handed out block by block in order."""

    def __init__(self, stops: ArrayLike | None) -> None:
        given = np.asarray([] if stops is None else stops)
        if given.size and (given.ndim != 1 or given.dtype.kind not in "iu"):
            raise MotionError("stops are not a list of whole numbers, the indices of points")
        self._stops = np.unique(given.astype(np.intp).ravel())
        if self._stops.size and self._stops[0] < 0:
            raise MotionError(f"stop {self._stops[0]} is not the index of a point")
        self._given = 0

    def apply(self, block: Block) -> None:
        """Rest where the next moving segment starts, also for a stop among repeated points."""
        if not self._stops.size:
            return
        upto = int(np.searchsorted(self._stops, block.number[-1], side="right"))
        at = np.searchsorted(block.number, self._stops[self._given : upto])
        for speed in block.vertices()[2:4]:
            speed[at] = 0
        self._given = upto

    def check_range(self, segments: int) -> None:
        if self._stops.size and self._stops[-1] > segments:
            raise MotionError(f"stop {self._stops[-1]} is not the index of a point: the last is {segments}")
