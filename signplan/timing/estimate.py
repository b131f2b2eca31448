"""How long the work takes: operations, links between them, setups, holds. Seconds.

A path's time is the motion model's; what people and the changer add comes from the shop file. Nothing here
is fitted to a machine, so a hold is quoted as a band.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from signplan.job.shop import Machine, Shop
from signplan.sign.setups import Setup
from signplan.timing.feeds import CuttingData
from signplan.timing.model import Band, Seconds
from signplan.timing.motion import MotionLimits, segment_times, travel_time
from signplan.toolpaths.model import Move, Toolpath

SHORTER, LONGER = 0.90, 1.25
"""A time that was never compared with this machine: 10 % less to 25 % more (common practice: 15 to 25 %)."""

UNCALIBRATED = "computed, not yet compared with logged holds of this machine"


@dataclass(frozen=True, kw_only=True, slots=True)
class PathTime:
    """Seconds that a path cuts (plunging included) and that it moves through the air."""

    cutting: float
    travel: float

    @property
    def total(self) -> float:
        """Both."""
        return self.cutting + self.travel


def motion_limits(machine: Machine) -> MotionLimits:
    """What the machine can do, for the motion model."""
    return MotionLimits(
        speed=machine.rapid,
        accel=machine.accel,
        corner_tolerance=machine.corner_tolerance,
        exact_stop=machine.exact_stop,
        jerk=machine.jerk or math.inf,
    )


def path_time(path: Toolpath, cutting: CuttingData, machine: Machine) -> PathTime:
    """How long one operation's path takes at its feeds."""
    feed_of = np.array([math.inf, cutting.plunge_feed, cutting.feed])
    times = segment_times(path.points, feed_of[path.moves], motion_limits(machine))
    air = path.moves == Move.RAPID
    return PathTime(cutting=float(times[~air].sum()), travel=float(times[air].sum()))


def link_time(before: Toolpath, after: Toolpath, machine: Machine) -> float:
    """A straight rapid at clearance height from the end of one path to the start of the next."""
    points = np.array([(*before.exit, 0.0), (*after.entry, 0.0)])
    if np.array_equal(points[0], points[1]):
        return 0.0
    return travel_time(points, math.inf, motion_limits(machine))


def setup_seconds(
    setup: Setup, paths: Sequence[tuple[PathTime, Toolpath]], *, changes: int, reload_stops: int, shop: Shop
) -> Seconds:
    """Where the time of a setup goes, its operations in working order.

    A change includes the spindle's run-up; reloads of the magazine count as changes.
    """
    machine, holding = shop.machine, shop.holding
    links = sum(link_time(a, b, machine) for (_, a), (_, b) in pairwise(paths))
    minutes = holding.locate_minutes + holding.clean_minutes + (holding.turn_minutes if setup.turn else 0.0)
    return Seconds(
        cutting=sum(time.cutting for time, _ in paths),
        travel=sum(time.travel for time, _ in paths) + links,
        changes=changes * (shop.tool_change.each_s + machine.spin_up_seconds)
        + reload_stops * shop.tool_change.reload_minutes * 60,
        handling=minutes * 60,
    )


def hold(seconds: Seconds) -> Band:
    """From vacuum on to vacuum off: all of a setup but turning, locating and cleaning."""
    return band(seconds.total - seconds.handling)


def band(seconds: float) -> Band:
    """A computed time with what it may turn out to be."""
    return Band(seconds=seconds, low=seconds * SHORTER, high=seconds * LONGER, reason=UNCALIBRATED)


def latest_start(until: str | None, hold_high: float) -> str:
    """The latest "HH:MM" to begin a hold that must end by `until`; "" if the job states no such time.

    >>> latest_start("16:30", 5400.0)
    '15:00'
    """
    if until is None:
        return ""
    hours, minutes = (int(part) for part in until.split(":"))
    start = hours * 60 + minutes - math.ceil(hold_high / 60)
    return f"{start // 60:02d}:{start % 60:02d}" if start >= 0 else "not today"
