"""The day of a machine: the holds of all jobs in one order, fitted into the shop's hours."""

from collections import Counter
from collections.abc import Sequence

from signplan.day.earliest import earliest
from signplan.day.fit import Slot, fit
from signplan.day.hours import Hours
from signplan.day.model import DayHold, DayJob, DayPlan
from signplan.day.run import Run
from signplan.errors import SignplanError
from signplan.job.shop import Shop, Tool
from signplan.plan import Plan
from signplan.timing.estimate import change_seconds
from signplan.timing.model import Seconds


def plan_day(plans: Sequence[Plan], hours: Hours) -> DayPlan:
    """The day of some jobs, the most urgent first: where it is too short the last ones are left.

    Raises:
        SignplanError: there is no job, or the jobs are planned for different machines or tools.
    """
    jobs = _named(plans)
    shop = _one_shop(jobs)
    ready = tuple(job for job in jobs if job.plan.ready)
    holds = [DayHold(job=job, planned=planned) for job in ready for planned in job.plan.setups]
    todo = _at_most(holds, hours)
    while (made := _in_hours(todo, shop, hours)) is None:
        gone = _given_up(todo, shop, hours)
        todo = [hold for hold in todo if hold not in gone]
    run, slots, bound = made
    return DayPlan(
        hours=hours,
        machine=shop.machine.name,
        by_hand=shop.tool_change.kind == "by hand",
        jobs=jobs,
        placed=tuple(run.placed(place, slot) for place, slot in enumerate(slots)),
        left=tuple(hold for hold in holds if hold not in todo),
        not_ready=tuple(job for job in jobs if not job.plan.ready),
        loads=run.loads,
        changes=run.order.changes,
        lower_bound=bound,
        changes_apart=_apart(todo),
        changes_listed=_apart(todo) + sum(_more_as_listed(job, todo) for job in ready),
        each_change=jobs[0].plan.calibration.of(Seconds(changes=change_seconds(shop))).changes,
    )


def _at_most(holds: Sequence[DayHold], hours: Hours) -> list[DayHold]:
    """The first holds, as many as a day would have room for without breaks and without tool changes."""
    minutes, found = 0.0, list[DayHold]()
    for hold in holds:
        planned, holding = hold.planned, hold.job.plan.shop.holding
        if planned.hold.high / 60 <= hours.open.minutes:
            minutes += holding.locate_minutes + (planned.hold.seconds - planned.seconds.changes) / 60
        if minutes > hours.open.minutes:
            break
        found.append(hold)
    return found


def _in_hours(todo: Sequence[DayHold], shop: Shop, hours: Hours) -> tuple[Run, tuple[Slot, ...], int] | None:
    """The holds in their places, and the fewest changes that they can have; None if there is no room.

    The order with the fewest changes comes first; if breaks stand in its way, the one that ends earliest.
    """
    run = Run(shop, todo)
    bound = run.order.lower_bound
    slots = fit([run.span(place) for place in range(len(todo))], hours)
    if slots is None and (order := earliest(todo, shop, hours)):
        run = Run(shop, order, as_given=True)
        slots = fit([run.span(place) for place in range(len(todo))], hours)
    return None if slots is None else (run, slots, bound)


def _named(plans: Sequence[Plan]) -> tuple[DayJob, ...]:
    seen: Counter[str] = Counter()
    jobs = []
    for plan in plans:
        number = plan.job.job.number
        seen[number] += 1
        jobs.append(DayJob(name=number if seen[number] == 1 else f"{number} #{seen[number]}", plan=plan))
    return tuple(jobs)


def _one_shop(jobs: Sequence[DayJob]) -> Shop:
    """The machine of the day, with its tools; all jobs must mean the same."""
    if not jobs:
        raise SignplanError("name one job or more")
    first, tools = jobs[0], dict[str, Tool]()
    for job in jobs:
        one, other = first.plan.shop, job.plan.shop
        if (one.machine, one.tool_change) != (other.machine, other.tool_change):
            raise SignplanError(
                f"{first.name} is planned for '{one.machine.name}' and {job.name} for "
                f"'{other.machine.name}', or they state it differently: a day is that of one machine"
            )
        for tool in other.tools:
            if tools.setdefault(tool.id, tool) != tool:
                raise SignplanError(f"{job.name} means another cutter by '{tool.id}' than the jobs before it")
    return first.plan.shop


def _given_up(todo: Sequence[DayHold], shop: Shop, hours: Hours) -> list[DayHold]:
    """What to leave: a hold that no day has room for, with what follows on its blank; else the last one."""
    for hold in todo:
        alone = Run(shop, (hold,))
        if fit([alone.span(0)], hours) is None:
            later = todo[todo.index(hold) :]
            return [each for each in later if each.blank == hold.blank]
    return [todo[-1]]


def _apart(holds: Sequence[DayHold]) -> int:
    """Changes of the jobs one after another, each beginning with an empty spindle."""
    apart: Counter[str] = Counter()
    for hold in holds:
        apart[hold.job.name] += hold.planned.changes
    return sum(apart.values())


def _more_as_listed(job: DayJob, holds: Sequence[DayHold]) -> int:
    """Changes that a job, if it is all in the day, would have more in the order that it lists its work."""
    if sum(hold.job is job for hold in holds) < len(job.plan.setups):
        return 0
    listed = [each.changes for each in job.plan.comparisons if each.name == "as listed"]
    return max(0, *(changes - job.plan.order.changes for changes in listed), 0)
