"""Lines to columns: plain ones at once, every other one by itself, none lost."""

import numpy as np
import pytest

from signplan.programs.source import Piece
from signplan.programs.table import NOTHING_SAID, read_table


def table_of(text):
    return read_table(Piece(text=text.encode(), first=10, sightings=()))


def test_plain_lines_become_columns():
    table = table_of("G1X1Y2F300\n\nN5Z-3\nX4.5\n")
    assert table.rows == 4
    assert table.others.size == 0
    assert table.motion.tolist() == [10, NOTHING_SAID, NOTHING_SAID, NOTHING_SAID]
    np.testing.assert_array_equal(table.columns["X"], [1, np.nan, np.nan, 4.5])
    np.testing.assert_array_equal(table.columns["Z"], [np.nan, np.nan, -3, np.nan])
    assert "I" not in table.columns
    assert "N" not in table.columns


@pytest.mark.parametrize(
    "line",
    [
        "G1X1X2",
        "G1G0X1",
        "G4P1",
        "G1.5X1",
        "M5",
        "S100",
        "X1N5",
        "N100000X1",
        "N1.5X1",
        "/X1",
        "%",
        "X",
        "X1.2.3",
        "X1(",
        "5X1",
        "X#1",
        "X\xe9",
        "-X1",
        "X1" + "0" * 20,
    ],
)
def test_a_line_that_is_not_plain_stays_out_of_the_columns(line):
    table = table_of(f"G1X5Y5\n{line}\nX7\n")
    assert table.others.tolist() == [1]
    assert table.motion[1] == NOTHING_SAID
    assert np.isnan([column[1] for column in table.columns.values()]).all()
    np.testing.assert_array_equal(table.columns["X"][[0, 2]], [5, 7])
    assert table.line(1).number == 11


def test_a_column_that_no_line_had_is_made_when_asked_for():
    table = table_of("X1\nX2\n")
    assert np.isnan(table.column("K")).all()
    assert table.column("K") is table.columns["K"]
