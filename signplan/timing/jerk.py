"""What a limit on jerk adds to a profile that was computed without one.

What comes in: lengths, speeds and accelerations along a path. What goes out: seconds to add to each
segment. The speeds themselves stay; nothing here looks at the geometry.

The profile is taken apart into humps: stretches from one low of the speed over a top to the next low. A
symmetric ramp that changes the speed by dv under an acceleration a and a jerk j takes

    T(dv) = dv / a + a / j      if  dv >= a2 / j,  and  2 sqrt(dv / j)  otherwise,

at the mean of its two speeds (any text on S-curve motion profiles). Where the two ramps of a hump do not fit
into its length, its top comes down until they do; where not even one fits, the lows come down first.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from signplan.timing.limits import Floats

LEVEL = 1e-6
"""Speeds that differ by a smaller share are the same speed."""

_HALVINGS = 50
"""Steps of the search for the top of a hump; each halves the interval."""

_NEWTON_STEPS = 8
"""From never more than 1.5 times the root, this many steps reach the last digit."""


def jerk_delays(length: Floats, speed: Floats, peak: Floats, accel: Floats, jerk: float) -> Floats:
    """Seconds that a limit on jerk adds to each of n segments.

    Args:
        length: (n,) mm.
        speed: (n + 1,) mm/s at the vertices.
        peak: (n,) mm/s, the highest speed on each segment.
        accel: (n,) mm/s2 that the axes allow along each segment.
        jerk: mm/s3 along the path.
    """
    if not length.size:
        return np.zeros(0)
    humps = _humps(length, speed, peak, accel)
    before = humps.seconds(math.inf, humps.low)
    after = humps.seconds(jerk, _lows_within_reach(humps, jerk))
    delay = np.maximum(after - before, 0) / humps.length
    return length * np.repeat(delay, humps.count)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Humps:
    """H stretches of a profile, each with a ramp up and a ramp down.

    `count` segments, `length` mm, `top` mm/s, `accel` mm/s2, all (H,). For the two ramps, (2, H): `low` mm/s
    where the hump begins and ends, `taken` s from there to the top without a limit on jerk.
    """

    count: NDArray[np.intp]
    length: Floats
    top: Floats
    accel: Floats
    low: Floats
    taken: Floats

    def seconds(self, jerk: float, low: Floats) -> Floats:
        """Time of each hump, with its top as high as both ramps fit under."""
        bottom, top = low.max(axis=0), self.top
        if (self._distances(top, low, jerk) > self.length).any():
            for _ in range(_HALVINGS):
                middle = (bottom + top) / 2
                fits = self._distances(middle, low, jerk) <= self.length
                bottom, top = np.where(fits, middle, bottom), np.where(fits, top, middle)
            top = np.where(self._distances(self.top, low, jerk) <= self.length, self.top, bottom)
        cruise: Floats = np.maximum(self.length - self._distances(top, low, jerk), 0)
        ramps: Floats = self._durations(top, low, jerk).sum(axis=0)
        return ramps + cruise / top

    def _distances(self, top: Floats, low: Floats, jerk: float) -> Floats:
        distances: Floats = ((low + top) / 2 * self._durations(top, low, jerk)).sum(axis=0)
        return distances

    def _durations(self, top: Floats, low: Floats, jerk: float) -> Floats:
        """Of both ramps. One that a curve made longer than jerk would make it stays as it was."""
        change, whole = np.maximum(top - low, 0), self.top - self.low
        pace = np.divide(self.taken, whole, out=np.zeros_like(whole), where=whole > LEVEL * self.top)
        if jerk == math.inf:
            return change * pace
        accel = np.maximum(self.accel, 1 / np.maximum(pace, LEVEL / self.accel))
        limited = self.taken < _ramp(whole, accel, jerk)
        return np.where(limited, _ramp(change, accel, jerk), change * pace)


def _humps(length: Floats, speed: Floats, peak: Floats, accel: Floats) -> _Humps:
    """Take a profile apart where it has ended a fall or is about to rise, whichever way it went before.

    A level stretch at the top belongs to its hump. One at a low stands alone, and a shelf on the way belongs
    to the ramp below it, whose top it is.
    """
    rises, falls = peak > speed[:-1] * (1 + LEVEL), peak > speed[1:] * (1 + LEVEL)
    level = ~(rises | falls)
    ends = falls[:-1] & (rises[1:] | level[1:]) | level[:-1] & rises[1:]
    start = np.concatenate(([0], np.flatnonzero(ends) + 1))
    places = np.arange(speed.size)
    count = np.diff(start, append=length.size)
    total = np.add.reduceat(length, start)
    top = np.maximum.reduceat(peak, start)
    low = np.stack((speed[start], speed[start + count]))
    # How long the ramps take: whole segments as far as the first, and from the last, that touches the top.
    at_top = peak >= np.repeat(top, count) * (1 - LEVEL)
    first = np.minimum.reduceat(np.where(at_top, places[:-1], speed.size), start)
    last = np.maximum.reduceat(np.where(at_top, places[:-1], -1), start)
    ramps = np.where(at_top, 0, 2 * length / np.maximum(speed[:-1] + speed[1:], LEVEL))
    clock = np.concatenate(([0.0], np.cumsum(ramps)))
    up = clock[first] - clock[start] + (top - speed[first]) / accel[first]
    down = clock[start + count] - clock[last + 1] + (top - speed[last + 1]) / accel[last]
    return _Humps(
        count=count,
        length=total,
        top=top,
        accel=np.add.reduceat(accel * length, start) / total,
        low=low,
        taken=np.stack((up, down)),
    )


def _ramp(change: Floats, accel: Floats, jerk: float) -> Floats:
    """Seconds of an S-shaped ramp."""
    return np.where(change * jerk >= accel * accel, change / accel + accel / jerk, 2 * np.sqrt(change / jerk))


def _lows_within_reach(humps: _Humps, jerk: float) -> Floats:
    """Lows brought down to what one ramp over the whole hump can join, forwards and backwards."""
    low = np.concatenate((humps.low[0], humps.low[1, -1:]))
    changing = np.arange(humps.length.size)
    while changing.size:
        length, accel = humps.length[changing], humps.accel[changing]
        start, end = low[changing], low[changing + 1]
        new_end = np.minimum(end, _within_reach(start, length, accel, jerk))
        new_start = np.minimum(start, _within_reach(end, length, accel, jerk))
        lower_start, lower_end = new_start < start * (1 - LEVEL), new_end < end * (1 - LEVEL)
        np.minimum.at(low, changing + 1, new_end)
        np.minimum.at(low, changing, new_start)
        touched = np.concatenate((changing[lower_end] + 1, changing[lower_start] - 1))
        changing = np.unique(touched[(touched >= 0) & (touched < humps.length.size)])
    return np.stack((low[:-1], low[1:]))


def _within_reach(speed: Floats, length: Floats, accel: Floats, jerk: float) -> Floats:
    """The highest speed that one S-shaped ramp reaches from `speed` within `length`."""
    half = accel * accel / (2 * jerk)
    full = np.sqrt((speed - half) ** 2 + 2 * accel * length) - half
    # The acceleration is not reached: y3 + 2 v y = L sqrt(j) with y2 the change of speed.
    side = length * math.sqrt(jerk)
    root = np.minimum(np.cbrt(side), side / np.maximum(2 * speed, LEVEL))
    for _ in range(_NEWTON_STEPS):
        root -= (root**3 + 2 * speed * root - side) / (3 * root * root + 2 * speed)
    return np.where(full - speed >= 2 * half, full, speed + root * root)
