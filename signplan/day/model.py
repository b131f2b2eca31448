"""A planned day: records only. Clock times are minutes after midnight."""

from dataclasses import dataclass

from signplan.day.hours import Hours
from signplan.job.shop import Tool
from signplan.operations.magazine import Reload
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup
from signplan.timing.model import Band, Seconds


@dataclass(frozen=True, kw_only=True, slots=True)
class DayJob:
    """A job of the day. `name` is its number, made different where a job comes twice."""

    name: str
    plan: Plan


@dataclass(frozen=True, kw_only=True, slots=True)
class DayHold:
    """One hold of one job: `name` is the job's name and the setup."""

    job: DayJob
    planned: PlannedSetup

    @property
    def name(self) -> str:
        """Such as `GT-041 AB-inner`."""
        return f"{self.job.name} {self.planned.setup.id}"

    @property
    def blank(self) -> tuple[str, str]:
        """The blank that it holds, one for the whole day."""
        return self.job.name, self.planned.setup.blank_id

    def length(self, more: float) -> Band:
        """From vacuum on to vacuum off with so many seconds more of computed changes and reloads, or less."""
        return self.job.plan.calibration.hold(self.planned.computed + Seconds(changes=more))


@dataclass(frozen=True, kw_only=True, slots=True)
class PlacedHold:
    """A hold in its place in the day.

    Attributes:
        changes: tool changes in it, with the tool that the hold before left in the spindle.
        first_tool: in the spindle when it starts; `carried` if it is there already.
        length: from vacuum on to vacuum off, s.
        load, on, off: loading begins, vacuum on, vacuum off, as computed.
        off_late: vacuum off if the hold takes the upper end of its band.
        start_by: the latest vacuum on: the upper end of its band still ends in time, and all later holds of
            the day have the time that they are expected to take.
        over_break: it is longer than any stretch between breaks, and runs through one.
    """

    hold: DayHold
    changes: int
    first_tool: str
    carried: bool
    reloads: tuple[Reload, ...]
    length: Band
    load: float
    on: float
    off: float
    off_late: float
    start_by: float
    over_break: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Loaded:
    """A tool to have at the machine before the day; `place` in the magazine, 0 if it waits on the rack."""

    tool: Tool
    place: int


@dataclass(frozen=True, kw_only=True, slots=True)
class DayPlan:
    """The whole day.

    Attributes:
        placed: holds in working order; `left`: those that the day has no room for.
        not_ready: jobs with errors, which are not planned at all.
        loads: what to walk to the machine with.
        changes: of the day; `changes_apart`: of its jobs one by one; `changes_listed`: as the jobs list them.
        each_change: seconds of one.
    """

    hours: Hours
    machine: str
    by_hand: bool
    jobs: tuple[DayJob, ...]
    placed: tuple[PlacedHold, ...]
    left: tuple[DayHold, ...]
    not_ready: tuple[DayJob, ...]
    loads: tuple[Loaded, ...]
    changes: int
    lower_bound: int
    changes_apart: int
    changes_listed: int
    each_change: float
