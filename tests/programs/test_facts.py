"""Rules on whole programs, and what is known of one when it ends."""

import pytest

from signplan.findings import Severity
from signplan.programs.facts import MOST_CHANGES, PROGRAM_RULES, Facts

ERROR, WARNING = Severity.ERROR, Severity.WARNING

CASES = [
    ("M30\n", "", "program-end", 31, ERROR, "does not end"),
    ("M30\n", "M30\n\nG1 X5\n", "program-end", 34, WARNING, "after the program's end on line 32"),
    ("G17 G21 ", "G17 ", "program-units", 5, ERROR, "does not say anywhere"),
    ("G0 Z12\nT2", "G21\nG0 Z12\nT2", "program-units", 5, ERROR, "before its first move"),
    ("G17 G21 G40 G49 G80 G90 G94 G54", "G21 G90", "program-start", 5, WARNING, "set G17, G40, G94 before"),
    ("T1 M6", "T1", "program-tool", 5, WARNING, "T3 was asked for"),
    ("T3 M6", "T33 M6", "tool-unlisted", 23, ERROR, "T33 is not a tool of the shop file"),
]


@pytest.mark.parametrize(("old", "new", "code", "line", "severity", "part"), CASES)
def test_a_fault_is_named_with_its_line(outer, right, old, new, code, line, severity, part):
    assert old in right
    text = right.replace(old, new, 1)
    if "first move" in part:
        text = text.replace("G17 G21 ", "G17 ", 1)
    found = [each for each in outer(text).findings if each.code == code]
    assert [(each.where, each.severity) for each in found] == [(f"A-outer.nc:{line}", severity)]
    assert part in found[0].message


def test_every_rule_of_programs_is_tried_here():
    assert len(PROGRAM_RULES) == len({code for _, _, code, *_ in CASES})


@pytest.mark.parametrize("end", ["M2\n", "M30\n", "M30\n%\n", "M30\n\n\n"])
def test_every_end_of_the_language_is_an_end(outer, right, end):
    assert outer(right.replace("M30\n", end)).findings == ()


def test_a_program_may_stand_between_percents(outer, right):
    assert outer("%\n" + right.replace("M30\n", "%\n")).findings == ()


def test_a_program_that_never_calls_a_tool_is_asked_which(outer, right):
    text = right.split("T2")[0].replace("T1 M6\n", "") + "M5\nM30\n"
    codes = [each.code for each in outer(text).findings]
    assert codes == ["program-tool"]


def test_runs_are_what_the_tools_do(moves_of):
    facts = Facts()
    text = "G21\nT1 M6\nG0 X0 Y0 Z5\nG1 Z-1 F60\nX30\nG2 X40 Y0 I5 J0\nT2 M6\nG0 Z5\nM30\n"
    for batch in moves_of(text, size=16):
        facts.add(batch)
    first, second = facts.runs[1], facts.runs[2]
    assert (first.tool, first.line, second.tool, second.line) == (1, 2, 2, 7)
    assert first.cut_length == pytest.approx(6 + 30 + 15.708, abs=0.01)
    assert first.low.tolist() == [0, 0, -1]
    assert first.high == pytest.approx([40, 5, 5], abs=0.01)
    assert not second.cuts
    assert (facts.lines, facts.first_move) == (9, 3)


def test_a_program_of_endless_tool_changes_is_none(outer):
    report = outer("G21 G90\n" + "T1 M6\nT2 M6\n" * MOST_CHANGES)
    assert [each.code for each in report.findings] == ["program-unreadable"]
    assert "changes tools more than" in report.findings[0].message
