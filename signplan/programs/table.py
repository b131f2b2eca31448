"""Clean lines to columns: plain moves all at once, every other line by itself.

A plain line has no words but N, one of G0 to G3, X Y Z, I J K, R and F, each at most once. Such lines are
nearly all of a program; their numbers become columns without a step in Python for each. All other lines come
out as `Line`, to be read in order by whoever keeps the modal state.
"""

from dataclasses import dataclass

import numpy as np

from signplan.programs.model import Bools, Floats, Ints, Line
from signplan.programs.numbers import LEAD, Bytes, read_numbers
from signplan.programs.source import Piece
from signplan.programs.words import LARGEST, read_line

COLUMNS = "XYZIJKRF"
NOTHING_SAID = -1
"""Motion of a line without a code of the motion group."""

_LINE_FEED = ord("\n")
_PLAIN = b"0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ+-.\n"
_IS_ODD = np.ones(256, dtype=bool)
_IS_ODD[list(_PLAIN)] = False
_IS_COLUMN = np.zeros(256, dtype=bool)
_IS_COLUMN[[ord(letter) for letter in COLUMNS + "GN"]] = True
_HIGHEST_NUMBER = 99999


@dataclass(slots=True, eq=False)
class Table:
    """Lines as columns, by row.

    `columns` holds an array for every letter of `COLUMNS` that occurs, nan where a line does not have it;
    `motion` the code of the motion group times ten. `words` counts letters. `others` are rows that are not
    plain; their place in the columns is still empty.
    """

    first: int
    rows: int
    columns: dict[str, Floats]
    motion: Ints
    others: Ints
    words: int
    text: bytes
    ends: Ints

    def line(self, row: int) -> Line:
        """The words of one row."""
        start = self.ends[row - 1] + 1 if row else 0
        text = self.text[start : self.ends[row]].decode("latin-1")
        return read_line(text, self.first + row)

    def column(self, letter: str) -> Floats:
        """The column of a letter, made now if no line had it yet."""
        if letter not in self.columns:
            self.columns[letter] = np.full(self.rows, np.nan)
        return self.columns[letter]


def read_table(piece: Piece) -> Table:
    """The lines of a piece as columns."""
    codes = np.frombuffer(b" " * LEAD + piece.text, np.uint8)
    marks = np.flatnonzero((codes >= ord("A")) | (codes == _LINE_FEED))
    kinds = codes[marks]
    feeds = np.flatnonzero(kinds == _LINE_FEED)
    ends = marks[feeds]
    odd = np.zeros(len(ends), dtype=bool)
    _mark_odd(odd, codes, marks, feeds, piece.text)
    # Every mark but a line feed starts a word, which ends where the next mark stands.
    at = np.flatnonzero(kinds != _LINE_FEED)
    letters = kinds[at]
    rows = np.repeat(np.arange(len(feeds)), np.diff(feeds, prepend=-1) - 1)
    values, good = read_numbers(codes, marks[at] + 1, marks[at + 1])
    good &= _IS_COLUMN[letters] & (np.abs(values) <= LARGEST)
    odd[rows[~good]] = True
    columns, motion = _columns(letters, rows, values, odd)
    return Table(
        first=piece.first,
        rows=len(ends),
        columns=columns,
        motion=motion,
        others=np.flatnonzero(odd),
        words=len(at),
        text=piece.text,
        ends=ends - LEAD,
    )


def _mark_odd(odd: Bools, codes: Bytes, marks: Ints, feeds: Ints, text: bytes) -> None:
    """Mark lines with characters that no plain line has, and lines that do not begin with a letter."""
    ends = marks[feeds]
    if text.translate(None, delete=_PLAIN):
        odd[np.searchsorted(ends, np.flatnonzero(_IS_ODD[codes[LEAD:]]) + LEAD)] = True
    starts = np.concatenate(([LEAD], ends[:-1] + 1))
    first = codes[starts]
    odd |= (first != _LINE_FEED) & (first < ord("A"))


def _columns(letters: Bytes, rows: Ints, values: Floats, odd: Bools) -> tuple[dict[str, Floats], Ints]:
    """Spread words over columns. Lines that turn out not to be plain are marked `odd`, and left empty."""
    taken = {}
    for letter in COLUMNS + "GN":
        at = np.flatnonzero(letters == ord(letter))
        if at.size:
            mine, numbers = rows[at], values[at]
            odd[mine[1:][mine[1:] == mine[:-1]]] = True
            taken[letter] = mine, numbers
            if letter == "G":
                odd[mine[(numbers < 0) | (numbers > 3) | (numbers != np.rint(numbers))]] = True
            elif letter == "N":
                wrong = (numbers < 0) | (numbers > _HIGHEST_NUMBER) | (numbers != np.rint(numbers))
                first = (at == 0) | (rows[at - 1] != mine)
                odd[mine[wrong | ~first]] = True
    any_odd = bool(odd.any())
    motion: Ints = np.full(len(odd), NOTHING_SAID, dtype=np.int64)
    if "G" in taken:
        mine, numbers = taken["G"]
        motion[mine] = numbers * 10
        motion[odd] = NOTHING_SAID
    columns: dict[str, Floats] = {}
    for letter, (mine, numbers) in taken.items():
        if letter in COLUMNS:
            columns[letter] = column = np.full(len(odd), np.nan)
            column[mine] = numbers
            if any_odd:
                column[odd] = np.nan
    return columns, motion
