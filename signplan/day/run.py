"""Which hold of the day follows which: one order over all jobs, tools kept from job to job.

Inside a hold the operations run as on the job's own traveller; what is free is which hold comes next. The
order solver finds it over all operations of the day at once.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from signplan.day.fit import Slot, Span
from signplan.day.model import DayHold, Loaded, PlacedHold
from signplan.job.shop import Shop, Tool
from signplan.operations.order import Order, count_changes, order_operations
from signplan.schedule.model import PlannedOperation
from signplan.timing.estimate import change_seconds
from signplan.timing.model import Band


class Run:
    """Some holds in the best order: which follows which, with what in the spindle and in the magazine.

    With `as_given` they follow each other as they come.
    """

    def __init__(self, shop: Shop, holds: Sequence[DayHold], *, as_given: bool = False) -> None:
        self._shop = shop
        by_name = {hold.name: hold for hold in holds}
        every = [(hold, each) for hold in holds for each in hold.planned.operations]
        self._tool_of = {_name(hold, each): each.operation.tool for hold, each in every}
        self._hold_of = {_name(hold, each): hold.name for hold, each in every}
        change = shop.tool_change
        self.order: Order = order_operations(
            self._tool_of,
            _needs(holds, as_given=as_given),
            setup_of=self._hold_of,
            slots=change.slots if change.kind == "automatic" else None,
        )
        names = dict.fromkeys(self._hold_of[each] for each in self.order.sequence)
        self._holds = tuple(by_name[name] for name in names)

    def _sequence(self, place: int) -> list[str]:
        return [each for each in self.order.sequence if self._hold_of[each] == self._holds[place].name]

    def _before(self, place: int) -> str | None:
        """The tool that the hold before leaves in the spindle."""
        return self._tool_of[self._sequence(place - 1)[-1]] if place else None

    def _changes(self, place: int) -> int:
        return count_changes(self._sequence(place), self._tool_of, spindle=self._before(place))

    def length(self, place: int) -> Band:
        """From vacuum on to vacuum off: as planned, with the changes and stops that the day makes of it."""
        planned, change = self._holds[place].planned, self._shop.tool_change
        mine = set(self._sequence(place))
        stops = len({each.before for each in self.order.reloads if each.in_hold and each.before in mine})
        more = (self._changes(place) - planned.changes) * change_seconds(self._shop)
        more += (stops - planned.reload_stops) * change.reload_minutes * 60
        return self._holds[place].length(more)

    def span(self, place: int) -> Span:
        """The hold as the clock sees it, minutes."""
        planned, length = self._holds[place].planned, self.length(place)
        holding, mine = self._holds[place].job.plan.shop.holding, set(self._sequence(place))
        first = [each for each in self.order.reloads if not each.in_hold and each.before in mine]
        return Span(
            before=holding.locate_minutes
            + (holding.turn_minutes if planned.setup.turn else 0.0)
            + len(first) * self._shop.tool_change.reload_minutes,
            expected=length.seconds / 60,
            longest=length.high / 60,
            after=holding.clean_minutes,
        )

    def placed(self, place: int, slot: Slot) -> PlacedHold:
        """The hold with its place in the day."""
        sequence = self._sequence(place)
        first = self._tool_of[sequence[0]]
        return PlacedHold(
            hold=self._holds[place],
            changes=self._changes(place),
            first_tool=first,
            carried=first == self._before(place),
            reloads=tuple(each for each in self.order.reloads if each.before in sequence),
            length=self.length(place),
            load=slot.load,
            on=slot.on,
            off=slot.off,
            off_late=slot.off_late,
            start_by=slot.start_by,
            over_break=slot.over_break,
        )

    @property
    def loads(self) -> tuple[Loaded, ...]:
        """Every tool of the day, with its place before the day starts: its own number where that is free."""
        used = dict.fromkeys(self._tool_of[each] for each in self.order.sequence)
        tools = {tool.id: tool for hold in self._holds for tool in hold.job.plan.shop.tools}
        if self._shop.tool_change.kind == "by hand":
            return tuple(Loaded(tool=tools[each], place=0) for each in used)
        places = self._places(list(used), tools)
        found = [Loaded(tool=tools[each], place=places.get(each, 0)) for each in used]
        return tuple(sorted(found, key=lambda each: (each.place == 0, each.place, each.tool.number)))

    def _places(self, used: Sequence[str], tools: dict[str, Tool]) -> dict[str, int]:
        """What the reloads take out was there; the rest goes to its number, or to a place that is free."""
        places: dict[str, int] = {}
        arrived: set[str] = set()
        for each in self.order.reloads:
            if each.tool_out not in arrived:
                places.setdefault(each.tool_out, each.slot)
            arrived.add(each.tool_in)
        rest = [name for name in used if name not in places and name not in arrived]
        free = [k for k in range(1, self._shop.tool_change.slots + 1) if k not in places.values()]
        at_home = {name: tools[name].number for name in rest if tools[name].number in free}
        others = [name for name in rest if name not in at_home]
        free = [place for place in free if place not in at_home.values()]
        return places | at_home | dict(zip(others, free, strict=False))


def _name(hold: DayHold, each: PlannedOperation) -> str:
    return f"{hold.name} {each.operation.id}"


def _needs(holds: Sequence[DayHold], *, as_given: bool) -> dict[str, list[str]]:
    """Operations of a hold in the order of its traveller; holds of a blank, or all, one after another."""
    needs: dict[str, list[str]] = {}
    last_of: dict[object, str] = {}
    for hold in holds:
        names = [_name(hold, each) for each in hold.planned.operations]
        before = "the hold before" if as_given else hold.blank
        needs[names[0]] = [last_of[before]] if before in last_of else []
        needs |= dict(_chain(names))
        last_of[before] = names[-1]
    return needs


def _chain(names: Sequence[str]) -> Iterator[tuple[str, list[str]]]:
    return ((later, [earlier]) for earlier, later in pairwise(names))
