"""The job in working order: what happens in which setup, when, and for how long. Records only."""

from collections.abc import Sequence
from dataclasses import dataclass

from signplan.findings import Finding
from signplan.job.shop import Tool
from signplan.operations.model import Need, Operation
from signplan.operations.order import Order
from signplan.sign.setups import Layout, Setup
from signplan.timing.feeds import CuttingData
from signplan.timing.model import Band, Seconds
from signplan.timing.pace import STILL, Pace
from signplan.toolpaths.model import Toolpath


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedOperation:
    """An operation in its place on the table, and where its time goes.

    Attributes:
        lead: from the end of the operation before in its setup: the way there, the change of tool and, in a
            hold, the reload of the magazine.
        work: its own path.
    """

    operation: Operation
    setup: str
    tool: Tool
    cutting: CuttingData
    path: Toolpath
    lead: Seconds
    work: Seconds
    needs: tuple[Need, ...]
    pace: Pace = STILL

    @property
    def seconds(self) -> float:
        """Of its own path, without what comes before it."""
        return self.work.total

    @property
    def chip_cut(self) -> float | None:
        """What a tooth really advances, mm, the mean over the time that it cuts; None for a drill."""
        return self.pace.chip(self.cutting, self.tool.flutes)


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedSetup:
    """A setup in working order: its operations as they run, and where its time goes.

    `first_tool` is in the spindle when it starts cutting; `starts_with_change` says whether it has to be
    put there; `changes` counts those of this setup, that one included. `reload_stops` interrupt the hold.
    `computed` is where the time goes before the shop's logged holds have a say; all other times are after.
    """

    setup: Setup
    operations: tuple[PlannedOperation, ...]
    first_tool: str
    starts_with_change: bool
    changes: int
    computed: Seconds
    seconds: Seconds
    hold: Band
    latest_start: str
    reload_stops: int = 0


def why_again(planned: PlannedSetup, block: Sequence[PlannedOperation]) -> str:
    """Why a tool comes back that was in the spindle before; "" if it was not, or nothing else would do.

    The reason is that of a need of the block which was met only after the tool's last block.
    """
    operations = list(planned.operations)
    start = operations.index(block[0])
    earlier = [k for k, each in enumerate(operations[:start]) if each.tool.id == block[0].tool.id]
    if not earlier:
        return ""
    between = {each.operation.id for each in operations[earlier[-1] + 1 : start]}
    reasons = (need.reason for each in block for need in each.needs if need.operation in between)
    return next(reasons, "")


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """The job in an order that people really take; `by_setup` has the changes of each setup in turn."""

    name: str
    changes: int
    seconds: float
    by_setup: tuple[tuple[str, int], ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Schedule:
    """The job over one layout. `refused` says why it cannot be used; empty if it can."""

    layout: Layout
    setups: tuple[PlannedSetup, ...]
    order: Order
    comparisons: tuple[Comparison, ...]
    findings: tuple[Finding, ...]
    seconds: Seconds
    refused: str
