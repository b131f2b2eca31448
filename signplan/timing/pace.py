"""How fast a cutter really goes along a path, and with that the chip that it really cuts.

On short moves the machine never reaches its feed, so each tooth advances less than the feed says.
"""

import math
from dataclasses import dataclass

import numpy as np

from signplan.job.shop import Machine
from signplan.timing.estimate import PathTime, motion_limits
from signplan.timing.feeds import CuttingData, chip_really_cut
from signplan.timing.motion import segment_times
from signplan.toolpaths.model import Move, Toolpath


@dataclass(frozen=True, kw_only=True, slots=True)
class Pace:
    """Length, mm, and time, s, of the moves that cut sideways: no plunge, no rapid."""

    length: float = 0.0
    seconds: float = 0.0

    def chip(self, cutting: CuttingData, flutes: int) -> float | None:
        """Time-weighted mean advance of one tooth, mm; None if nothing is cut sideways."""
        if not self.seconds:
            return None
        return chip_really_cut(self.length, self.seconds, rpm=cutting.rpm, flutes=flutes)


STILL = Pace()
"""Of a path that cuts nothing sideways."""


def timed(path: Toolpath, cutting: CuttingData, machine: Machine) -> tuple[PathTime, Pace]:
    """How long one operation's path takes at its feeds, and how fast that is where it cuts."""
    feed_of = np.array([math.inf, cutting.plunge_feed, cutting.feed])
    seconds = segment_times(path.points, feed_of[path.moves], motion_limits(machine))
    air, cuts = path.moves == Move.RAPID, path.moves == Move.CUT
    way = np.linalg.norm(np.diff(path.points, axis=0), axis=1)
    time = PathTime(cutting=float(seconds[~air].sum()), travel=float(seconds[air].sum()))
    return time, Pace(length=float(way[cuts].sum()), seconds=float(seconds[cuts].sum()))
