"""Tools against the plan: swapped numbers, wrong numbers, missing tools, another order, too deep."""

import pytest

from signplan.findings import Severity
from signplan.programs.setups import SETUP_RULES, told_by, told_by_tools


def _codes(report, severity=None):
    return [each.code for each in report.findings if severity in (None, each.severity)]


def test_a_tool_that_cuts_anothers_work_has_the_wrong_number(outer, right):
    swapped = right.replace("T1 M6", "T9 M6").replace("T2 M6", "T1 M6").replace("T9 M6", "T2 M6")
    found = [each for each in outer(swapped).findings if each.code == "tool-number"]
    assert [each.message for each in found] == [
        "T2 (em-6) cuts here what the plan cuts with T1 (em-12): A-outer/ground",
        "T1 (em-12) cuts here what the plan cuts with T2 (em-6): A-outer/letters",
    ]
    assert [each.where for each in found] == ["A-outer.nc:2", "A-outer.nc:13"]
    assert all(each.severity is Severity.ERROR for each in found)


def test_one_wrong_number_is_one_finding_even_where_the_cuts_do_not_match(outer, right):
    wrong = right.replace("T3 M6", "T4 M6").replace("X60 Y150", "X90 Y150")
    found = [each for each in outer(wrong).findings if each.code == "tool-number"]
    assert [each.message for each in found] == [
        "T4 (drill-8) stands where the plan has T3 (v-60): A-outer/line",
    ]
    assert (found[0].measured, found[0].wanted) == (4.0, 3.0)


def test_a_tool_that_the_plan_does_not_use_is_named(outer, right):
    more = right.replace("M5\nM30", "T4 M6\nG43 H4\nM3\nG0 X80 Y80\nG1 Z-9 F3000\nG0 Z12\nM5\nM30")
    found = [each for each in outer(more).findings if each.code == "tool-number"]
    assert [each.message for each in found] == [
        "T4 (drill-8) is called; the plan does not use it in A-outer",
    ]


def test_a_tool_that_never_comes_is_named_with_what_is_not_cut(outer, right):
    head, _ = right.split("T3 M6")
    found = outer(head + "M5\nM30\n").findings
    assert [each.message for each in found] == ["T3 (v-60) is never called in A-outer: A-outer/line"]


def test_a_number_that_the_shop_does_not_have(outer, right):
    report = outer(right.replace("T3 M6", "T33 M6").replace("H3", "H33"))
    assert _codes(report) == ["tool-number", "tool-unlisted"]


def test_the_same_tools_in_another_order_are_a_warning(outer, right):
    head, first, second, third = right.replace("T", "|T").split("|")
    report = outer(head + second + first + third)
    assert _codes(report) == ["tool-order"]
    assert report.findings[0].message == "tools come in the order T2 T1 T3; the plan has T1 T2 T3"


def test_a_tool_called_twice_for_its_work_is_another_order(outer, right):
    text = right.replace(
        "Y110\nX60\n",
        "Y110\nG0 Z12\nT2 M6\nG43 H2\nM3\nG0 X200 Y50\nG1 Z-5 F3000\nG0 Z12\n"
        "T1 M6\nG43 H1\nM3\nG0 X140 Y110\nG1 Z-10 F3000\nX60 F6000\n",
    )
    assert "tool-order" in _codes(outer(text))


@pytest.mark.parametrize(("depth", "codes"), [("-5.04", []), ("-5.2", ["floor-cut", "tool-depth"])])
def test_a_tool_goes_no_deeper_than_planned(outer, right, depth, codes):
    assert sorted(_codes(outer(right.replace("Z-5", f"Z{depth}")))) == codes


def test_a_tool_goes_no_deeper_than_it_reaches(outer, right):
    report = outer(right.replace("Z-5", "Z-21"))
    assert "tool-reach" in _codes(report)
    [finding] = [each for each in report.findings if each.code == "tool-reach"]
    assert finding.message == "T2 (em-6) goes 21.0 mm deep; it reaches 20.0 mm below its holder"


def test_there_are_four_rules_of_setups():
    assert [rule.__name__ for rule in SETUP_RULES] == [
        "tool_number",
        "tool_order",
        "tool_depth",
        "tool_reach",
    ]


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("GT-041 A-outer", "A-outer"),
        ("gt041_a_OUTER_2", "A-outer"),
        ("a outer", "A-outer"),
        ("BA-outer", ""),
        ("A-outermost", ""),
        ("A-outer and A-inner", ""),
        ("O1234", ""),
    ],
)
def test_a_setup_is_named_by_a_whole_word(setups, text, name):
    assert told_by(text, setups) == name


def test_tools_tell_a_setup_only_by_their_whole_order(setups):
    assert told_by_tools([1, 2, 3], setups) == "A-outer"
    assert told_by_tools([2, 1], setups) == "A-inner"
    assert told_by_tools([1, 2], setups) == ""
