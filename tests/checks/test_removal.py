"""The removal check: silent on what the program plans, loud on each thing that a path may do wrong."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from signplan.checks.removal import CHECKS, Swept, check_removal, sweep
from signplan.plan import make_plan
from signplan.toolpaths.proof import Removal

SOUND = Removal(feature="A/inner/bar-1", struck=0.0, below=0.0, outside=0.0, left=3.0, missed=3.0)


@pytest.fixture(scope="module")
def setups():
    """The inner faces of the gate sign, its post's pockets alone, and the sign's width."""
    plan = make_plan(Path(__file__).parents[2] / "demo_jobs" / "tansyrigg-orchard")
    inner = plan.setups[0]
    operations = tuple(each for each in inner.operations if each.operation.feature.startswith("A/post"))
    return (replace(inner, operations=operations),), plan.sign.width


def codes(done: Removal) -> list[str]:
    swept = Swept(setup="A-inner", done=done, border=100.0)
    return [finding.code for check in CHECKS for finding in check(swept)]


def test_what_the_program_plans_is_what_its_paths_remove(setups):
    assert check_removal(*setups) == ()
    assert {swept.done.feature for swept in sweep(*setups)} == {"A/inner/post-1", "A/inner/post-2"}


def test_a_path_that_goes_too_deep_is_found_through_the_whole_way(setups):
    (inner,), width = setups
    lower = np.array([0.0, 0.0, -1.0])
    sunk = tuple(replace(e, path=replace(e.path, points=e.path.points + lower)) for e in inner.operations)
    found = check_removal((replace(inner, operations=sunk),), width)
    assert {finding.code for finding in found} == {"cut-below"}


@pytest.mark.parametrize(
    ("fault", "code"),
    [
        ({"struck": 0.2}, "rapid-strikes"),
        ({"below": 0.2}, "cut-below"),
        ({"outside": 6.0}, "cut-beside"),
        ({"left": 9.0}, "board-left"),
    ],
)
def test_each_fault_has_its_code(fault, code):
    assert codes(replace(SOUND, **fault)) == [code]


def test_what_is_known_to_be_missed_is_no_fault():
    assert codes(SOUND) == []
    assert codes(replace(SOUND, left=9.0, missed=9.0)) == []
