"""Each rule on lines: one fault put into a right program is one finding, with its line."""

import pytest

from signplan.findings import Severity
from signplan.programs.line_rules import LINE_RULES

ERROR, WARNING, NOTE = Severity.ERROR, Severity.WARNING, Severity.NOTE

CASES = [
    # what, with what it is replaced, code, line, severity, part of the message
    ("X140 F6000\nY110", "X140 F6000 Q7Z\nY110", "program-line", 8, ERROR, "from 'Z' on"),
    ("X140 F6000\nY110", f"X140 {' ' * 290}F6000\nY110", "program-line", 8, ERROR, "303 characters"),
    ("G1 X140", "G1 N5 X140", "program-line", 8, ERROR, "N5 does not stand first"),
    ("G1 X140", "N100000 G1 X140", "program-line", 8, ERROR, "not one of 0 to 99999"),
    ("G1 X140", "(to (the) edge) G1 X140", "program-comment", 8, ERROR, "inside another"),
    ("Y110\n", "Y110 (far side\n", "program-comment", 9, ERROR, "not closed"),
    ("Y110\n", "Y110 ; far side\n", "program-comment", 9, NOTE, "semicolon"),
    ("Y110\n", "Y110 U3\n", "program-word", 9, ERROR, "U3 is not a word"),
    ("Y110\n", "G43.1 Y110\n", "program-word", 9, ERROR, "G43.1 is not a word"),
    ("Y110\n", "Y110 M77\n", "program-word", 9, ERROR, "M77 is not a word"),
    ("G0 X60 Y60", "G0 G1 X60 Y60", "program-group", 6, ERROR, "G0 and G1 on one line"),
    ("G0 X60 Y60", "G90 G91 G90 X60 Y60", "program-group", 6, ERROR, "G90 and G91 and G90"),
    ("S18000 M3\nG43 H1", "S18000 M3 M5\nG43 H1", "program-group", 3, ERROR, "both set the spindle"),
    ("G0 X60 Y60", "G0 X60 Y60 Y60", "program-group", 6, ERROR, "Y stands 2 times"),
    ("M5\nM30", "M5 M9 M48 M1 M6\nM30", "program-group", 31, ERROR, "5 M words"),
    ("M5\nM30", "M5\nG28 G0 Z12\nM30", "program-group", 32, ERROR, "both take its axis words"),
    ("G0 X60 Y60", "G0 X60 Y60\nG41 D1", "program-not-checked", 7, WARNING, "only the control knows"),
    ("M5\nM30", "G28 Z12\nM5\nM30", "program-not-checked", 31, WARNING, "reference point"),
    ("M5\nM30", "G53 G0 Z0\nM5\nM30", "program-not-checked", 31, WARNING, "machine's own frame"),
    ("G43 H1", "G43 H1\nG92 X0 Y0", "program-not-checked", 5, ERROR, "moves the program's zero"),
    ("G43 H1", "G43 H1\nG10 L2 P1 X5", "program-not-checked", 5, ERROR, "sets a work offset"),
    ("Y110\n", "Y110 A90\n", "program-not-checked", 9, WARNING, "rotary axis"),
    ("M5\nM30", "#3 = 7\nM5\nM30", "program-not-checked", 31, ERROR, "computed by the control"),
    ("Y110\n", "/Y110\n", "program-optional", 9, WARNING, "block delete"),
    ("T1 M6", "T1.5 M6", "program-tool", 2, ERROR, "T1.5 is not a tool number"),
    ("T1 M6", "M6", "program-tool", 2, WARNING, "no T word"),
    ("G43 H1", "G43 H2", "length-number", 4, WARNING, "G43 with H2 while T1"),
    ("G43 H1", "G43", "length-number", 4, WARNING, "G43 without H"),
    ("G43 H2", "G43 H2 G20\nG21", "program-units", 15, WARNING, "changes between inches"),
    ("S18000 M3\nG43 H1", "S18000 M4\nG43 H1", "spindle-reversed", 3, WARNING, "M4 turns"),
    ("G94 G54", "G94 G55", "work-offset", 1, WARNING, "G55 takes another zero"),
]


@pytest.mark.parametrize(("old", "new", "code", "line", "severity", "part"), CASES)
def test_a_fault_is_named_with_its_line(outer, right, old, new, code, line, severity, part):
    assert old in right
    report = outer(right.replace(old, new, 1))
    found = [each for each in report.findings if each.code == code]
    assert [(each.where, each.severity) for each in found] == [(f"A-outer.nc:{line}", severity)]
    assert part in found[0].message


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("G1 X140", "n10g1x140"),
        ("G1 X140", "G 1 X1 4 0"),
        ("G1 X140", "N99999 G1 X140.000 (an edge)"),
        ("G1 X140", "G01 X+140."),
        ("G1 X140", "(MSG, cutting) G1 (here) X140"),
        ("M5\nM30", "M7 M8\nM9\nM5\nM30"),
        ("T2 M6\nS18000 M3", "M6 T2 M3 S18000"),
        ("G1 X140", "G1 X14e1".replace("e1", "0")),
        ("G17 G21", "%\nG17 G21"),
    ],
)
def test_what_the_language_allows_is_no_fault(outer, right, old, new):
    assert old in right
    assert outer(right.replace(old, new, 1)).findings == ()


def test_every_rule_of_lines_is_tried_here():
    assert len(LINE_RULES) == len({code for _, _, code, *_ in CASES})
