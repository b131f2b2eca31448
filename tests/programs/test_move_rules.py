"""Each rule on moves: one fault put into a right program is one finding, at its worst place."""

import pytest

from signplan.findings import Severity
from signplan.programs.move_rules import MOVE_RULES

ERROR, WARNING = Severity.ERROR, Severity.WARNING

CASES = [
    ("G1 Z-10 F3000\nG1 X140 F6000", "G1 Z-10\nG1 X140", "feed-missing", 7, ERROR, "no feed (F)"),
    ("G1 X200\nG0 Z12", "G93 G1 X200\nG94 G0 Z12", "feed-missing", 21, ERROR, "no feed (F)"),
    ("Y110\n", "G80\nY110\n", "motion-missing", 10, ERROR, "no motion"),
    ("I0 J20", "I0 J25", "arc-wrong", 20, ERROR, "25.0000 mm at the start and 15.0000 mm at the end"),
    ("I0 J20", "R10", "arc-wrong", 20, ERROR, "further apart than 2 R"),
    ("I0 J20", "K20", "arc-wrong", 20, ERROR, "does not lie in its plane"),
    ("I0 J20", "", "arc-wrong", 20, ERROR, "neither a centre"),
    ("I0 J20", "I0 J20 R20", "arc-wrong", 20, ERROR, "both a centre and a radius"),
    ("G3 X240 Y90 I0 J20", "G3 X240 Y50 R20", "arc-wrong", 20, ERROR, "full circle"),
    ("G0 Z12\nG0 X60 Y60", "G0 Z12\nG0 X60", "place-unknown", 7, ERROR, "has not said"),
    ("T2 M6\nS18000 M3", "T2 M6\nS18000", "spindle-off", 18, ERROR, "spindle stands"),
    ("T1 M6\nS18000 M3", "T1 M6\nM3", "spindle-off", 7, ERROR, "spindle stands"),
    ("S18000 M3\nG43 H2", "S30000 M3\nG43 H2", "spindle-range", 16, WARNING, "30000 rpm"),
    ("G0 X200 Y50", "Z6\nG0 X200 Y50", "rapid-low", 18, ERROR, "Z 6.0 mm, below the clearance height"),
    ("G1 X200\nG0 Z12", "G1 X200\nG0 X60 Z12", "rapid-low", 22, ERROR, "Z -5.0 mm"),
    ("G1 X140 F6000", "G1 X140 F12000", "feed-range", 8, WARNING, "12000 mm/min; this machine has 10000"),
    ("G1 X140 F6000", "G1 X140 F600", "chip-load", 8, WARNING, "T1 takes a chip of 0.0167 mm"),
    ("X240 F6000", "X240 F40000", "chip-load", 19, WARNING, "T2 takes a chip of 1.1111 mm"),
    ("G43 H3\n", "", "length-offset", 27, WARNING, "T3 cuts without a length offset"),
]


@pytest.mark.parametrize(("old", "new", "code", "line", "severity", "part"), CASES)
def test_a_fault_is_named_with_its_line(outer, right, old, new, code, line, severity, part):
    assert old in right
    report = outer(right.replace(old, new, 1))
    found = [each for each in report.findings if each.code == code]
    assert [(each.where, each.severity) for each in found] == [(f"A-outer.nc:{line}", severity)]
    assert part in found[0].message


def test_every_rule_of_moves_is_tried_here():
    assert len(MOVE_RULES) == len({code for _, _, code, *_ in CASES})


def test_a_fault_on_many_lines_is_one_finding_that_counts_them(outer, right):
    report = outer(right.replace("S18000 M3", "S18000"))
    [finding] = [each for each in report.findings if each.code == "spindle-off"]
    assert finding.where == "A-outer.nc:7"
    assert finding.message.endswith("(so on 11 lines)")


def test_an_arc_of_many_chords_counts_as_one_line(outer, right):
    report = outer(right.replace("S18000 M3\nG43 H2", "G43 H2").replace("X240 F6000\n", "X240 F6000\nM3\n"))
    [finding] = [each for each in report.findings if each.code == "spindle-off"]
    assert finding.message.endswith("(so on 2 lines)")


def test_rapids_straight_up_and_down_above_the_board_are_fine(outer, right):
    low = right.replace("G0 X60 Y60\n", "G0 X60 Y60\nG0 Z1\n")
    assert outer(low).findings == ()
