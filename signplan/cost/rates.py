"""The arithmetic of costing, each rule in one line. No tax: an accountant knows what may be written off."""

import math

from signplan.job.shop import MachineCost, Rates

SAW = 3.2
"""What the saw takes between two blanks of a sheet, mm; common practice."""


def machine_rate(cost: MachineCost) -> float:
    """An hour of a machine: (price / life + a year's upkeep, power and space) / hours a year.

    Its operator is not in it: the loaded rate is this and the labour rate together. Straight-line, as costing
    pages do; what the tax office accepts is another matter.

    >>> cost = MachineCost(price=180e3, life_years=7.0, upkeep=12e3, power=8500.0, space=6e3, hours=3200.0)
    >>> round(machine_rate(cost), 4)
    16.317
    """
    return (cost.price / cost.life_years + cost.upkeep + cost.power + cost.space) / cost.hours


def hour_of_machine(rates: Rates) -> float | None:
    """Stated, or worked out; None if neither."""
    return machine_rate(rates.machine) if rates.machine else rates.machine_hour


def loaded_hour(rates: Rates) -> float | None:
    """An hour of the machine with its operator, for as much of it as one is paid; None if not stated."""
    machine, labour = hour_of_machine(rates), rates.labour_hour
    if machine is None or (labour is None and rates.attendance):
        return None
    return machine + (labour or 0.0) * rates.attendance


def blanks_per_sheet(blank: tuple[float, float], sheet: tuple[float, float]) -> int:
    """How many blanks a sheet gives in plain rows, all the same way round, the better way; 0 if none fits.

    >>> blanks_per_sheet((600, 900), (1220, 2440))
    4
    """
    return max(math.prod(in_rows(way, sheet)) for way in (blank, blank[::-1]))


def in_rows(blank: tuple[float, float], sheet: tuple[float, float]) -> tuple[int, int]:
    """How many columns and rows of a blank, this way round, a sheet gives."""
    across, up = (math.floor((a + SAW) / (b + SAW) + 1e-9) for a, b in zip(sheet, blank, strict=True))
    return across, up


def board_yield(parts: float, sheets: int, sheet: tuple[float, float]) -> float:
    """Area of the parts over that of the sheets they are cut from.

    >>> board_yield(2 * 24 * 36, 1, (48, 96))
    0.375
    """
    return parts / (sheets * sheet[0] * sheet[1])


def payback_years(price: float, saving_a_year: float) -> float | None:
    """Simple payback: price over a year's saving; None, never, if nothing is saved.

    >>> round(payback_years(12_000, 138 / 60 * 40 * 75), 4)
    1.7391
    """
    return price / saving_a_year if saving_a_year > 0 else None
