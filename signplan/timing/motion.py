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

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import ArrayLike

from signplan.timing.segments import Block, Floats, MotionError, MotionLimits, coordinates, read_blocks

__all__ = ["MotionError", "MotionLimits", "segment_times", "travel_time"]

_REFINEMENTS = 4
"""Repeats of the coupling of path and cross acceleration; more change the time by less than 0.1 %."""

_SQUARE_ON = 1e-9
"""An axis with a smaller share than this of a direction does not limit it."""

_LEVEL = 1e-6
"""Speeds that differ by a smaller share are the same speed."""

_LEAST_ACCEL = 0.02
"""Share of its acceleration that a segment keeps, however much of it the turning takes."""


def travel_time(
    points: ArrayLike | Iterator[ArrayLike],
    feed: ArrayLike,
    limits: MotionLimits,
    *,
    stops: ArrayLike | None = None,
    coupled: bool = True,
) -> float:
    """Seconds along a path, from rest to rest.

    Args:
        points: (N, 3) mm, or an iterator of (k, 3) arrays that are one path together. Repeated points take
            no time. Fewer than two points take none either.
        feed: mm/s, one number or one per segment; inf for a rapid, which only the axes limit.
        limits: what the machine can do.
        stops: indices of points where the machine comes to rest. What it does there is the caller's to add.
        coupled: False lets every axis spend its acceleration twice, along the path and across it: a quick
            figure, about a sixth of the work, 0 to 15 % low on curves and the same on straight lines.

    Raises:
        MotionError: points, feeds or stops that are not what is asked for, with the place of the first.

    >>> router = MotionLimits(speed=(250, 250, 80), accel=(500, 500, 300), corner_tolerance=0.05)
    >>> travel_time([(0, 0, 0), (100, 0, 0)], 100, router)
    1.2
    """
    return sum(float(times.sum()) for _, times in _timed(_solved(points, feed, limits, stops, coupled)))


def segment_times(
    points: ArrayLike,
    feed: ArrayLike,
    limits: MotionLimits,
    *,
    stops: ArrayLike | None = None,
    coupled: bool = True,
) -> Floats:
    """Seconds on each of the N - 1 segments, whose sum is `travel_time`.

    The time on a rounded corner belongs to the segment that it leads to. Arguments and errors are those of
    `travel_time`.
    """
    points = coordinates(points)
    times = np.zeros(max(len(points) - 1, 0))
    for block, seconds in _timed(_solved(points, feed, limits, stops, coupled)):
        times[block.number] = seconds
    return times


def _solved(
    points: ArrayLike | Iterator[ArrayLike],
    feed: ArrayLike,
    limits: MotionLimits,
    stops: ArrayLike | None,
    coupled: bool,
) -> Iterator[Block]:
    """The blocks of a path with the squared speed at every vertex, streamed through each pass in turn."""
    blocks = _fastest(read_blocks(points, feed, limits, stops=stops))
    if coupled:
        for _ in range(_REFINEMENTS):
            blocks = _fastest(_refined(blocks, limits))
    return blocks


def _fastest(blocks: Iterable[Block]) -> Iterator[Block]:
    """Give each block the largest squared speeds that its caps and its accelerations allow.

    The forward pass runs through. The backward pass needs what comes later, but no further than the machine
    takes to stop, so blocks are let go as soon as the one after them is long enough for that.
    """
    waiting: list[Block] = []
    entry = 0.0
    for block in blocks:
        block.cap[0] = entry
        block.square = _forward(block.cap, _reach(block.gain, block.length))
        entry = float(block.square[-1])
        reach = _reach(block.loss, block.length)
        if reach[-1] >= block.square[0]:
            yield from _settled(waiting, exit_square=float((block.square + reach).min()))
            waiting = []
        waiting.append(block)
    yield from _settled(waiting, exit_square=0.0)


def _settled(blocks: list[Block], exit_square: float) -> list[Block]:
    for block in reversed(blocks):
        block.square[-1] = exit_square
        block.square = _backward(block.square, _reach(block.loss, block.length))
        exit_square = float(block.square[0])
    return blocks


def _reach(accel: Floats, length: Floats) -> Floats:
    """How far the squared speed can have moved at each vertex since the first one: the sum of 2 a L."""
    reach = np.empty(len(length) + 1)
    reach[0] = 0
    np.cumsum(2 * accel * length, out=reach[1:])
    return reach


def _forward(cap: Floats, reach: Floats) -> Floats:
    """min over k <= i of  cap_k + reach_i - reach_k:  what can be reached from the vertices before."""
    return reach + np.minimum.accumulate(cap - reach)


def _backward(cap: Floats, reach: Floats) -> Floats:
    """min over k >= i of  cap_k + reach_k - reach_i:  what can still be stopped for the vertices after."""
    return np.minimum.accumulate((cap + reach)[::-1])[::-1] - reach


def _timed(blocks: Iterable[Block]) -> Iterator[tuple[Block, Floats]]:
    """Blocks with the seconds on each segment; a rounded corner counts with the segment that it leads to."""
    peak_before = np.inf
    for block in blocks:
        before, after = block.square[:-1], block.square[1:]
        gain, loss, length = block.gain, block.loss, block.length
        top = (loss * before + gain * after + 2 * gain * loss * length) / (gain + loss)
        peak = np.sqrt(np.minimum(block.top, top))
        speed = np.sqrt(block.square)
        times = length / peak
        times += ((peak - speed[:-1]) ** 2 / gain + (peak - speed[1:]) ** 2 / loss) / (2 * peak)
        peaks = np.concatenate(([peak_before], peak))
        times += _rounding(block, speed[:-1], peaks)
        peak_before = float(peak[-1])
        yield block, times


def _rounding(block: Block, speed: Floats, peaks: Floats) -> Floats:
    """What rounding adds at the vertex where each segment starts: the arc, at the speed of the vertex,
    less the ends of the legs, which a shorter leg loses where it is fastest.

    Only a corner that holds the machine back is timed so. One that it passes while speeding up is part of
    the ramp, and a machine at rest stands on the vertex itself.
    """
    left, right = peaks[:-1], peaks[1:]
    dip = (speed > 0) & (np.minimum(left, right) > speed * (1 + _LEVEL))
    arc = np.divide(block.arc[:-1], speed, out=np.zeros_like(speed), where=dip)
    return np.where(dip, arc - block.blend[:-1] * (1 / left + 1 / right), 0)


def _refined(blocks: Iterable[Block], limits: MotionLimits) -> Iterator[Block]:
    """Lower the accelerations of each block by what turning takes from every axis.

    Along a segment in direction u, with the path turning at the rate k, an axis has to give  u s" + k w,
    of which the second part is taken from the profile of the pass before, averaged with earlier ones.
    """
    for block in blocks:
        block.guess = (block.guess + block.square) / 2 if block.guess.size else block.square
        unit = np.where(np.abs(block.unit) < _SQUARE_ON, _SQUARE_ON, block.unit)
        pull = block.turn * (block.guess / np.maximum(block.span, 1e-9))
        pull = (pull[:, :-1] + pull[:, 1:]) / (2 * unit)
        push = np.array(limits.accel)[:, None] / np.abs(unit)
        least = _LEAST_ACCEL * push.min(axis=0)
        block.gain = np.minimum(np.maximum((push - pull).min(axis=0), least), limits.path_accel)
        block.loss = np.minimum(np.maximum((push + pull).min(axis=0), least), limits.path_accel)
        yield block
