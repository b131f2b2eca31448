"""The table for a quote, and what another order, other blanks or a tool changer would do to it."""

from collections.abc import Iterator
from dataclasses import replace

from signplan.cost.model import Costing, Line
from signplan.documents.sheet import Pen, Space
from signplan.documents.tables import Column
from signplan.documents.traveller.parts import heading, listed, words
from signplan.documents.words import duration, habit
from signplan.plan import Plan
from signplan.units import KG_PER_POUND, Units

TAX = "No tax is in any figure. What may be written off, and how, is for an accountant."

COST = (
    Column("", 32, bold=True),
    Column("how much", 24, "right"),
    Column("at", 21, "right"),
    Column("amount", 26, "right", bold=True),
    Column("", 36),
)
OTHERWISE = (
    Column("made otherwise", 50, bold=True),
    Column("changes", 21, "right"),
    Column("time", 26, "right"),
    Column("cost", 26, "right", bold=True),
)


def cost_table(plan: Plan, pen: Pen, space: Space) -> None:
    """Both tables, and what a changer would bring."""
    costing = plan.costing
    left, right = space.columns(1.15, 1, gap=10)
    left = listed(
        pen,
        heading(pen, left, "What it takes"),
        COST,
        tuple(_cost_rows(costing, plan.job.job.units)),
        size=10.5,
    )
    if costing.open:
        said = f"No rate is stated for: {', '.join(costing.open)}. The sum is without them."
        if len(costing.open) == len(costing.lines):
            said = "The shop file states no rates, so there is no sum: add [rates] to it."
        left = words(pen, left, said, size=11)
    words(pen, left, TAX, size=11, bold=True)
    right = heading(pen, right, "What another way would change")
    right = listed(pen, right, OTHERWISE, tuple(_otherwise(costing)), size=10.5)
    words(pen, right, _changer(plan), size=11)


def _cost_rows(costing: Costing, units: Units) -> Iterator[tuple[str, ...]]:
    for line in (in_pounds(each) if units == "in" else each for each in costing.lines):
        yield (
            line.name,
            _quantity(line),
            "–" if line.rate is None else money(line.rate, costing.currency),
            "–" if line.amount is None else money(line.amount, costing.currency),
            line.note,
        )
    if costing.markup_percent:
        markup = costing.total - costing.direct
        yield "markup", f"{costing.markup_percent:g} %", "", money(markup, costing.currency), ""
    if all(line.amount is None for line in costing.lines):
        yield "SUM", "", "", "–", "no rates stated"
        return
    yield "SUM", "", "", money(costing.total, costing.currency), "" if not costing.open else "not complete"


def in_pounds(line: Line) -> Line:
    """What is weighed, in pounds and at the price of one; the amount stays as it is.

    >>> line = in_pounds(Line(name="steel", quantity=4.5359237, unit="kg", rate=9.0))
    >>> round(line.quantity, 6), line.unit, round(line.rate, 2), round(line.amount, 2)
    (10.0, 'lb', 4.08, 40.82)
    """
    if line.unit != "kg":
        return line
    rate = None if line.rate is None else line.rate * KG_PER_POUND
    return replace(line, quantity=line.quantity / KG_PER_POUND, unit="lb", rate=rate)


def _quantity(line: Line) -> str:
    return f"{line.quantity:.2f} {line.unit}".replace(".00 ", " ")


def money(amount: float, currency: str) -> str:
    """A sum with its currency, a minus before both.

    >>> money(1234.5, "$"), money(-0.5, "€"), money(3, "")
    ('$1,234.50', '-€0.50', '3.00')
    """
    text = f"{currency}{abs(amount):,.2f}"
    return f"-{text}" if round(amount, 2) < 0 else text


def _otherwise(costing: Costing) -> Iterator[tuple[str, ...]]:
    for each in costing.variants:
        kind, _, name = each.name.partition(": ")
        said = f"{kind}: {habit(name)}" if name else kind
        yield (
            said,
            f"{each.changes:+d}" if each.changes else "0",
            _more(each.seconds),
            "–" if each.amount is None else _signed(each.amount, costing.currency),
        )


def _more(seconds: float) -> str:
    return "the same" if abs(seconds) < 1 else f"{'+' if seconds > 0 else '-'}{duration(abs(seconds))}"


def _signed(amount: float, currency: str) -> str:
    return f"+{money(amount, currency)}" if round(amount, 2) > 0 else money(amount, currency)


def _changer(plan: Plan) -> str:
    costing, change = plan.costing, plan.shop.tool_change
    saved = duration(costing.changer_hours * 3600)
    if change.kind == "automatic":
        return f"The changer saves {saved} over changes by hand in this job."
    if costing.payback_years is not None:
        return (
            f"A tool changer would save {saved} in a job like this; at {plan.shop.rates.jobs_a_year:g} jobs "
            f"a year it would have paid for itself in {costing.payback_years:.1f} years (simple payback)."
        )
    return f"A tool changer would save {saved} in a job like this ([rates] in the shop file: its payback)."
