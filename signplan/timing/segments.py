"""Points of a path to blocks of straight segments, ready for the motion model.

What comes in: points, feeds, places of rest, the limits of a machine. What goes out, one block at a time
so that a path of any length passes through a few megabytes: for every segment its length, direction,
acceleration and top speed; for every vertex how fast it may be passed and how its corner is rounded.
Nothing here knows how fast the machine really goes; `motion` does.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from signplan.errors import SignplanError

Floats = NDArray[np.float64]

BLOCK = 16384
"""Segments in a block: its arrays stay in a processor's second-level cache."""

_SMALLEST_TOLERANCE = 1e-9
"""mm. A corner tolerance of nothing would stop the machine at the rounding noise of a straight line."""

_STRAIGHT = 1e-12
"""Sine of half the turn of a joint that is taken for straight: less than floating point can tell."""


class MotionError(SignplanError, ValueError):
    """A path, a feed or a limit from which no time can be computed; the text says which and where."""


@dataclass(frozen=True, slots=True)
class MotionLimits:
    """What a machine's axes can do, and how it takes corners.

    Attributes:
        speed: top speed of each axis, mm/s.
        accel: acceleration of each axis, mm/s2.
        corner_tolerance: how far a rounded corner may pass from the programmed one, mm.
        exact_stop: come to rest at the end of every programmed move, instead of blending.
        path_accel: limit along the path, and another time across it, mm/s2.
        jerk: limit of the change of acceleration along the path, mm/s3.

    Raises:
        MotionError: a limit that is not a number above zero (the tolerance may be zero).
    """

    speed: tuple[float, float, float]
    accel: tuple[float, float, float]
    corner_tolerance: float
    exact_stop: bool = False
    path_accel: float = np.inf
    jerk: float = np.inf

    def __post_init__(self) -> None:
        for name in ("speed", "accel"):
            values = np.asarray(getattr(self, name), dtype=float)
            if values.shape != (3,) or not (np.isfinite(values) & (values > 0)).all():
                raise MotionError(f"{name}: {getattr(self, name)} is not three numbers above zero (X, Y, Z)")
            object.__setattr__(self, name, tuple(values.tolist()))
        for name in ("path_accel", "jerk"):
            if not getattr(self, name) > 0:
                raise MotionError(f"{name}: {getattr(self, name)} is not above zero")
        if not 0 <= self.corner_tolerance < np.inf:
            raise MotionError(f"corner_tolerance: {self.corner_tolerance} is not zero or more")


@dataclass(slots=True)
class Block:
    """n segments in a row and the n + 1 vertices between them; the last vertex is the next block's first.

    Per segment: `number` among the segments given, `length` mm, `unit` direction (3, n), `top` squared
    speed, and the accelerations that can speed the machine up (`gain`) and slow it down (`loss`) along it.
    Per vertex: `cap` squared speed, `turn` change of direction (3, n + 1), `span` mm over which it turns,
    `blend` mm of each leg that the rounded corner replaces, `arc` mm of the rounding itself, and the
    squared speed, once it is known: `square` of the last pass, `guess` averaged over passes.
    """

    number: NDArray[np.intp]
    length: Floats
    unit: Floats
    top: Floats
    gain: Floats
    loss: Floats
    cap: Floats
    turn: Floats
    span: Floats
    blend: Floats
    arc: Floats
    square: Floats
    guess: Floats

    def join(self, following: "Block") -> None:
        """Share the first vertex of the following block."""
        for mine, its in zip(self._vertices(), following._vertices(), strict=True):
            mine[..., -1] = its[..., 0]

    def _vertices(self) -> tuple[Floats, ...]:
        return self.cap, self.turn, self.span, self.blend, self.arc


def read_blocks(
    points: ArrayLike | Iterator[ArrayLike],
    feed: ArrayLike,
    limits: MotionLimits,
    *,
    stops: ArrayLike | None = None,
    size: int = BLOCK,
) -> Iterator[Block]:
    """Blocks of the segments that have a length, in order, at rest before the first and after the last.

    Args:
        points: (N, 3) mm, or an iterator of (k, 3) arrays that are one path together.
        feed: mm/s, one number or one per segment; inf for a rapid.
        stops: indices of points where the machine comes to rest.
        size: segments in a block.

    Raises:
        MotionError: points, feeds or stops that are not what is asked for, with the place of the first.
    """
    feeds, halts = _Feeds(feed), _Stops(stops)
    first, waiting = 0, None
    for slab in _slabs(points, size):
        block = _block(slab, first, feeds, limits)
        if block is not None:
            _corners(block, waiting, limits)
            halts.apply(block)
            if waiting is not None:
                waiting.join(block)
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


def _block(slab: Floats, first: int, feeds: "_Feeds", limits: MotionLimits) -> Block | None:
    """The segments of a slab that have a length, or None if there are none. Segment `first` is the first."""
    number = np.arange(first, first + len(slab) - 1)
    with np.errstate(over="ignore", invalid="ignore"):
        step = np.ascontiguousarray(np.diff(slab, axis=0).T)
        length = _norm(step)
    if not np.isfinite(length.sum()) or not np.isfinite(slab[-1]).all():
        _refuse(slab, first)
    feed = feeds.of(first, len(number))
    if not length.all():
        moving = length > 0
        number, step, length, feed = number[moving], step[:, moving], length[moving], feed[moving]
    if not number.size:
        return None
    unit = step / length
    size = np.abs(unit)
    accel = np.minimum(1 / _longest(size, limits.accel), limits.path_accel)
    top = np.minimum(feed, 1 / _longest(size, limits.speed)) ** 2
    vertices = np.zeros((8, len(number) + 1))
    return Block(
        number=number,
        length=length,
        unit=unit,
        top=top,
        gain=accel,
        loss=accel,
        turn=vertices[:3],
        cap=vertices[3],
        span=vertices[4],
        blend=vertices[5],
        arc=vertices[6],
        square=vertices[7],
        guess=vertices[7, :0],
    )


def _corners(block: Block, before: Block | None, limits: MotionLimits) -> None:
    """Fill in the vertices of a block, except the last one, from its segments and the one before them.

    The rounded corner is a circular arc tangent to both legs: its distance from the vertex is at most the
    corner tolerance, and it takes at most half of each leg (Kunz and Stilman, "Time-optimal trajectory
    generation for path following with bounded acceleration and velocity", RSS 2012). With s the sine and
    c the cosine of half the turn, it replaces  blend = min(tolerance (1 + c) / s, span / 2)  of each leg,
    has the radius  blend c / s, and is passed at  v2 = a radius,  a being what the axes give across it.
    """
    at = slice(1 if before is None else 0, -1)
    unit, length, top = block.unit, block.length, block.top
    if before is not None:
        unit = np.concatenate((before.unit[:, -1:], unit), axis=1)
        length = np.concatenate((before.length[-1:], length))
        top = np.concatenate((before.top[-1:], top))
    turn = unit[:, 1:] - unit[:, :-1]
    sine = np.clip(_norm(turn) / 2, _STRAIGHT, 1)
    cosine = np.sqrt(1 - sine * sine)
    shorter = np.minimum(length[:-1], length[1:])
    # A joint that turns little samples a curve: it turns over the mean of its chords. A sharp corner has to
    # fit into the shorter leg. In between, the cosine of the turn weighs one against the other.
    longer_by = np.abs(length[1:] - length[:-1]) / 2
    span = shorter + np.maximum(1 - 2 * sine * sine, 0) * longer_by
    over_sine = 1 / sine
    tolerance = max(limits.corner_tolerance, _SMALLEST_TOLERANCE)
    blend = np.minimum(tolerance * (1 + cosine) * over_sine, span / 2)
    across = np.maximum(_longest(np.abs(turn), limits.accel), 2 * sine / limits.path_accel)
    allowed = 2 * cosine * blend / np.maximum(across, _STRAIGHT / max(limits.accel))
    block.cap[at] = 0 if limits.exact_stop else np.minimum(np.minimum(top[:-1], top[1:]), allowed)
    block.turn[:, at] = turn
    block.span[at] = span
    block.blend[at] = blend = np.minimum(blend, shorter / 2)
    block.arc[at] = 2 * np.arcsin(sine) * cosine * over_sine * blend


def _norm(rows: Floats) -> Floats:
    """Lengths of vectors given as three rows."""
    x, y, z = rows
    norm: Floats = np.sqrt(x * x + y * y + z * z)
    return norm


def _longest(size: Floats, limit: tuple[float, float, float]) -> Floats:
    """The largest of |x| / limit over the axes."""
    x, y, z = size
    longest: Floats = np.maximum(np.maximum(x / limit[0], y / limit[1]), z / limit[2])
    return longest


def _refuse(slab: Floats, first: int) -> None:
    bad = np.flatnonzero(~np.isfinite(slab).all(axis=1))
    if bad.size:
        raise MotionError(f"point {first + bad[0]} is not a place: {tuple(slab[bad[0]].tolist())}")
    raise MotionError(f"points {first} to {first + len(slab) - 1} are too far apart to be a path")


class _Feeds:
    """The feed of any stretch of segments."""

    def __init__(self, feed: ArrayLike) -> None:
        try:
            self._feed = np.asarray(feed, dtype=np.float64)
        except (TypeError, ValueError) as error:
            raise MotionError(f"feed is not a number: {error}") from None
        if self._feed.ndim > 1:
            raise MotionError(f"feed has the shape {self._feed.shape}, not one number or one per segment")
        if self._feed.ndim == 0:
            self._check(self._feed.reshape(1), 0)

    def of(self, first: int, count: int) -> Floats:
        if self._feed.ndim == 0:
            return np.broadcast_to(self._feed, count)
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
        if not (feed > 0).all():
            place = int(np.flatnonzero(~(feed > 0))[0])
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
        upto = int(np.searchsorted(self._stops, block.number[-1], side="right"))
        block.cap[np.searchsorted(block.number, self._stops[self._given : upto])] = 0
        self._given = upto

    def check_range(self, segments: int) -> None:
        if self._stops.size and self._stops[-1] > segments:
            raise MotionError(f"stop {self._stops[-1]} is not the index of a point: the last is {segments}")
