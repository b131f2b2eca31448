"""The fewest changes against OR-Tools CP-SAT, on graphs drawn by lot and graphs made to be hard.

The solver's model (benchmarks/order_by_solver.py) shares nothing with the search. 60 graphs run always; set
SIGNPLAN_SLOW=1 for all 400.
"""

import os
from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import pytest

from signplan.operations.order import order_operations

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"
cases = SimpleNamespace(**run_path(str(BENCHMARKS / "order_cases.py")))
by_solver = SimpleNamespace(**run_path(str(BENCHMARKS / "order_by_solver.py")))

slow = pytest.mark.skipif("SIGNPLAN_SLOW" not in os.environ, reason="set SIGNPLAN_SLOW=1: takes minutes")


def compare(seed, seconds):
    """The same optimum; where the solver ends unproven, its bound and its best lie around ours."""
    case = cases.random_graph(seed)
    spindle = sorted(set(case.tool_of.values()))[0] if seed % 3 == 0 else None
    order = order_operations(case.tool_of, case.needs, setup_of=case.setup_of, spindle=spindle)
    assert order.proven
    blocks = order.changes + (spindle is not None)
    found, bound, proven = by_solver.fewest_by_solver(case, blocks=blocks, spindle=spindle, seconds=seconds)
    assert bound <= order.changes
    if proven:
        assert found == order.changes
    return proven


@pytest.mark.parametrize("seed", range(60))
def test_the_same_optimum_as_the_solver(seed):
    compare(seed, 5.0)


@slow
@pytest.mark.parametrize("first", range(60, 400, 20))
def test_the_same_optimum_as_the_solver_on_many_more(first):
    proven = [compare(seed, 60.0) for seed in range(first, first + 20)]
    assert sum(proven) >= 18
