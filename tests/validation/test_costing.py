"""Costing and tool changes against a published page's cases and arithmetic. No tax advice anywhere.

The machine rate is that of a costing page with three worked cases. Minutes and seconds of a tool change:
two trade articles for the ranges, common practice for the defaults.
"""

import pytest

from signplan.cost.model import Costing, Line, Yield
from signplan.cost.quote import change_saving
from signplan.cost.rates import blanks_per_sheet, board_yield, loaded_hour, machine_rate, payback_years
from signplan.job.shop import MachineCost, Rates, ToolChange
from signplan.operations.order import count_changes, order_operations


def machine(price: float, **changes: float) -> MachineCost:
    figures = {"life_years": 7.0, "upkeep": 12_000.0, "power": 8_500.0, "space": 6_000.0, "hours": 3_200.0}
    return MachineCost(price=price, **(figures | changes))


def test_machine_rate():
    """180,000 over 7 years, 12,000 + 8,500 + 6,000 a year, 3,200 h: 16.3170 an hour."""
    assert machine_rate(machine(180_000.0)) == pytest.approx(16.3170, rel=1e-4)


@pytest.mark.parametrize(("price", "loaded"), [(180_000.0, 50.3170), (90_000.0, 46.2991)])
def test_loaded_rate(price, loaded):
    """With labour at 34: 50.32 and 46.30 on the page."""
    assert loaded_hour(Rates(machine=machine(price), labour_hour=34.0)) == pytest.approx(loaded, rel=1e-4)


def test_the_dearest_case_of_the_page():
    """450,000: 62.37 an hour."""
    assert loaded_hour(Rates(machine=machine(450_000.0), labour_hour=34.0)) == pytest.approx(62.37, rel=1e-4)


def test_yield():
    """Two parts of 24 x 36 in a sheet of 48 x 96: 0.375, exact."""
    assert board_yield(2 * 24 * 36, 1, (48, 96)) == 0.375


def test_direct_cost():
    """1.5 h at 50.32 and half of a sheet at 60: 105.48. A line without a rate is left out, and named."""
    lines = (
        Line(name="machine", quantity=1.5, unit="h", rate=50.32),
        Line(name="board", quantity=0.5, unit="sheets", rate=60.0),
        Line(name="adhesive", quantity=0.1, unit="kg", rate=None),
    )
    costing = Costing(
        currency="",
        lines=lines,
        markup_percent=10.0,
        board=Yield(blanks=1, per_sheet=2, sheets=1, share=0.375),
        variants=(),
        changer_hours=0.0,
        payback_years=None,
        hour=50.32,
    )
    assert costing.direct == pytest.approx(105.48)
    assert costing.total == pytest.approx(105.48 * 1.1)
    assert costing.open == ("adhesive",)
    assert costing.board.charged == 0.5


def test_payback():
    """12,000 against 138 minutes a job, 40 jobs a year at 75 an hour: 1.7391 years."""
    assert payback_years(12_000, 138 / 60 * 40 * 75) == pytest.approx(1.7391, rel=1e-4)


@pytest.mark.parametrize("saving", [0.0, -500.0])
def test_what_saves_nothing_never_pays_back(saving):
    assert payback_years(12_000, saving) is None


def test_a_change_by_hand_and_by_changer():
    """By hand 6 min (common practice is 5 to 7 with wrenches and touch-off), automatic 15 s (5 to 30)."""
    assert ToolChange(kind="by hand").each_s == 360
    assert ToolChange(kind="automatic").each_s == 15


def test_a_job_of_24_changes():
    """144 min by hand, 6 min by a changer: 138 min saved, exact."""
    by_hand = ToolChange(kind="automatic").by_hand_s
    assert 24 * by_hand / 60 == 144
    assert 24 * 15 / 60 == 6
    assert change_saving(24, by_hand, 15) / 60 == 138


def test_counting_changes():
    """A B A B: 3 after the first tool; A A B B: 1. No order has fewer than the tools less one."""
    tools = {"1": "A", "2": "B", "3": "A", "4": "B"}
    assert count_changes("1234", tools, spindle="A") == 3
    assert count_changes("1324", tools, spindle="A") == 1
    best = order_operations(tools, {}, spindle="A")
    assert (best.changes, best.lower_bound) == (1, 1)


def test_blanks_of_a_sheet_with_the_saw_between():
    """Two blanks of exactly half a sheet do not come out of it: the saw takes its kerf."""
    assert blanks_per_sheet((1220 / 2, 2440), (1220, 2440)) == 1
    assert blanks_per_sheet((1220 / 2 - 1.6, 2440), (1220, 2440)) == 2
    assert blanks_per_sheet((2440, 1220), (1220, 2440)) == 1
    assert blanks_per_sheet((1300, 1300), (1220, 2440)) == 0
