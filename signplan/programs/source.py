"""A program file, a piece at a time: bytes as they are to clean lines.

In: a file of any size and any content. Out: pieces of whole lines without comments and blanks, all capitals,
each line ended by one line feed; and what cannot be a program at all, as `UnreadableError`. A piece and a
line are bounded, so the memory is too. Nothing here knows what a word means.

Lines, comments and blanks as in the language of RS274/NGC, section 3.3 (Kramer, Proctor and Messina, NISTIR
6556, 2000; section numbers from memory).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from signplan.errors import InputError, Problem
from signplan.findings import Severity
from signplan.programs.model import Sighting

PIECE = 1 << 18
"""Bytes that are read at once; the arrays made of them stay in a processor's cache."""

LONGEST_LINE = 256
"""Characters of a line, section 3.3; more is said, and still read."""

ENDLESS = 1 << 16
"""Characters without a line feed that no program has."""

_TOP = 8192
"""Bytes of a file in which a comment may name its setup."""

_CAPITALS = bytes(byte - 32 if 97 <= byte <= 122 else byte for byte in range(256))
_COMMENT = re.compile(rb"\([^()\n]*\)")
_REMARK = re.compile(rb";[^\n]*")
_MARKS = {
    b"\xff\xfe": "UTF-16",
    b"\xfe\xff": "UTF-16",
    b"\x00\x00\xfe\xff": "UTF-32",
}
_UTF8_MARK = b"\xef\xbb\xbf"
_WINDOW = 128
"""A line of 256 characters or more covers at least one whole window of this many, wherever it stands."""


class UnreadableError(Exception):
    """The file is no program; the text says why, `line` where."""

    def __init__(self, message: str, line: int) -> None:
        super().__init__(message)
        self.line = line


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """Some lines, clean. `first` is the number of the first."""

    text: bytes
    first: int
    sightings: tuple[Sighting, ...]


def read_pieces(path: Path, *, size: int = PIECE) -> Iterator[Piece]:
    """The lines of a file in pieces of about `size` bytes.

    Raises:
        UnreadableError: it is empty, binary, in another encoding, or has no lines.
        InputError: it cannot be opened.
    """
    number = 1
    for raw in _whole_lines(path, size):
        yield _clean(raw, number)
        number += raw.count(b"\n")


def first_comments(path: Path) -> tuple[str, ...]:
    """The comments near the top of a file.

    Raises:
        InputError: it cannot be opened.
    """
    try:
        with path.open("rb") as file:
            top = file.read(_TOP)
    except OSError as error:
        raise _unopened(path, error) from None
    return tuple(found.decode("latin-1") for found in _COMMENT.findall(top))


def _unopened(path: Path, error: OSError) -> InputError:
    reason = error.strerror or "it cannot be read"
    return InputError(Problem(file=str(path), message=f"cannot read the program: {reason}"))


def _whole_lines(path: Path, size: int) -> Iterator[bytes]:
    """The file in pieces that end with a line feed, whatever its lines end with."""
    number, held = 1, b""
    try:
        with path.open("rb") as file:
            while raw := file.read(size):
                if number == 1 and not held:
                    raw = _without_mark(raw)
                held += raw
                _refuse_binary(held, number)
                # A piece may end between the two characters of one line end.
                ready, held = (held[:-1], held[-1:]) if held.endswith(b"\r") else (held, b"")
                if b"\r" in ready:
                    ready = ready.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
                whole, _, rest = ready.rpartition(b"\n")
                held = rest + held
                if whole or len(rest) < len(ready):
                    yield whole + b"\n"
                    number += whole.count(b"\n") + 1
                if len(held) > ENDLESS:
                    raise UnreadableError(f"a line goes on for more than {ENDLESS} characters", number)
    except OSError as error:
        raise _unopened(path, error) from None
    if held.strip():
        yield held.replace(b"\r", b"\n").rstrip(b"\n") + b"\n"
    elif number == 1:
        raise UnreadableError("the file is empty", 1)


def _without_mark(raw: bytes) -> bytes:
    for mark, name in _MARKS.items():
        if raw.startswith(mark):
            raise UnreadableError(f"the file is in {name}; save it as plain text (ASCII)", 1)
    return raw.removeprefix(_UTF8_MARK)


def _refuse_binary(raw: bytes, number: int) -> None:
    place = raw.find(b"\0")
    if place >= 0:
        line = number + raw.count(b"\n", 0, place)
        raise UnreadableError(
            "the file is not text: it has bytes that are zero (a binary file, or UTF-16)", line
        )


def _clean(raw: bytes, number: int) -> Piece:
    sightings = tuple(_long_lines(raw, number))
    if b"(" in raw:
        raw = _COMMENT.sub(b"", raw)
    if b";" in raw:
        line = number + raw.count(b"\n", 0, raw.index(b";"))
        sightings += (_semicolons(line, raw.count(b";")),)
        raw = _REMARK.sub(b"", raw)
    return Piece(text=raw.translate(_CAPITALS, delete=b" \t"), first=number, sightings=sightings)


def _long_lines(raw: bytes, number: int) -> Iterator[Sighting]:
    codes = np.frombuffer(raw, np.uint8)
    windows = len(codes) // _WINDOW
    if (codes[: windows * _WINDOW].reshape(windows, _WINDOW) == ord("\n")).any(axis=1).all():
        return
    ends = np.flatnonzero(codes == ord("\n"))
    lengths = np.diff(ends, prepend=-1) - 1
    long = np.flatnonzero(lengths > LONGEST_LINE)
    if long.size:
        yield Sighting(
            code="program-line",
            severity=Severity.ERROR,
            subject="length",
            message=f"a line has {lengths[long[0]]} characters; the language allows {LONGEST_LINE}",
            line=number + int(long[0]),
            count=int(long.size),
            measured=float(lengths[long[0]]),
            wanted=float(LONGEST_LINE),
            unit="characters",
            hint="a control may cut the line off or refuse it; post the program again with shorter lines",
        )


def _semicolons(line: int, count: int) -> Sighting:
    return Sighting(
        code="program-comment",
        severity=Severity.NOTE,
        subject="semicolon",
        message="text after a semicolon is taken for a comment; the language knows only (comments)",
        line=line,
        count=count,
        hint="make sure that your control skips it too",
    )
