"""A schedule as this shop runs it: every computed time held against its logged holds, with its band."""

from dataclasses import replace

from signplan.schedule.model import PlannedSetup, Schedule
from signplan.timing.calibrate import Calibration
from signplan.timing.estimate import latest_start
from signplan.timing.model import Seconds


def calibrated(computed: Schedule, calibration: Calibration, *, until: str | None) -> Schedule:
    """The schedule with all its times as expected; `until` is when the shop closes. Its order stays."""
    setups = tuple(_setup(each, calibration, until) for each in computed.setups)
    seconds = sum((each.seconds for each in setups), Seconds())
    comparisons = (
        replace(each, seconds=seconds.total + calibration.of(Seconds(changes=more)).total)
        for each in computed.comparisons
        for more in [each.seconds - computed.seconds.total]
    )
    return replace(computed, setups=setups, seconds=seconds, comparisons=tuple(comparisons))


def _setup(planned: PlannedSetup, calibration: Calibration, until: str | None) -> PlannedSetup:
    held = calibration.hold(planned.computed)
    return replace(
        planned,
        operations=tuple(
            replace(each, lead=calibration.of(each.lead), work=calibration.of(each.work))
            for each in planned.operations
        ),
        seconds=calibration.of(planned.computed),
        hold=held,
        latest_start=latest_start(until, held.high),
    )
