"""How long a program takes, tool change by tool change, by the motion model of the plan.

In: batches of moves, in order. Out: seconds of motion for each tool change of the program. Path modes: exact
stop rests after every move; exact path takes corners within `EXACT`; continuous, and a program that says
nothing, as the shop's machine is set. A move from or to an unknown place takes no time.
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from signplan.job.shop import Machine
from signplan.programs.model import Bools, Floats, Ints, Moves, chosen, is_constant
from signplan.programs.thinning import EXACT_PATH, EXACT_STOP
from signplan.timing.estimate import motion_limits
from signplan.timing.motion import MotionLimits, segment_times

EXACT = 0.003
"""mm by which a machine in exact path mode may pass a corner; none at all would stop it on every chord."""

AT_ONCE = 1 << 17
"""Moves that are timed together; between two such lots the machine is taken to rest."""

_SLOWEST = 1e-3
"""mm/s: what a feed of nothing is timed as, so that a faulty program still has an end."""


@dataclass(frozen=True, slots=True, eq=False)
class _Stretch:
    """Moves of one path mode from known to known places: n points before and after n - 1 moves."""

    mode: int
    points: Floats
    feed: Floats
    change: Ints
    rest: Bools


class Clock:
    """Adds up the time of moves by tool change."""

    def __init__(self, machine: Machine) -> None:
        self._limits = motion_limits(machine)
        self._waiting: list[_Stretch] = []
        self._seconds: dict[int, float] = {}

    def add(self, moves: Moves) -> None:
        """The next moves."""
        borders = np.zeros(0, np.intp) if is_constant(moves.path) else np.flatnonzero(np.diff(moves.path)) + 1
        for first, last in pairwise([0, *borders.tolist(), len(moves)]):
            stretch = _known(moves, slice(first, last))
            if stretch is None:
                continue
            if self._waiting and self._waiting[-1].mode != stretch.mode:
                self._run()
            self._waiting.append(stretch)
        if sum(len(each.feed) for each in self._waiting) >= AT_ONCE:
            self._run()

    def seconds(self) -> dict[int, float]:
        """Seconds of motion by tool change, of all moves so far."""
        self._run()
        return dict(self._seconds)

    def _run(self) -> None:
        """Time what is waiting. From the end of one stretch to the start of the next it goes at rapid."""
        stretches, self._waiting = self._waiting, []
        if not stretches:
            return
        points = np.concatenate([each.points for each in stretches], axis=1)
        feed = np.concatenate([part for each in stretches for part in (each.feed, [np.inf])])[:-1]
        change = np.concatenate([part for each in stretches for part in (each.change, each.change[-1:])])[:-1]
        rest = np.concatenate([part for each in stretches for part in (each.rest, [False])])[:-1]
        limits = self._limits_of(stretches[0].mode)
        times = segment_times(points.T, feed, limits, stops=np.flatnonzero(rest))
        totals = np.bincount(change - change[0], weights=times)
        for number, seconds in enumerate(totals.tolist(), int(change[0])):
            self._seconds[number] = self._seconds.get(number, 0.0) + seconds

    def _limits_of(self, mode: int) -> MotionLimits:
        if mode in EXACT_STOP:
            return replace(self._limits, exact_stop=True)
        if mode in EXACT_PATH:
            return replace(self._limits, exact_stop=False, corner_tolerance=EXACT)
        return replace(self._limits, exact_stop=False) if mode else self._limits


def _known(moves: Moves, part: slice) -> _Stretch | None:
    """The moves of a part whose places are known, as a path; None if there are none."""
    start, end, feed = moves.start[:, part], moves.end[:, part], moves.feed[part]
    change, rest = moves.change[part], moves.rest[part]
    known = moves.known[part]
    if not known.all():
        start, end, feed = chosen(start, known), chosen(end, known), feed[known]
        change, rest = change[known], rest[known]
    if not len(feed):
        return None
    return _Stretch(
        int(moves.path[part][0]),
        np.concatenate((start[:, :1], end), axis=1),
        np.where(feed > 0, np.maximum(feed, _SLOWEST), _SLOWEST),
        change,
        rest,
    )
