"""One way through the machine: every operation of a job in its setup, in order, with its time.

In: a sign, its operations and a layout. Out: setups in working order, the proof of the order, and where the
time goes. Knows nothing of files, documents or checks.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from signplan.job.model import Job
from signplan.job.shop import Board, Shop, Tool
from signplan.operations.build import index_operation
from signplan.operations.graph import needs_of
from signplan.operations.model import Need, Operation, Work
from signplan.operations.order import Order, count_changes, order_operations
from signplan.operations.order_habits import as_listed, down_the_tool_list, panel_by_panel
from signplan.operations.order_travel import shorten_travel
from signplan.operations.practice import engagement
from signplan.schedule.model import Comparison, PlannedOperation, PlannedSetup, Schedule
from signplan.sign.model import Sign
from signplan.sign.register import STAY, Placement
from signplan.sign.setups import Layout, Setup, lay_out, why_refused
from signplan.timing.calibrate import UNLOGGED
from signplan.timing.estimate import (
    PathTime,
    change_seconds,
    handling_seconds,
    latest_start,
    lead_seconds,
)
from signplan.timing.feeds import CuttingData, cutting_data, deepest_pass
from signplan.timing.model import Seconds
from signplan.timing.pace import Pace, timed
from signplan.toolpaths.cut import cut
from signplan.toolpaths.model import Toolpath

Needs = Mapping[str, tuple[Need, ...]]
"""What comes before each operation, and why."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Cut:
    """An operation with its feeds, its path in the view of its face, and how long that takes."""

    operation: Operation
    tool: Tool
    cutting: CuttingData
    path: Toolpath
    time: PathTime
    pace: Pace


def cut_with_feeds(operation: Operation, shop: Shop, board: Board) -> Cut:
    """The operation's real path and how long it takes on this machine."""
    tool = next(tool for tool in shop.tools if tool.id == operation.tool)
    depth, width = engagement(operation, tool)
    cutting = cutting_data(tool, board, shop.machine, depth=min(depth, deepest_pass(tool)), width=width)
    path = cut(operation, tool, shop.machine)
    time, pace = timed(path, cutting, shop.machine)
    return Cut(operation=operation, tool=tool, cutting=cutting, path=path, time=time, pace=pace)


def cut_all(operations: Sequence[Operation], shop: Shop, board: Board) -> Iterator[Cut]:
    """Every operation's path; the same work with the same tool, as on both sides of a sign, is cut once."""
    known: dict[tuple[Work, str], Cut] = {}
    for operation in operations:
        same = (operation.work, operation.tool)
        if same not in known:
            known[same] = cut_with_feeds(operation, shop, board)
        yield replace(known[same], operation=operation)


def schedule(sign: Sign, job: Job, shop: Shop, *, layout: Layout, cuts: Sequence[Cut]) -> Schedule:
    """The operations over one layout, in the order with the fewest tool changes.

    `cuts` are those of the panels; index holes, which belong to a blank, are added here.
    """
    setups, findings = lay_out(
        sign,
        layout,
        bed=shop.machine.bed,
        pins=shop.index_pins,
        cutter=cutout_diameter(cuts),
        units=job.job.units,
    )
    board = next(board for board in shop.boards if board.id == job.sign.board)
    first = [setup for setup in setups if not setup.turn and setup.pins]
    index = [cut_with_feeds(index_operation(setup, shop), shop, board) for setup in first]
    run = _Run(
        sign=sign,
        job=job,
        shop=shop,
        setups={setup.id: setup for setup in setups},
        cuts={each.operation.id: each for each in (*index, *cuts)},
        setup_of={each.operation.id: setup.id for each, setup in zip(index, first, strict=True)}
        | {each.operation.id: _setup_of(each.operation, setups) for each in cuts},
    )
    needs = needs_of([each.operation for each in run.cuts.values()], setups)
    order = run.ordered(needs)
    planned = tuple(run.planned(order, needs))
    seconds = sum((each.seconds for each in planned), Seconds())
    return Schedule(
        layout=layout,
        setups=planned,
        order=order,
        comparisons=tuple(run.compared(order, needs, seconds)),
        findings=findings,
        seconds=seconds,
        refused=why_refused(setups, shop.machine.bed),
    )


def cutout_diameter(work: Iterable[Cut | PlannedOperation]) -> float:
    """Diameter of the largest cutter that goes round an outline, mm; 0 if none does."""
    return max((each.tool.diameter for each in work if each.operation.kind == "cutout"), default=0.0)


def _setup_of(operation: Operation, setups: Sequence[Setup]) -> str:
    return next(s.id for s in setups if s.face == operation.face and operation.panel in s.panels)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Run:
    """All operations of a job, each in its setup: setups and cuts by id, and which cut is in which setup."""

    sign: Sign
    job: Job
    shop: Shop
    setups: Mapping[str, Setup]
    cuts: Mapping[str, Cut]
    setup_of: Mapping[str, str]

    def ordered(self, needs: Needs) -> Order:
        """The order with the fewest changes on this shop's machine, then with the shortest links."""
        change = self.shop.tool_change
        slots = change.slots if change.kind == "automatic" else None
        order = order_operations(self._tool_of, _names(needs), setup_of=self.setup_of, slots=slots)
        if order.reloads:
            return order
        paths = {name: each.path.placed(self._to_table(each)) for name, each in self.cuts.items()}
        shorter = shorten_travel(
            order.sequence,
            self._tool_of,
            _names(needs),
            setup_of=self.setup_of,
            entries={name: path.entry for name, path in paths.items()},
            exits={name: path.exit for name, path in paths.items()},
        )
        return replace(order, sequence=shorter)

    def compared(self, order: Order, needs: Needs, seconds: Seconds) -> Iterator[Comparison]:
        """The same work in the orders that people take; their other changes at this machine's cost."""
        panel_of = {name: each.operation.panel for name, each in self.cuts.items()}
        listed = [tool.id for tool in self.shop.tools]
        habits = {
            "as listed": as_listed(self._tool_of, _names(needs), setup_of=self.setup_of),
            "panel by panel": panel_by_panel(self._tool_of, _names(needs), panel_of, setup_of=self.setup_of),
            "down the tool list": down_the_tool_list(
                self._tool_of, _names(needs), setup_of=self.setup_of, tools=listed
            ),
        }
        for name, habit in habits.items():
            more = (habit.changes - order.changes) * change_seconds(self.shop)
            yield Comparison(
                name=name,
                changes=habit.changes,
                seconds=seconds.total + more,
                by_setup=self._changes_by_setup(habit.sequence),
            )

    def _changes_by_setup(self, sequence: Sequence[str]) -> tuple[tuple[str, int], ...]:
        changes: dict[str, int] = {}
        spindle = ""
        for name in sequence:
            tool, setup = self.cuts[name].operation.tool, self.setup_of[name]
            changes[setup] = changes.get(setup, 0) + (tool != spindle)
            spindle = tool
        return tuple(changes.items())

    @property
    def _tool_of(self) -> dict[str, str]:
        return {name: each.operation.tool for name, each in self.cuts.items()}

    def planned(self, order: Order, needs: Needs) -> Iterator[PlannedSetup]:
        """The setups as they are worked, the tool in the spindle carried from each to the next."""
        spindle: str | None = None
        for name in dict.fromkeys(self.setup_of[each] for each in order.sequence):
            mine = [self.cuts[each] for each in order.sequence if self.setup_of[each] == name]
            yield self._planned_setup(self.setups[name], mine, spindle, order, needs)
            spindle = mine[-1].operation.tool

    def _planned_setup(
        self,
        setup: Setup,
        mine: Sequence[Cut],
        spindle: str | None,
        order: Order,
        needs: Needs,
    ) -> PlannedSetup:
        tool_of = {each.operation.id: each.operation.tool for each in mine}
        stops = {each.before for each in order.reloads if each.in_hold} & tool_of.keys()
        operations = tuple(self._operations(setup, mine, spindle, stops, needs))
        handling = handling_seconds(setup, self.shop)
        seconds = sum((each.lead + each.work for each in operations), handling)
        held, first = UNLOGGED.hold(seconds), mine[0].operation.tool
        return PlannedSetup(
            setup=setup,
            operations=operations,
            first_tool=first,
            starts_with_change=first != spindle,
            changes=count_changes(tool_of, tool_of, spindle=spindle),
            computed=seconds,
            seconds=seconds,
            hold=held,
            latest_start=latest_start(self.job.work.until, held.high),
            reload_stops=len(stops),
        )

    def _operations(
        self,
        setup: Setup,
        mine: Sequence[Cut],
        spindle: str | None,
        stops: Collection[str],
        needs: Needs,
    ) -> Iterator[PlannedOperation]:
        """The operations of a setup, each with the time that it takes and what comes before it."""
        before: Toolpath | None = None
        for each in mine:
            path, name = each.path.placed(self._to_table(each)), each.operation.id
            change = each.operation.tool != spindle
            yield PlannedOperation(
                operation=each.operation,
                setup=setup.id,
                tool=each.tool,
                cutting=each.cutting,
                path=path,
                lead=lead_seconds(before, path, change=change, reload=name in stops, shop=self.shop),
                work=each.time.seconds,
                pace=each.pace,
                needs=needs.get(name, ()),
            )
            before, spindle = path, each.operation.tool

    def _to_table(self, each: Cut) -> Placement:
        panel, setup = each.operation.panel, self.setups[self.setup_of[each.operation.id]]
        return setup.from_view(panel, self.sign.width) if panel else STAY


def _names(needs: Needs) -> dict[str, list[str]]:
    return {name: [need.operation for need in first] for name, first in needs.items()}
