"""What is no program is one finding; what is one is read to its end."""

import pytest

from signplan.programs.reading import read_program, tools_of


@pytest.mark.parametrize(
    ("content", "part"),
    [
        (b"", "the file is empty"),
        (b"\n\n  \n", "not one word"),
        (b"%\n%\n", "not one word"),
        (
            b"Dear customer,\nplease find the programs attached.\n",
            "2 of 2 lines cannot be read, first 'DEARCUSTOMER,'",
        ),
        (b"0\nSECTION\n2\nHEADER\n" * 5000, "cannot be read, first '0'"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "not text"),
        ("G21 G90\nM30\n".encode("utf-16"), "UTF-16"),
        (b"G1 X1 " * 200_000, "a line goes on for more than 65536 characters"),
        (bytes(range(1, 256)) * 400, "cannot be read"),
    ],
)
def test_no_program_is_one_finding(tmp_path, context, content, part):
    path = tmp_path / "A-outer.nc"
    path.write_bytes(content)
    reading = read_program(path, context, None)
    [finding] = reading.sightings.findings("A-outer.nc")
    assert finding.code == "program-unreadable"
    assert part in finding.message
    assert not reading.readable
    assert reading.runs == ()


def test_a_strange_line_does_not_make_a_program_none(tmp_path, context, right):
    path = tmp_path / "A-outer.nc"
    path.write_text(right.replace("M5\n", "thank you\nM5\n"), encoding="ascii")
    reading = read_program(path, context, None)
    assert [each.code for each in reading.sightings.findings("")] == ["program-line"]
    assert reading.readable


def test_the_tools_of_a_program(tmp_path, context, right):
    path = tmp_path / "any.nc"
    path.write_text(right, encoding="ascii")
    assert tools_of(path, context) == (1, 2, 3)
    path.write_bytes(b"\0")
    assert tools_of(path, context) == ()
