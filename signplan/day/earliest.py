"""The order of holds that ends earliest, for days in which the order with the fewest changes has no room.

Dynamic programming over what is done on each blank and which hold was last: of two ways to the same state the
one that is there earlier is never worse, for a hold may always wait.
"""

from collections.abc import Sequence

from signplan.day.fit import Span, ends
from signplan.day.hours import Hours
from signplan.day.model import DayHold
from signplan.job.shop import Shop
from signplan.timing.estimate import change_seconds

MOST_HOLDS = 14
"""Beyond this many no other order is looked for: the states grow threefold with every blank."""

State = tuple[tuple[int, ...], int]
"""How many holds of each blank are done, and the last one."""


def earliest(holds: Sequence[DayHold], shop: Shop, hours: Hours) -> tuple[DayHold, ...] | None:
    """The holds in the order that ends earliest; None if no order fits, or there are too many to say."""
    if not 0 < len(holds) <= MOST_HOLDS:
        return None
    blanks = list(dict.fromkeys(hold.blank for hold in holds))
    queues = [[k for k, hold in enumerate(holds) if hold.blank == blank] for blank in blanks]
    reached: dict[State, tuple[float, tuple[int, ...]]] = {
        (tuple(0 for _ in blanks), -1): (hours.open.start, ())
    }
    for _ in holds:
        following: dict[State, tuple[float, tuple[int, ...]]] = {}
        for (done, last), (clock, way) in reached.items():
            for b, queue in enumerate(queues):
                if done[b] == len(queue):
                    continue
                hold = queue[done[b]]
                end = ends(_span(holds[hold], holds[last] if way else None, shop), clock, hours)
                state = ((*done[:b], done[b] + 1, *done[b + 1 :]), hold)
                if end is not None and (state not in following or end < following[state][0]):
                    following[state] = (end, (*way, hold))
        reached = following
    if not reached:
        return None
    _, best = min(reached.values())
    return tuple(holds[k] for k in best)


def _span(hold: DayHold, before: DayHold | None, shop: Shop) -> Span:
    """The hold as the clock sees it, minutes, after another one; reloads of a small magazine left out."""
    planned, holding = hold.planned, hold.job.plan.shop.holding
    left = before.planned.operations[-1].operation.tool if before else None
    more = int(left != planned.first_tool) - int(planned.starts_with_change)
    length = hold.length(more * change_seconds(shop))
    return Span(
        before=holding.locate_minutes + (holding.turn_minutes if planned.setup.turn else 0.0),
        expected=length.seconds / 60,
        longest=length.high / 60,
        after=holding.clean_minutes,
    )
