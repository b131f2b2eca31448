"""Estimates held against the shop's logged holds.

The computed time of a hold has three kinds of work: cutting, travel, tool changes. From `NEEDED` logged holds
on, each kind gets a factor, and what the factors leave unexplained sets the band. The log keeps computed
parts, never calibrated ones, so one calibration does not build on another.

Loading, turning and cleaning lie outside a hold: no log says anything of them; the shop file states them.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace

from signplan.job.log import LoggedHold
from signplan.job.shop import Shop
from signplan.timing.estimate import UNCALIBRATED, band
from signplan.timing.least_squares import LEAST, MOST, Fit, fit
from signplan.timing.model import Band, Seconds

KINDS = ("cutting", "travel", "changes")
"""What the time of a hold is made of."""

NEEDED = 3
"""Logged holds from which on estimates go by them."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Calibration:
    """How this shop's real times compare with computed ones.

    Attributes:
        logged: how many holds it is from.
        apart: logged holds that do not count, since the shop file stated another machine when they ran.
        fit: factors of cutting, travel and changes; None as long as there are too few holds.
    """

    logged: int = 0
    apart: int = 0
    fit: Fit | None = None

    @property
    def reason(self) -> str:
        """Why a band is as wide as it is.

        >>> Calibration(logged=2).reason
        'computed: 2 logged holds, 3 needed'
        """
        apart = f" ({self.apart} more of another machine or other change times)" if self.apart else ""
        holds = f"{self.logged} logged hold{'' if self.logged == 1 else 's'}"
        if self.fit:
            return f"from {holds}{apart}"
        return f"computed: {holds}, {NEEDED} needed{apart}" if self.logged or self.apart else UNCALIBRATED

    @property
    def factors(self) -> tuple[float, ...]:
        """Real time over computed time, of `KINDS`."""
        return self.fit.factors if self.fit else (1.0,) * len(KINDS)

    def of(self, computed: Seconds) -> Seconds:
        """What is expected where this was computed."""
        cutting, travel, changes = self.factors
        return Seconds(
            cutting=computed.cutting * cutting,
            travel=computed.travel * travel,
            changes=computed.changes * changes,
            handling=computed.handling,
        )

    def hold(self, computed: Seconds) -> Band:
        """From vacuum on to vacuum off: all of a computed setup but turning, locating and cleaning."""
        work = replace(computed, handling=0.0)
        if not self.fit or not work.total:
            return band(work.total, self.reason)
        seconds = self.of(work).total
        half = work.total * self.fit.half_width(_shares(work))
        return Band(seconds=seconds, low=max(seconds - half, 0.0), high=seconds + half, reason=self.reason)


UNLOGGED = Calibration()
"""Of a shop without a log."""


def calibrate(log: Sequence[LoggedHold], shop: Shop) -> Calibration:
    """What the logged holds of this shop's machine say; those of another are counted and left out.

    A hold further off than any kind of work may be says no more than one at that bound: it is a slip.
    """
    figures = timing_figures(shop)
    mine = [hold for hold in log if hold.figures == figures]
    rows = [_shares(Seconds(cutting=h.cutting, travel=h.travel, changes=h.changes)) for h in mine]
    ratios = [min(max(hold.took / hold.computed, LEAST), MOST) for hold in mine]
    return Calibration(
        logged=len(mine),
        apart=len(log) - len(mine),
        fit=fit(rows, ratios) if len(mine) >= NEEDED else None,
    )


def timing_figures(shop: Shop) -> str:
    """Eight hexadecimal digits that stand for how fast machine and changer are by the shop file.

    Whoever corrects one of these makes the computed times of older logs those of another machine. Cutters and
    boards are not among them: what the shop chooses to buy and how hard to cut changes real times too.
    """
    machine, change = shop.machine, shop.tool_change
    stated = (
        machine.name,
        (machine.feed_max, machine.rpm, machine.spindle_kw),
        (machine.rapid, machine.clearance_z),
        machine.accel,
        (machine.corner_tolerance, machine.exact_stop, machine.jerk, machine.spin_up_seconds),
        (change.kind, change.each_s, change.reload_minutes),
    )
    return hashlib.sha256(repr(stated).encode()).hexdigest()[:8]


def _shares(work: Seconds) -> tuple[float, float, float]:
    """Cutting, travel and changes as shares of a hold; its handling does not count."""
    whole = work.cutting + work.travel + work.changes
    return work.cutting / whole, work.travel / whole, work.changes / whole
