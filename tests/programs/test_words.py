"""One line to words, and the tables of the language."""

import pytest

from signplan.programs.words import G_GROUP, LETTERS, M_GROUP, NOT_CHECKED, read_line


@pytest.mark.parametrize(
    ("text", "words", "rest"),
    [
        ("", [], ""),
        ("G1X1Y-2.5", ["G1", "X1", "Y-2.5"], ""),
        ("N10G01X+.5", ["N10", "G1", "X0.5"], ""),
        ("G61.1", ["G61.1"], ""),
        ("X1.2.3", ["X1.2"], ".3"),
        ("HELLO", [], "HELLO"),
        ("G1X[1+2]Y3", ["G1"], "X[1+2]Y3"),
        ("X", [], "X"),
        ("1234", [], "1234"),
        ("G1X" + "9" * 12, ["G1"], "X" + "9" * 12),
    ],
)
def test_a_line_is_words_and_what_is_left(text, words, rest):
    line = read_line(text, 4)
    assert ([str(word) for word in line.words], line.rest, line.number) == (words, rest, 4)


def test_a_slash_makes_a_line_optional():
    assert read_line("/G1", 1).optional
    assert not read_line("G1", 1).optional


def test_a_lone_percent_is_no_word():
    assert read_line("%", 1).percent
    assert read_line("%5", 1).rest == "%5"


def test_codes_are_whole_numbers_times_ten():
    assert read_line("G61.1G59.3G0", 1).keys("G") == [611, 593, 0]
    assert read_line("G61.15", 1).keys("G") == [-1]


def test_every_word_that_is_not_followed_is_known_to_a_dialect():
    codes = {f"G{code / 10:g}" for table in G_GROUP.values() for code in table}
    assert {word for word in NOT_CHECKED if word[0] == "G"} <= codes
    assert {word for word in NOT_CHECKED if len(word) == 1} <= LETTERS


def test_the_dialects_differ_in_their_units():
    assert {200, 210} <= G_GROUP["rs274ngc"].keys() - G_GROUP["iso6983"].keys()
    assert {700, 710} <= G_GROUP["iso6983"].keys() - G_GROUP["rs274ngc"].keys()
    assert M_GROUP[60] == "tool change"
