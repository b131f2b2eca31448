"""The report in words, as a whole."""

from signplan.programs.report import NOT_A_DRY_RUN, report_text


def test_a_report_says_what_was_read_how_long_it_takes_and_what_is_wrong(check, right):
    text = report_text(check({"A-outer.nc": right}))
    lines = text.splitlines()
    assert lines[0] == "A-outer.nc: setup A-outer, told by its name; 32 lines, 1.0 min"
    assert lines[1].startswith("  cuts in  X 60.000 to 259.995, Y 50.000 to 150.000, Z -10.000 to 12.000 mm")
    assert [line.split()[0] for line in lines[2:5]] == ["T1", "T2", "T3"]
    assert "A-outer: programs 1.0 min, plan 2.0 min" in text
    assert "note: no program was given for A-inner [program-setup]" in text
    assert "0 errors, 0 warnings." in text


def test_every_report_says_that_it_does_not_replace_a_dry_run(check, right):
    assert "does not replace a dry run" in NOT_A_DRY_RUN
    for content in (right, "", "nonsense"):
        words = " ".join(report_text(check({"A-outer.nc": content})).split())
        assert "does not replace a dry run" in words


def test_findings_stand_under_their_file_with_the_way_out(check, right):
    text = report_text(check({"A-outer.nc": right.replace("Z-5", "Z-7")}))
    assert (
        "  A-outer.nc:18: error: T2 goes 7.0 mm deep near X 200.000 Y 50.000, "
        "where the plan's floor is 5.0 mm (so on 5 lines) [floor-cut]\n"
        "      the wrong depth, the wrong zero, the other face, or another tool's work?\n"
    ) in text
    assert "2 errors, 0 warnings." in text
