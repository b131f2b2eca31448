"""Programs against their plan: a right one is silent, and each fault is named where it stands."""

from pathlib import Path

import pytest

from signplan.errors import InputError
from signplan.findings import Severity
from signplan.programs.check import check_against


def test_a_right_program_has_no_finding(outer, right):
    report = outer(right)
    assert report.findings == ()
    assert report.setup == "A-outer"
    assert report.told_by == "its name"
    assert report.tools == (1, 2, 3)
    assert report.lines == 32


def test_the_box_of_the_cuts_includes_the_bulge_of_an_arc(outer, right):
    report = outer(right)
    assert report.low == (60.0, 50.0, -10.0)
    assert report.high == pytest.approx((260.0, 150.0, 12.0), abs=0.005)


def test_time_is_motion_and_changes_and_dwells(outer, right):
    plain = outer(right)
    assert plain.seconds == pytest.approx(sum(run.seconds for run in plain.runs) + 3 * (12 + 5))
    assert outer(right.replace("M5\n", "M5\nG4 P30\n")).seconds == pytest.approx(plain.seconds + 30)


def test_waiting_for_a_person_is_counted_not_timed(outer, right):
    report = outer(right.replace("T2 M6", "M0\nT2 M6"))
    assert report.stops == 1
    assert report.findings == ()


def test_a_setup_is_told_by_a_comment(check, right):
    report = check({"O1234.nc": "(job 7, setup a_OUTER, first file)\n" + right})
    assert (report.files[0].setup, report.files[0].told_by) == ("A-outer", "a comment")


def test_a_setup_is_told_by_its_tools(check, right):
    report = check({"O1234.nc": right})
    assert (report.files[0].setup, report.files[0].told_by) == ("A-outer", "its tools")


def test_a_program_of_no_setup_says_how_to_name_it(check, right):
    report = check({"O1234.nc": right.replace("T3 M6", "T4 M6")})
    [finding] = [each for each in report.files[0].findings if each.code == "program-setup"]
    assert finding.severity is Severity.ERROR
    assert "A-inner, A-outer" in finding.hint
    assert report.files[0].setup == ""


def test_a_setup_without_a_program_is_a_note(check, right):
    [note] = check({"A-outer.nc": right}).findings
    assert (note.code, note.severity, note.where) == ("program-setup", Severity.NOTE, "A-inner")


def test_many_files_make_one_setup(check, right):
    head, *_ = right.splitlines()
    parts = right.split("T2 M6")
    first = parts[0] + "M5\nM30\n"
    second = f"{head}\nT2 M6{parts[1]}"
    report = check({"A-outer 1.nc": first, "A-outer 2.nc": second})
    assert [file.findings for file in report.files] == [(), ()]
    assert [file.tools for file in report.files] == [(1,), (2, 3)]


def test_files_of_a_setup_in_the_wrong_order_are_found(check, right):
    head, *_ = right.splitlines()
    parts = right.split("T2 M6")
    report = check({"A-outer 2.nc": f"{head}\nT2 M6{parts[1]}", "A-outer 1.nc": parts[0] + "M5\nM30\n"})
    assert [each.code for file in report.files for each in file.findings] == ["tool-order"]


def test_a_file_that_is_not_there_is_refused(context, setups, tmp_path):
    with pytest.raises(InputError, match="cannot read the program"):
        check_against(setups, [tmp_path / "A-outer.nc"], context)
    with pytest.raises(InputError, match="cannot read the program"):
        check_against(setups, [Path(tmp_path)], context)


def test_the_same_programs_give_the_same_report(check, right):
    broken = right.replace("M3", "M4").replace("X140", "X400")
    assert check({"A-outer.nc": broken}) == check({"A-outer.nc": broken})
