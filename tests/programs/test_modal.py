"""The modal state: words act in the order of the language, not in that of writing."""

import pytest

from signplan.programs.modal import State, after, groups_of
from signplan.programs.model import NO_TOOL
from signplan.programs.words import read_line


def run(*lines, dialect="rs274ngc"):
    state = State()
    for number, line in enumerate(lines, 1):
        state = after(state, read_line(line, number), dialect)
    return state


def test_a_change_stops_the_spindle_and_m3_on_its_line_starts_it_again():
    assert run("S9000M3").rpm == 9000
    assert run("S9000M3", "T2M6").rpm == 0
    assert run("S9000M3", "M3M6T2").rpm == 9000


def test_t_selects_and_m6_changes():
    assert run("T4").tool == NO_TOOL
    assert run("T4", "M6").tool == 4
    assert run("M6T4").tool == 4
    assert run("T4", "M6", "T5").tool == 4


def test_a_change_takes_the_length_offset_away():
    assert run("T1M6", "G43H1").length
    assert not run("T1M6", "G43H1", "T2M6").length
    assert not run("G43H1", "G49").length


@pytest.mark.parametrize(
    ("line", "field", "value"),
    [
        ("G20", "scale", 25.4),
        ("G21", "scale", 1.0),
        ("G18", "plane", 180),
        ("G91", "absolute", False),
        ("G93", "inverse", True),
        ("G61.1", "path", 611),
        ("G64", "path", 640),
        ("G99", "to_start", False),
        ("G41", "compensated", True),
        ("G92X0", "moved_zero", True),
        ("G4P2.5", "dwell", 2.5),
        ("M1", "stops", 1),
        ("M30", "ended", 1),
    ],
)
def test_a_word_sets_what_it_stands_for(line, field, value):
    assert getattr(run(line), field) == value


def test_the_units_of_iso_6983_have_other_codes():
    assert run("G70", dialect="iso6983").scale == 25.4
    assert run("G71", dialect="iso6983").scale == 1.0
    assert run("G21", dialect="iso6983").scale == 0.0


def test_a_second_percent_ends_the_program():
    assert run("%", "G1").ended == 0
    assert run("%", "G1", "%").ended == 3


def test_what_was_said_is_remembered():
    assert run("G17G40", "M3").said == {"plane", "cutter compensation", "spindle"}


def test_groups_of_a_line():
    assert groups_of(read_line("G0G17M8X1", 1), "rs274ngc") == [
        ("motion", "G0"),
        ("plane", "G17"),
        ("coolant", "M8"),
    ]
