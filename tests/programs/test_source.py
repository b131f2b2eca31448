"""Files of any content as clean lines: what is a program at all, and where each line stands."""

import pytest

from signplan.errors import InputError
from signplan.programs.source import ENDLESS, UnreadableError, first_comments, read_pieces


@pytest.fixture
def pieces(tmp_path):
    def run(content, size=1 << 17):
        path = tmp_path / "program.nc"
        path.write_bytes(content)
        return list(read_pieces(path, size=size))

    return run


@pytest.mark.parametrize(
    ("raw", "clean"),
    [
        (b"g1 x1\ty 2\n", b"G1X1Y2\n"),
        (b"G1 (a comment) X1\n", b"G1X1\n"),
        (b"G1 X1 ; the rest\n", b"G1X1\n"),
        (b"G1\r\nX1\r\n", b"G1\nX1\n"),
        (b"G1\rX1\r", b"G1\nX1\n"),
        (b"G1\nX1", b"G1\nX1\n"),
        (b"\xef\xbb\xbfG1\n", b"G1\n"),
        (b"G1 (caf\xe9) X1\n", b"G1X1\n"),
        (b"G1 (a\nX1\n", b"G1(A\nX1\n"),
    ],
)
def test_lines_come_out_clean(pieces, raw, clean):
    assert b"".join(piece.text for piece in pieces(raw)) == clean


@pytest.mark.parametrize("size", [1, 2, 3, 7, 1000])
def test_pieces_of_any_size_hold_the_same_lines(pieces, size):
    raw = b"G1 X1\r\n(one)\r\n\r\nG0 Y2\r\nM30"
    found = pieces(raw, size)
    assert b"".join(piece.text for piece in found) == b"G1X1\n\n\nG0Y2\nM30\n"
    number = 1
    for piece in found:
        assert piece.first == number
        number += piece.text.count(b"\n")


@pytest.mark.parametrize(
    ("raw", "part", "line"),
    [
        (b"", "empty", 1),
        (b"G1 X1\nG1 \0\n", "not text", 2),
        ("G1 X1\n".encode("utf-16"), "UTF-16", 1),
        ("G1 X1\n".encode("utf-16-le"), "not text", 1),
        (b"\xfe\xff\0G", "UTF-16", 1),
        (b"G1\n" + b"X1" * ENDLESS, f"more than {ENDLESS} characters", 2),
    ],
)
def test_what_is_no_text_is_refused_with_its_line(pieces, raw, part, line):
    with pytest.raises(UnreadableError, match=part) as refused:
        pieces(raw)
    assert refused.value.line == line


def test_a_long_line_is_seen_and_still_read(pieces):
    raw = b"G0 X1\n" * 40 + b"G1 X1" + b" " * 300 + b"Y2\nM30\n"
    [piece] = pieces(raw)
    [sighting] = piece.sightings
    assert (sighting.code, sighting.line, sighting.measured) == ("program-line", 41, 307.0)
    assert piece.text.endswith(b"G1X1Y2\nM30\n")


@pytest.mark.parametrize("length", [255, 256, 257, 400])
@pytest.mark.parametrize("before", [0, 1, 100, 127, 128, 200])
def test_the_limit_of_a_line_holds_wherever_it_stands(pieces, length, before):
    raw = b"\n".join([b"G0" + b" " * max(before - 3, 0), b"X" * length, b"M30", b""])
    [piece] = pieces(raw)
    assert bool(piece.sightings) == (length > 256)


def test_the_comments_near_the_top_are_read_without_the_rest(tmp_path):
    path = tmp_path / "program.nc"
    path.write_bytes(b"%\n(job 7) G21 (setup A)\n" + b"\0" * 20000 + b"(late)")
    assert first_comments(path) == ("(job 7)", "(setup A)")


def test_a_file_that_is_not_there_is_an_error(tmp_path):
    for read in (first_comments, lambda path: list(read_pieces(path))):
        with pytest.raises(InputError, match=r"nowhere\.nc: cannot read the program: No such file"):
            read(tmp_path / "nowhere.nc")
