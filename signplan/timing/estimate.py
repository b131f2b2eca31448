"""How long the work takes: operations, links between them, setups, holds. Seconds.

A path's time is the motion model's; what people and the changer add comes from the shop file. Nothing here
is fitted to a machine, so a hold is quoted as a band; `calibrate` knows what the shop's logged holds say.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from signplan.job.shop import Machine, Shop
from signplan.sign.setups import Setup
from signplan.timing.model import Band, Seconds
from signplan.timing.motion import MotionLimits, travel_time
from signplan.toolpaths.model import Toolpath

SHORTER, LONGER = 0.90, 1.25
"""A time that was never compared with this machine: 10 % less to 25 % more (common practice: 15 to 25 %)."""

UNCALIBRATED = "computed: no logged holds yet"


@dataclass(frozen=True, kw_only=True, slots=True)
class PathTime:
    """Seconds that a path cuts (plunging included) and that it moves through the air."""

    cutting: float
    travel: float

    @property
    def total(self) -> float:
        """Both."""
        return self.cutting + self.travel

    @property
    def seconds(self) -> Seconds:
        """As part of a setup's time."""
        return Seconds(cutting=self.cutting, travel=self.travel)


def motion_limits(machine: Machine) -> MotionLimits:
    """What the machine can do, for the motion model."""
    return MotionLimits(
        speed=machine.rapid,
        accel=machine.accel,
        corner_tolerance=machine.corner_tolerance,
        exact_stop=machine.exact_stop,
        jerk=machine.jerk or math.inf,
    )


def link_time(before: Toolpath, after: Toolpath, machine: Machine) -> float:
    """A straight rapid at clearance height from the end of one path to the start of the next, s.

    Nothing turns on the way, so the axes need not be coupled.
    """
    points = np.array([(*before.exit, 0.0), (*after.entry, 0.0)])
    if np.array_equal(points[0], points[1]):
        return 0.0
    return travel_time(points, math.inf, motion_limits(machine), coupled=False)


def change_seconds(shop: Shop) -> float:
    """One change of tool, with the spindle's run-up."""
    return shop.tool_change.each_s + shop.machine.spin_up_seconds


def lead_seconds(
    before: Toolpath | None, after: Toolpath, *, change: bool, reload: bool, shop: Shop
) -> Seconds:
    """From the end of one path to the start of the next in a setup; a reload of the magazine is a change."""
    return Seconds(
        travel=link_time(before, after, shop.machine) if before else 0.0,
        changes=change * change_seconds(shop) + reload * shop.tool_change.reload_minutes * 60,
    )


def handling_seconds(setup: Setup, shop: Shop) -> Seconds:
    """Turning and locating a blank, and cleaning after it."""
    holding = shop.holding
    minutes = holding.locate_minutes + holding.clean_minutes + (holding.turn_minutes if setup.turn else 0.0)
    return Seconds(handling=minutes * 60)


def band(seconds: float, reason: str = UNCALIBRATED) -> Band:
    """A computed time with what it may turn out to be."""
    return Band(seconds=seconds, low=seconds * SHORTER, high=seconds * LONGER, reason=reason)


def together(holds: Sequence[Band], handling: float) -> Band:
    """A whole job: its holds, as if all were long or all short, and the handling between them as computed."""
    rest = band(handling)
    every = (*holds, rest)
    return Band(
        seconds=sum(each.seconds for each in every),
        low=sum(each.low for each in every),
        high=sum(each.high for each in every),
        reason=every[0].reason,
    )


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
