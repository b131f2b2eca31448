"""How long a machine takes along a path.

What comes in: points, feeds and the limits of the axes. What goes out: seconds, for the whole or for each
segment. It knows nothing of tools, operations or file formats; `feeds` and `estimate` do.

The model in three sentences. The squared speed w = v2 at a vertex is held down by the feed, by the axes
and by the corner rule, and along a segment of length L it can change by no more than 2 a L. The fastest
profile is the largest w that keeps both, which two running minima over the summed budgets give in closed
form. The acceleration a depends on w itself, since an axis that turns the path cannot also speed it up; a
few repeats settle that.

The running minima are a bi-directional scan (Dong and Stori, "A generalized time-optimal bidirectional scan
algorithm for constrained feed-rate optimization", J. Dyn. Syst. Meas. Control 128, 2006).
"""

import math
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from signplan.timing.corners import by_tolerance, half_turn
from signplan.timing.coupling import CoupledBlock
from signplan.timing.jerk import LEVEL, jerk_delays
from signplan.timing.limits import Floats, MotionError, MotionLimits
from signplan.timing.segments import BLOCK, Block, coordinates, read_blocks
from signplan.timing.thinning import thinned

__all__ = ["MotionError", "MotionLimits", "segment_times", "travel_time"]

B = TypeVar("B", bound=Block)

_REFINEMENTS = 4
"""Repeats of the coupling; on smooth curves more of them change the time by less than 0.1 %."""


def travel_time(
    points: ArrayLike | Iterator[ArrayLike],
    feed: ArrayLike,
    limits: MotionLimits,
    *,
    stops: ArrayLike | None = None,
    coupled: bool = True,
    rounded: float = 0.0,
) -> float:
    """Seconds along a path, from rest to rest.

    Args:
        points: (N, 3) mm, or an iterator of (k, 3) arrays that are one path together. Repeated points take
            no time. Fewer than two points take none either.
        feed: mm/s, one number or one per segment; inf for a rapid, which only the axes limit.
        limits: what the machine can do.
        stops: indices of points where the machine comes to rest. What it does there is the caller's to add.
        coupled: False lets every axis spend its acceleration twice, along the path and across it: a quick
            figure, a third to a fifth of the work, 0 to 15 % low on curves and the same on straight lines.
        rounded: step that the coordinates were rounded to, mm, if they were and points are dense: 0.001 or
            0.0025 from a program text. Points that carry only rounding are then left out.

    Raises:
        MotionError: points, feeds or stops that are not what is asked for, with the place of the first.

    >>> router = MotionLimits(speed=(250, 250, 80), accel=(500, 500, 300), corner_tolerance=0.05)
    >>> travel_time([(0, 0, 0), (100, 0, 0)], 100, router)
    1.2
    """
    if rounded:
        if isinstance(points, Iterator):
            points = np.concatenate([np.zeros((0, 3)), *map(coordinates, points)])
        return float(segment_times(points, feed, limits, stops=stops, coupled=coupled, rounded=rounded).sum())
    blocks = _solved(points, feed, limits, stops=stops, coupled=coupled)
    return math.fsum(seconds.sum() for _, seconds in _timed(blocks, limits))


def segment_times(
    points: ArrayLike,
    feed: ArrayLike,
    limits: MotionLimits,
    *,
    stops: ArrayLike | None = None,
    coupled: bool = True,
    rounded: float = 0.0,
) -> Floats:
    """Seconds on each of the N - 1 segments, whose sum is `travel_time`.

    Half of the time on a rounded corner belongs to each of its legs. Arguments and errors as `travel_time`.
    """
    points = coordinates(points)
    times = np.zeros(max(len(points) - 1, 0))
    if rounded and times.size and not limits.exact_stop:
        path = thinned(points, feed, limits, rounded=rounded, stops=stops)
        few = segment_times(path.points, path.feed, limits, stops=path.stops, coupled=coupled)
        return path.spread(few)
    for number, seconds in _timed(_solved(points, feed, limits, stops=stops, coupled=coupled), limits):
        times[number] += seconds
    return times


def _solved(
    points: ArrayLike | Iterator[ArrayLike],
    feed: ArrayLike,
    limits: MotionLimits,
    *,
    stops: ArrayLike | None,
    coupled: bool,
    size: int = BLOCK,
) -> Iterator[Block]:
    """The blocks of a path with the squared speed at every vertex, streamed through each pass in turn."""
    blocks = _fastest(read_blocks(points, feed, limits, stops=stops, ceilings=coupled, size=size))
    if not coupled:
        return blocks
    refined: Iterator[CoupledBlock] = (CoupledBlock.of(block, limits) for block in blocks)
    for _ in range(_REFINEMENTS):
        refined = _fastest(_adapted(refined))
    return refined


def _fastest(blocks: Iterable[B]) -> Iterator[B]:
    """Give each block the largest squared speeds that its caps and its accelerations allow.

    The forward pass runs through. The backward pass needs what comes later, but no further than the machine
    takes to stop, so blocks are let go as soon as the one after them is long enough for that.
    """
    waiting: list[tuple[B, Floats]] = []
    entry = 0.0
    for block in blocks:
        block.cap[0] = entry
        most = float(block.cap.max())
        reach = _reach(block.gain, block.length, most)
        block.square = _forward(block.cap, reach)
        entry = float(block.square[-1])
        if block.loss is not block.gain:
            reach = _reach(block.loss, block.length, most)
        if reach[-1] >= block.square[0]:
            yield from _settled(waiting, exit_square=float((block.square + reach).min()))
            waiting = []
        waiting.append((block, reach))
    yield from _settled(waiting, exit_square=0.0)


def _settled(waiting: list[tuple[B, Floats]], exit_square: float) -> list[B]:
    for block, reach in reversed(waiting):
        block.square[-1] = exit_square
        block.square = _backward(block.square, reach)
        exit_square = float(block.square[0])
    return [block for block, _ in waiting]


def _reach(accel: Floats, length: Floats, most: float) -> Floats:
    """How far the squared speed can have moved at each vertex since the first one: the sum of 2 a L.

    No segment needs to count for more than the largest cap, which keeps the sums small and exact.
    """
    reach = np.empty(length.size + 1)
    reach[0] = 0
    np.cumsum(np.minimum(2 * accel * length, most), out=reach[1:])
    return reach


def _forward(cap: Floats, reach: Floats) -> Floats:
    """min over k <= i of  cap_k + reach_i - reach_k:  what can be reached from the vertices before."""
    return reach + np.minimum.accumulate(cap - reach)


def _backward(cap: Floats, reach: Floats) -> Floats:
    """min over k >= i of  cap_k + reach_k - reach_i:  what can still be stopped for the vertices after."""
    return np.minimum.accumulate((cap + reach)[::-1])[::-1] - reach


def _timed(blocks: Iterable[Block], limits: MotionLimits) -> Iterator[tuple[NDArray[np.intp], Floats]]:
    """Numbers of segments and the seconds to count for each."""
    profile = []
    for block, (peaks, lengths) in _with_neighbours(
        blocks, lambda each: (_peak(each, each.length), each.length)
    ):
        peak, speed, length = peaks[1:-1], np.sqrt(block.square), block.length
        times = _ramps(block, peak, speed)
        times += length
        times /= peak
        _add_roundings(times, block, speed, (peaks, lengths), limits)
        yield block.number, times
        if limits.jerk < np.inf:
            profile.append((block.number, length, speed[:-1], peak, block.accel))
    if profile:
        number, length, speed, peak, accel = (np.concatenate(parts) for parts in zip(*profile, strict=True))
        yield number, jerk_delays(length, np.append(speed, 0), peak, accel, limits.jerk)


def _with_neighbours(
    blocks: Iterable[B], measure: Callable[[B], tuple[Floats, ...]]
) -> Iterator[tuple[B, list[Floats]]]:
    """Blocks with measures of their n segments and of the segment before and after, (n + 2,) each.

    Past the ends of the path the measures are zero.
    """
    held: B | None = None
    before: list[Floats] = []
    own: tuple[Floats, ...] = ()
    for block in blocks:
        coming = measure(block)
        if held is None:
            before = [np.zeros(1) for _ in coming]
        else:
            yield held, [np.concatenate((b, o, c[:1])) for b, o, c in zip(before, own, coming, strict=True)]
            before = [each[-1:] for each in own]
        held, own = block, coming
    if held is not None:
        yield held, [np.concatenate((b, o, [0.0])) for b, o in zip(before, own, strict=True)]


def _peak(block: Block, length: Floats, at: slice | NDArray[np.intp] = slice(None)) -> Floats:
    """Top speed on segments: where speeding up meets slowing down, or what feed and axes allow."""
    before, after = block.square[:-1][at], block.square[1:][at]
    gain, loss = block.gain[at], block.loss[at]
    if block.gain is block.loss:
        meeting = (before + after) / 2
        meeting += gain * length
    else:
        meeting = (loss * before + gain * after + 2 * gain * loss * length) / (gain + loss)
    np.minimum(block.top[at], meeting, out=meeting)
    return np.sqrt(meeting, out=meeting)


def _ramps(block: Block, peak: Floats, speed: Floats) -> Floats:
    """What speeding up at the start and slowing down at the end take, as lengths at the peak speed."""
    up, down = peak - speed[:-1], peak - speed[1:]
    up *= up
    down *= down
    if block.gain is block.loss:
        up += down
        return up / (2 * block.gain)
    return up / (2 * block.gain) + down / (2 * block.loss)


def _add_roundings(
    times: Floats, block: Block, speed: Floats, legs: tuple[Floats, Floats], limits: MotionLimits
) -> None:
    """Put the arc at the speed of each corner in place of the ends of its legs, half of it on each leg.

    Only a corner that holds the machine back is timed so. One that it passes while speeding up is part of
    the ramp, and a machine at rest stands on the vertex itself. A leg loses its ends where it is fastest,
    which takes  2 cut / (peak + peak of what is left).
    """
    peaks, lengths = legs
    at = np.flatnonzero(np.minimum(peaks[:-1], peaks[1:]) > speed * (1 + LEVEL))
    at = at[speed[at] > 0]
    sine, cosine = half_turn(block.bend[at])
    room = np.minimum(block.span[at], np.minimum(lengths[at], lengths[at + 1])) / 2
    cut = np.minimum(by_tolerance(sine, cosine, limits), room)
    arc = 2 * np.arcsin(sine) * cosine / sine * cut
    more, less = np.zeros((2, times.size + 2))
    for end in (at, at + 1):
        more[end] += arc / (2 * speed[at])
        less[end] += cut
    here = np.flatnonzero(less[1:-1])
    leg = here + 1
    left = _peak(block, lengths[leg] - less[leg], here)
    left = np.maximum(left, np.maximum(speed[here], speed[leg]))
    times[here] += more[leg] - 2 * less[leg] / (peaks[leg] + left)


def _adapted(blocks: Iterable[CoupledBlock]) -> Iterator[CoupledBlock]:
    """Blocks with accelerations and caps that suit the speeds found so far."""
    for block, (along,) in _with_neighbours(blocks, lambda each: (each.take_in(),)):
        block.adapt(along)
        yield block
