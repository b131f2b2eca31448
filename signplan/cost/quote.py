"""From a planned sign to the table for a quote: board, machine, people, steel, glue.

Everything here is arithmetic on the plan's own figures and the rates of the shop file. It is not a price and
no tax advice: what can be written off, and how, is for an accountant.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from signplan.cost.model import Costing, Line, Variant, Yield
from signplan.cost.rates import blanks_per_sheet, board_yield, hour_of_machine, loaded_hour, payback_years
from signplan.job.model import Job
from signplan.job.shop import Board, Shop
from signplan.schedule.model import Schedule
from signplan.sign.gluing import glue_area, glue_grams
from signplan.sign.mass import steel_mass
from signplan.sign.model import Sign
from signplan.timing.calibrate import UNLOGGED, Calibration
from signplan.timing.model import Seconds


@dataclass(frozen=True, kw_only=True, slots=True)
class Made:
    """A sign as it is to be made: the schedule chosen, and those that were not."""

    sign: Sign
    job: Job
    shop: Shop
    board: Board
    schedule: Schedule
    others: tuple[Schedule, ...] = ()
    calibration: Calibration = UNLOGGED


def cost(made: Made) -> Costing:
    """The table, and what another order, other blanks or a tool changer would do to it."""
    rates, quote = made.shop.rates, made.job.quote
    board, hour = _yield(made, made.schedule), loaded_hour(rates)
    saved = _changer_seconds(made) / 3600
    payback = None
    if made.shop.tool_change.kind == "by hand" and hour and rates.changer_price and rates.jobs_a_year:
        payback = payback_years(rates.changer_price, saved * rates.jobs_a_year * hour)
    return Costing(
        currency=rates.currency,
        lines=tuple(_lines(made, board)),
        markup_percent=quote.markup_percent,
        board=board,
        variants=tuple(_variants(made, board, hour)),
        changer_hours=saved,
        payback_years=payback,
        hour=hour,
    )


def _lines(made: Made, board: Yield) -> Iterator[Line]:
    rates, quote, hours = made.shop.rates, made.job.quote, made.schedule.seconds.total / 3600
    yield Line(
        name=f"board {made.board.id}",
        quantity=board.charged,
        unit="sheet" if board.charged == 1 else "sheets",
        rate=_sheet_price(made),
        note=f"{board.sheets} to buy, a sheet gives {board.per_sheet}; yield {board.share:.0%}",
    )
    note = "worked out from its price" if rates.machine else ""
    yield Line(name="machine", quantity=hours, unit="h", rate=hour_of_machine(rates), note=note)
    attended = hours * rates.attendance
    yield Line(name="operator", quantity=attended, unit="h", rate=rates.labour_hour)
    if quote.hours:
        yield Line(name="hand work", quantity=quote.hours, unit="h", rate=rates.labour_hour)
    yield from _hardware(made)
    glue = glue_grams(glue_area(made.sign).area) / 1000
    yield Line(name="adhesive", quantity=glue, unit="kg", rate=rates.glue_kg, note="a thin spread")
    if rates.consumables:
        yield Line(name="consumables", quantity=1, unit="job", rate=rates.consumables)
    if quote.bought_in:
        yield Line(name="bought in", quantity=1, unit="job", rate=quote.bought_in)


def _hardware(made: Made) -> Iterator[Line]:
    """Items with a price by the piece, all others together by their weight."""
    by_weight, prices = 0.0, {asked.name: asked.price for asked in made.job.hardware}
    for item in made.sign.items:
        if prices[item.name] is not None:
            yield Line(name=item.name, quantity=1, unit="piece", rate=prices[item.name])
        else:
            by_weight += steel_mass(item)
    if by_weight:
        yield Line(name="steel", quantity=by_weight, unit="kg", rate=made.shop.rates.steel_kg)


def _yield(made: Made, schedule: Schedule) -> Yield:
    blanks = {each.setup.blank_id: each.setup.blank[:2] for each in schedule.setups}
    fit = min(blanks_per_sheet(blank, made.board.sheet) for blank in blanks.values())
    sheets = math.ceil(len(blanks) / fit) if fit else len(blanks)
    parts = sum(panel.outline.area for panel in made.sign.panels)
    return Yield(
        blanks=len(blanks),
        per_sheet=fit,
        sheets=sheets,
        share=board_yield(parts, sheets, made.board.sheet),
    )


def _sheet_price(made: Made) -> float | None:
    """Price of a sheet of the sign's thickness."""
    prices = zip(made.board.thicknesses, made.board.sheet_prices, strict=False)
    return next((price for thick, price in prices if abs(thick - made.sign.thickness) < 1e-6), None)


# The same sign made otherwise


def _variants(made: Made, board: Yield, hour: float | None) -> Iterator[Variant]:
    changes, seconds = made.schedule.order.changes, made.schedule.seconds.total
    for habit in made.schedule.comparisons:
        name, more = f"order: {habit.name}", habit.seconds - seconds
        yield _variant(name, habit.changes - changes, more, hour)
    for other in made.others:
        name, more = f"blanks: {other.layout.blanks}", other.seconds.total - seconds
        other_board, price = _yield(made, other), _sheet_price(made)
        goods = (other_board.charged - board.charged) * price if price is not None else None
        if not other.refused:
            yield _variant(name, other.order.changes - changes, more, hour, goods=goods)
    if made.shop.tool_change.kind == "automatic":
        yield _variant("tools changed by hand", 0, _changer_seconds(made), hour)
    else:
        yield _variant("an automatic tool changer", 0, -_changer_seconds(made), hour)


def _variant(
    name: str, changes: int, seconds: float, hour: float | None, *, goods: float | None = 0.0
) -> Variant:
    amount = None if hour is None or goods is None else seconds / 3600 * hour + goods
    return Variant(name=name, changes=changes, seconds=seconds, amount=amount)


def _changer_seconds(made: Made) -> float:
    """What a changer saves over hands in this job, s; the shop's own way as its logged holds have it."""
    stated, by_hand = made.shop.tool_change, made.shop.tool_change.by_hand_s
    own = made.calibration.of(Seconds(changes=stated.each_s)).changes
    if stated.kind == "automatic":
        return change_saving(made.schedule.order.changes, by_hand, own)
    return change_saving(made.schedule.order.changes, own, made.shop.rates.changer_seconds)


def change_saving(changes: int, by_hand: float, automatic: float) -> float:
    """Seconds that a changer saves: changes x (by hand - automatic).

    >>> change_saving(24, 360, 15) / 60
    138.0
    """
    return changes * (by_hand - automatic)
