"""Feeds and speeds: how fast a cutter may go, and what holds it back.

What comes in: a cutter, a board, a machine, and how deep and wide the cut is. What goes out: spindle speed,
feed, and the chip that each tooth takes. Which of it deserves a finding is for the checks to say.

Two quantities share the words "chip load": the advance of one tooth (feed / rpm / flutes), which is what a
feed is set by, and the thickest chip that it peels off, which is what a board's range means. They are the
same unless less than half of the cutter is in the material. All figures are starting points: the range of
the board is the shop's own, the cutting force is an estimate.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from signplan.errors import SignplanError
from signplan.job.shop import Board, Machine, Tool

SPINDLE_SHARE = 0.75
"""Share of the spindle's rating that a cut may ask for; tooling pages say 70 to 80 %."""

EFFICIENCY = 0.8
"""Power at the cutter for each unit of power at the spindle motor, as in the usual milling calculators."""

MOST_THINNING = 2.0
"""The most by which a feed is raised for a thin engagement: corners engage more. Common practice."""

PLUNGE_SHARE = 0.5
"""Plunge feed over cutting feed; for drills, feed over the speed of the Z axis at most. Common practice."""

DEEPEST_PASS = 3.0
"""Deepest pass in cutter diameters; common practice for rigid foam, and the end of the derating charts."""


class FeedError(SignplanError, ValueError):
    """A cut for which there is no feed."""


@dataclass(frozen=True, kw_only=True, slots=True)
class CuttingData:
    """How to run one cutter in one cut.

    Attributes:
        rpm: spindle speed.
        feed: mm/s along the path.
        plunge_feed: mm/s straight down.
        chip_load: advance of one tooth, mm, at that feed and speed.
        chip_range: least and most advance of one tooth that the board asks for in this cut, mm. Below it
            the cutter rubs (`chip-load`).
        power_kw: power at the spindle motor, an estimate from the board's specific cutting force.
        limited_by: what set the feed: "spindle" (its top speed), "machine feed" (the speed came down to
            hold the chip), "lowest rpm" (it cannot come down far enough, so the chip is smaller) or
            "power" (of the spindle, so the chip is smaller).
        rpm_wanted: spindle speed that would hold the chip at this feed; below the spindle's lowest where
            `limited_by` is "lowest rpm" (`spindle-range`).
        depth, deepest: depth of the cut and of the deepest pass that the cutter can take, mm
            (`depth-of-pass`).
        diameter: effective diameter at that depth, mm.
    """

    rpm: float
    feed: float
    plunge_feed: float
    chip_load: float
    chip_range: tuple[float, float]
    power_kw: float
    limited_by: str
    rpm_wanted: float
    depth: float
    deepest: float
    diameter: float


def cutting_data(
    tool: Tool, board: Board, machine: Machine, *, depth: float, width: float | None = None
) -> CuttingData:
    """Spindle speed and feed for a cut of a depth and a width, mm. Without a width the whole cutter is in.

    1. The chip wanted is the middle of the board's range at the effective diameter, less in deep cuts,
       with more advance where the engagement is thin.
    2. The spindle's torque may allow less.
    3. The spindle turns as fast as it can, unless the machine cannot feed that fast: then it slows down to
       hold the chip, as far as it goes.

    Raises:
        FeedError: the depth or the width is not above zero.
    """
    if not 0 < depth < math.inf or not (width is None or 0 < width < math.inf):
        raise FeedError(f"{tool.id}: a cut {depth} mm deep and {width} mm wide has no feed")
    # 1. What the board asks for.
    diameter = effective_diameter(tool, depth)
    engaged = diameter if width is None else min(width, diameter)
    advance = min(1 / thinning(engaged, diameter), MOST_THINNING)
    if tool.shape != "drill":
        advance *= depth_derate(depth, tool.diameter)
    low, high = (advance * chip for chip in chip_range(board.chip_load, diameter))
    wanted = (low + high) / 2
    # 2. What the spindle can turn against: power and torque fall together below its top speed.
    slowest, fastest = machine.rpm
    drills = tool.shape == "drill"
    section = math.pi / 4 * diameter**2 if drills else depth * engaged
    spare = SPINDLE_SHARE * machine.spindle_kw / power_kw(section, 1.0, board.cutting_force_n_mm2)
    held = min(wanted, chip_load(spare, fastest, tool.flutes))
    # 3. What the axes can follow.
    most = min(machine.feed_max, *([PLUNGE_SHARE * machine.rapid[2]] if drills else machine.rapid[:2]))
    rpm_wanted = min(fastest, 60 * most / (tool.flutes * held))
    rpm = max(rpm_wanted, slowest)
    feed = min(feed_rate(rpm, tool.flutes, held), most)
    chip = chip_load(feed, rpm, tool.flutes)
    if rpm > rpm_wanted:
        limited_by = "lowest rpm"
    elif held < wanted:
        limited_by = "power"
    else:
        limited_by = "machine feed" if rpm < fastest else "spindle"
    return CuttingData(
        rpm=rpm,
        feed=feed,
        plunge_feed=feed if drills else min(PLUNGE_SHARE * feed, machine.rapid[2]),
        chip_load=chip,
        chip_range=(low, high),
        power_kw=power_kw(section, feed, board.cutting_force_n_mm2),
        limited_by=limited_by,
        rpm_wanted=rpm_wanted,
        depth=depth,
        deepest=deepest_pass(tool),
        diameter=diameter,
    )


def feed_rate(rpm: float, flutes: int, chip: float) -> float:
    """Feed, mm/s, at which each of the flutes takes a chip, mm. Feed = rpm x flutes x chip load.

    Source: the milling chapter of any machinist's handbook.

    >>> feed_rate(18000, 2, 0.1) * 60
    3600.0
    """
    return rpm * flutes * chip / 60


def chip_load(feed: float, rpm: float, flutes: int) -> float:
    """Advance of one tooth, mm, at a feed of mm/s: `feed_rate` the other way round."""
    return 60 * feed / (rpm * flutes)


def chip_really_cut(length: ArrayLike, seconds: ArrayLike, *, rpm: float, flutes: int) -> float:
    """Time-weighted mean advance of one tooth, mm, on segments of given lengths, mm, and times.

    Where acceleration keeps the machine below its feed, this is what the cutter gets. Zero if no time passes.
    """
    total = float(np.sum(seconds))
    return chip_load(float(np.sum(length)) / total, rpm, flutes) if total else 0.0


def chip_range(table: tuple[tuple[float, tuple[float, float]], ...], diameter: float) -> tuple[float, float]:
    """Least and most chip, mm, for a cutter diameter, from (diameter, (least, most)) rows in rising order.

    Between rows it is interpolated; below the first it shrinks with the diameter; above the last it stays.
    """
    diameters = [0.0, *(row for row, _ in table)]
    least = [0.0, *(low for _, (low, _) in table)]
    most = [0.0, *(high for _, (_, high) in table)]
    return float(np.interp(diameter, diameters, least)), float(np.interp(diameter, diameters, most))


def effective_diameter(tool: Tool, depth: float) -> float:
    """Widest cutting circle, mm, of a cutter that is `depth` mm into a flat surface."""
    if tool.shape == "ball":
        return ball_diameter(tool.diameter, depth)
    if tool.shape == "vee":
        return min(tool.tip + 2 * depth * math.tan(tool.half_angle), tool.diameter)
    return tool.diameter


def ball_diameter(diameter: float, depth: float, *, tilt: float = 0.0) -> float:
    """Widest cutting circle of a ball-nosed cutter on a surface tilted by `tilt` degrees, mm.

    D sin(tilt + acos((D - 2 depth) / D)), and D where the ball is in past its widest; on a flat surface the
    same as  2 sqrt(depth (D - depth)).  Source: geometry of the sphere.

    >>> round(ball_diameter(6, 0.5), 5), round(ball_diameter(6, 0.5, tilt=15), 5)
    (3.31662, 4.49771)
    """
    if depth >= diameter / 2:
        return diameter
    angle = math.radians(tilt) + math.acos((diameter - 2 * depth) / diameter)
    return diameter * math.sin(min(angle, math.pi / 2))


def thinning(width: float, diameter: float) -> float:
    """Thickest chip over the advance of a tooth, for a cut `width` mm wide: sqrt(1 - (1 - 2 width / D)^2).

    One from half the diameter on. This is the *maximum* chip; some catalogues print the mean chip,
    sqrt(width / D), which must not be mixed with it. Source: geometry of two offset circles.

    >>> round(thinning(0.05, 0.5), 6)
    0.6
    """
    return 1.0 if width >= diameter / 2 else math.sqrt(1 - (1 - 2 * width / diameter) ** 2)


def depth_derate(depth: float, diameter: float) -> float:
    """Share of the chip load that is left in a deep cut: all at 1 D, 75 % at 2 D, 50 % at 3 D and deeper.

    The steps are those of the router tooling charts; in between it is interpolated.

    >>> depth_derate(25.4, 12.7), depth_derate(38.1, 12.7)
    (0.75, 0.5)
    """
    return min(1.0, max(0.5, 1.25 - 0.25 * depth / diameter))


def deepest_pass(tool: Tool) -> float:
    """Deepest pass, mm: never more than the flutes are long, and 3 D at most. A drill pecks to its length."""
    return (
        tool.cutting_length
        if tool.shape == "drill"
        else min(tool.cutting_length, DEEPEST_PASS * tool.diameter)
    )


def surface_speed(diameter: float, rpm: float) -> float:
    """Speed of the cutting edge, mm/s: pi D n.

    >>> round(surface_speed(12.7, 18000) * 60 / 1000, 2)  # m/min
    718.17
    """
    return math.pi * diameter * rpm / 60


def power_kw(section: float, feed: float, cutting_force: float) -> float:
    """Power at the spindle motor, kW, an estimate: removal rate x specific cutting force / efficiency.

    Args:
        section: depth x width of the cut, mm2; an upper bound for pointed cutters.
        feed: mm/s.
        cutting_force: specific cutting force kc, N/mm2. No measured value for rigid urethane board is
            known to us: 5 to 20 for 15 to 20 lb/ft3 is an estimate, and its upper end the default.

    With mm/min and kW the divisor is 60,000,000; one that prints 60,000 has W, not kW.
    """
    return section * feed * cutting_force / (1e6 * EFFICIENCY)


def tangential_force(power_at_cutter_kw: float, diameter: float, rpm: float) -> float:
    """Mean force on the cutting edge, N: power over surface speed."""
    return 1e6 * power_at_cutter_kw / surface_speed(diameter, rpm)
