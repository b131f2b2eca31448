"""Each rule on places and depths: the blank, its bottom, the plan's floors, screws and pins."""

import numpy as np
import pytest

from signplan.findings import Severity
from signplan.programs.against_plan import PLAN_RULES, Site, _distances

ERROR = Severity.ERROR

CASES = [
    ("X140 F6000\nG0 Z12\nM5", "X340 F6000\nG0 Z12\nM5", "cut-outside", 29, "40.0 mm outside the blank"),
    ("G1 Z-10 F3000", "G1 Z-39 F3000", "board-through", 7, "39.0 mm deep"),
    ("G1 Z-10 F3000", "G1 Z-14 F3000", "floor-cut", 7, "T1 goes 14.0 mm deep"),
    ("G1 X140 F6000\nY110", "G1 X190 F6000\nX140\nY110", "floor-cut", 8, "the plan cuts nothing"),
    ("G1 Z-5 F3000", "G1 Z-7 F3000", "floor-cut", 18, "the plan's floor is 5.0 mm"),
    (
        "G0 X60 Y150\n",
        "G0 Z5\nX12 Y150\nY188\nX60\nZ12\nX60 Y150\n",
        "clamp-in-path",
        29,
        "0.0 mm from the screw",
    ),
    ("G1 X200\nG0 Z12", "G1 X150 Y14\nG0 Z12", "pin-in-path", 21, "4.0 mm from the index pin"),
    ("G1 Z-5 F3000\nX240", "G0 Z-5\nG1 X240", "rapid-into-board", 18, "5.0 mm at rapid"),
]


@pytest.mark.parametrize(("old", "new", "code", "line", "part"), CASES)
def test_a_fault_is_named_with_its_line(outer, right, old, new, code, line, part):
    assert old in right
    report = outer(right.replace(old, new, 1))
    found = [each for each in report.findings if each.code == code]
    assert [(each.where, each.severity) for each in found] == [(f"A-outer.nc:{line}", ERROR)]
    assert part in found[0].message


def test_every_rule_against_the_plan_is_tried_here():
    assert len(PLAN_RULES) + 1 == len({code for _, _, code, *_ in CASES})


def test_a_program_in_the_wrong_unit_is_found_by_its_size(outer, right):
    codes = {each.code for each in outer(right.replace("G21", "G20")).findings}
    assert {"cut-outside", "board-through", "floor-cut"} <= codes


def test_a_program_of_the_other_face_is_found_by_its_floors(check, right):
    mirrored = right.replace("X60", "X240").replace("X140", "X160")
    assert "floor-cut" in {each.code for each in check({"A-outer.nc": mirrored}).files[0].findings}


def test_a_screw_may_be_crossed_at_the_clearance_height(outer, right):
    over = right.replace("G0 X60 Y150\n", "G0 X12 Y150\nY188\nX60\nX60 Y150\n")
    assert outer(over).findings == ()


def test_pins_are_not_there_before_the_blank_is_turned(check):
    text = """G17 G21 G40 G90 G94\nT2 M6\nG43 H2\nS18000 M3\nG0 Z12\nG0 X60 Y60\nG1 Z-15 F3000\nG1 X70 F3500
G0 Z12\nT1 M6\nG43 H1\nM3\nG0 Z12\nG0 X160 Y60\nG1 Z-12 F3000\nX200 F6000\nG0 Z12\nG0 X150 Y10\nG1 Z-1 F3000
G0 Z12\nM30\n"""
    codes = {each.code for each in check({"A-inner.nc": text}).files[0].findings}
    assert "pin-in-path" not in codes
    assert "floor-cut" in codes


def test_a_drill_may_go_back_down_its_own_hole_at_rapid(outer, right):
    pecks = "G1 Z-2 F3000\nG0 Z12\nG0 Z-1.9\nG1 Z-3 F3000\nX140 F6000\nG0 Z12\nM5"
    assert outer(right.replace("G1 Z-3 F3000\nX140 F6000\nG0 Z12\nM5", pecks)).findings == ()
    deep = pecks.replace("G0 Z-1.9", "G0 Z-2.5")
    found = outer(right.replace("G1 Z-3 F3000\nX140 F6000\nG0 Z12\nM5", deep)).findings
    assert [each.code for each in found] == ["rapid-into-board"]


def test_a_rapid_may_go_down_where_the_program_has_cut_before(outer, right):
    again = right.replace("T2 M6", "G0 X62 Y62\nG0 Z-9\nG1 X100 F6000\nG0 Z12\nT2 M6")
    assert outer(again).findings == ()
    assert "rapid-into-board" in {
        each.code for each in outer(right.replace("G1 Z-10 F3000", "G0 Z-9\nG1 Z-10 F3000")).findings
    }


def test_a_skin_raises_the_bottom(setups, shop):
    planned = setups[1]
    assert Site(planned, shop).bottom == pytest.approx(-38.05)


def test_the_distance_from_a_move_is_that_of_its_nearest_point():
    start = np.array([[0.0, 0.0, 5.0], [0.0, 0.0, 5.0]])
    end = np.array([[10.0, 1.0, 5.0], [0.0, 0.0, 5.0]])
    assert _distances(start, end, (5.0, 3.0)).tolist() == pytest.approx([3.0, 5.0, 2.0])
