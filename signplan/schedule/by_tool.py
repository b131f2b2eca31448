"""Where the time goes, by tool: what a cutter cuts and travels, and what it takes to bring it in."""

from collections.abc import Iterable
from dataclasses import dataclass

from signplan.job.shop import Tool
from signplan.schedule.model import PlannedOperation
from signplan.timing.model import Seconds


@dataclass(frozen=True, kw_only=True, slots=True)
class ToolTime:
    """One cutter in some operations: how many, how often it is brought in, and its time with that."""

    tool: Tool
    operations: int
    changes: int
    seconds: Seconds


def by_tool(operations: Iterable[PlannedOperation]) -> tuple[ToolTime, ...]:
    """The time of each cutter, in the order that they are first used; together the time of the operations."""
    of_tool: dict[str, list[PlannedOperation]] = {}
    for each in operations:
        of_tool.setdefault(each.operation.tool, []).append(each)
    return tuple(
        ToolTime(
            tool=mine[0].tool,
            operations=len(mine),
            changes=sum(each.lead.changes > 0 for each in mine),
            seconds=sum((each.lead + each.work for each in mine), Seconds()),
        )
        for mine in of_tool.values()
    )
