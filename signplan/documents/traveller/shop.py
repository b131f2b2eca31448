"""The shop pages: what holds the work, how long and by when, what could hurt someone, weight and cost."""

from collections.abc import Iterator
from functools import partial

from signplan.documents.forces import area, force
from signplan.documents.sheet import Page, Pen, Space
from signplan.documents.tables import Column
from signplan.documents.traveller.care import cautions
from signplan.documents.traveller.cautions import DEFER
from signplan.documents.traveller.hanging import weight_and_wind
from signplan.documents.traveller.parts import heading, listed, ticks, words
from signplan.documents.traveller.quote import cost_table
from signplan.documents.words import exact, hold_words, operation_numbers, place
from signplan.plan import Plan
from signplan.schedule.holding import SAFE, Hold
from signplan.schedule.model import PlannedSetup


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """Three pages: before the button, how the sign hangs, and one for the office."""
    del content
    yield Page(
        title="Before you press the button",
        subtitle="What holds the work, how long and by when, and what this job can do to people",
        draw=partial(_before, plan),
        chapter="Before you press the button",
    )
    if any(hold.proposed for hold in plan.holds):
        yield Page(
            title="Screws: good places",
            subtitle="Clear of every path, rapids and lead-ins included; X, Y from X0 Y0 of each setup",
            draw=partial(_screws, plan),
        )
    yield Page(
        title="Weight, hanging, wind",
        subtitle="Reminders by published formulas. Nothing here approves a structure",
        draw=partial(weight_and_wind, plan),
        chapter="Weight, hanging, cost",
    )
    yield Page(
        title="Cost, for a quote",
        subtitle="For the office: the plan's own figures at the rates of the shop file",
        draw=partial(cost_table, plan),
    )


def _before(plan: Plan, pen: Pen, space: Space) -> None:
    left, right = space.columns(1.6, 1, gap=9)
    left = _holds(plan, pen, left)
    if plan.shop.holding.kind != "screws":
        _opens(plan, pen, left)
    right = ticks(pen, heading(pen, right, "Take care: this job"), tuple(cautions(plan)), size=10)
    words(pen, right, DEFER, size=9)


# The hold

HOLDS = (
    Column("setup", 23, bold=True),
    Column("vacuum on for", 43),
    Column("start by", 16, bold=True),
    Column("weakest at", 34),
    Column("holds", 20, "right"),
    Column("pushes", 20, "right"),
    Column("times", 15, "right", bold=True),
)


def _holds(plan: Plan, pen: Pen, space: Space) -> Space:
    units, holding = plan.job.job.units, plan.shop.holding
    rows = [_hold(plan, *each) for each in zip(plan.setups, plan.holds, strict=True)]
    space = heading(pen, space, "The hold: once begun it is finished")
    space = listed(pen, space, HOLDS, rows, size=9.5)
    if holding.kind == "screws":
        return words(pen, space, "Held by screws: no vacuum is counted.", size=10)
    least = "77 in²" if units == "in" else "500 cm²"
    return words(
        pen,
        space,
        f"Vacuum {holding.inches_of_mercury:g} inHg, read at the gauge WITH THE CUTS OPEN; friction "
        f"{holding.friction:g}. Wanted is {SAFE:g} times the greatest push of the cutter, an upper estimate; "
        f"tabs are not counted. Never leave a part under {least} to vacuum alone.",
        size=9.5,
    )


def _hold(plan: Plan, planned: PlannedSetup, hold: Hold) -> tuple[str, ...]:
    units, weakest = plan.job.job.units, hold.weakest
    number = operation_numbers(plan)[weakest.operation]
    by_vacuum = plan.shop.holding.kind != "screws"
    return (
        planned.setup.id,
        hold_words(planned),
        planned.latest_start or "–",
        f"no. {number}, {weakest.piece}",
        force(weakest.side, units) if by_vacuum else "–",
        force(weakest.push, units),
        (f"{weakest.factor:.0f}" if weakest.factor >= 10 else f"{weakest.factor:.1f}") if by_vacuum else "–",
    )


OPENS = (
    Column("setup", 23, bold=True),
    Column("from", 40),
    Column("what is held", 34, bold=True),
    Column("sealed", 30, "right"),
    Column("holds", 24, "right"),
)


def _opens(plan: Plan, pen: Pen, space: Space) -> Space:
    """How the hold shrinks while the setup is cut."""
    space = heading(pen, space.below(1), "What is sealed, as cuts open")
    space = listed(pen, space, OPENS, tuple(_stages(plan)), size=9.5)
    return words(
        pen,
        space,
        "The blank less what is cut into the face that lies down. A cut that goes through takes its area "
        "away, and a panel that is cut free has only its own.",
        size=9.5,
    )


def _stages(plan: Plan) -> Iterator[tuple[str, ...]]:
    units, numbers = plan.job.job.units, operation_numbers(plan)
    for hold in plan.holds:
        told = ("", 0.0)
        for grip in hold.grips:
            if grip.piece == told[0] and abs(grip.area - told[1]) < NOTICEABLE * told[1]:
                continue
            start = f"operation {numbers[grip.operation]}" if told[0] else "vacuum on"
            yield hold.setup, start, grip.piece, area(grip.area, units), force(grip.side, units)
            told = (grip.piece, grip.area)


NOTICEABLE = 0.005
"""Share of a sealed area that is worth a line."""


SCREWS = (Column("no.", 12, bold=True), Column("X", 30, "right"), Column("Y", 30, "right"))


def _screws(plan: Plan, pen: Pen, space: Space) -> None:
    """Places for screws in the waste, setup by setup."""
    units, found = plan.job.job.units, [hold for hold in plan.holds if hold.proposed]
    said = (
        "Places in the waste where no cutter comes within 1/4 in (6.4 mm) of a screw. Drive the heads "
        f"down: they are taken to stand no more than {exact(plan.shop.holding.screw_head, units)} above the "
        "board. Two or more at each end; a dry run before the first cut."
    )
    space = words(pen, space, said, size=11)
    for hold, column in zip(found, space.columns(*[1.0] * len(found), gap=8), strict=True):
        rows = [(str(k), place(x, units), place(y, units)) for k, (x, y) in enumerate(hold.proposed, 1)]
        listed(pen, heading(pen, column, hold.setup), SCREWS, rows, size=9.5)
