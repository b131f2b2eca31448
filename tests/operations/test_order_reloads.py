"""Order and magazine together; the comparison with brute force is in test_order.py."""

from signplan.operations.order_job import read_job
from signplan.operations.order_reloads import Cost, fewest_reloads
from signplan.operations.order_search import Budget

PLENTY = 100_000


def plan_for(tools, needs, *, slots, setup_of=None, states=PLENTY):
    job = read_job(tools, needs, setup_of)
    return fewest_reloads(job, slots, None, budget=Budget(states=states))


def test_setups_are_swapped_to_save_reloads():
    """Two places; the hold with C and D between the two with A and B would cost two reloads more."""
    tools = {"1": "A", "2": "B", "3": "C", "4": "D", "5": "A", "6": "B"}
    setup_of = {"1": "one", "2": "one", "3": "two", "4": "two", "5": "three", "6": "three"}
    assert plan_for(tools, {}, slots=2, setup_of=setup_of).cost == Cost(0, 2)
    assert plan_for(tools, {"3": ["1"], "5": ["3"]}, slots=2, setup_of=setup_of).cost == Cost(0, 4)


def test_a_hold_with_more_tools_than_places_needs_a_stop():
    plan = plan_for({"1": "A", "2": "B", "3": "C"}, {}, slots=2)
    assert plan.cost == plan.least == Cost(1, 1)
    assert len(plan.phases) == 2


def test_a_tool_that_comes_back_after_a_stop_is_kept():
    """A B C A with two places: A stays, B goes out for C."""
    plan = plan_for({"1": "A", "2": "B", "3": "C", "4": "A"}, {"2": ["1"], "3": ["2"], "4": ["3"]}, slots=2)
    assert plan.cost == Cost(1, 1)


def test_phases_do_every_operation_once():
    tools = {str(n): "ABCDE"[n % 5] for n in range(15)}
    needs = {str(n): [str(n - 1)] for n in range(1, 15)}
    plan = plan_for(tools, needs, slots=3)
    done = 0
    for setup, operations in plan.phases:
        assert setup == 0
        assert not done & operations
        done |= operations
    assert done == (1 << 15) - 1


def test_a_search_given_up_keeps_a_bound_that_is_not_too_high():
    tools = {str(n): "ABCDEFGH"[n % 8] for n in range(24)}
    needs = {str(n): [str(n - 1)] for n in range(1, 24)}
    proven = plan_for(tools, needs, slots=3)
    for states in (1, 10, 100, 1000):
        given_up = plan_for(tools, needs, slots=3, states=states)
        assert given_up.least <= proven.least
        assert given_up.cost >= proven.cost
