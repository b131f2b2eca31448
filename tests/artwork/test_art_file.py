import os

import pytest

from signplan.artwork.art_file import MOST_BYTES, check_art_file
from signplan.errors import InputError


def refusal(path, suffixes=(".dxf", ".svg")) -> str:
    with pytest.raises(InputError) as caught:
        check_art_file(path, suffixes)
    return str(caught.value)


@pytest.mark.parametrize(
    ("name", "data", "message"),
    [
        ("face.dxf", b"AC1032\x00\x00", "a DWG drawing, whatever its name says; export it as DXF"),
        ("face.svg", b"\x1f\x8b\x08", "a compressed file; unpack it first"),
        ("face.dxf", b"PK\x03\x04", "a ZIP archive; unpack it first"),
        ("face.svg", b"%PDF-1.4", "a PDF; export the drawing as DXF or SVG"),
        ("face.svg", b"\x89PNG\r\n", "a picture, whatever its name says"),
        ("face.dxf", b"", "the file is empty"),
        ("face.ai", b"x", "only DXF or SVG is read here; export it as one of them"),
    ],
)
def test_files_of_another_kind(tmp_path, name, data, message):
    path = tmp_path / name
    path.write_bytes(data)
    assert refusal(path).startswith(f"{name}: {message}")


def test_a_file_of_a_gigabyte(tmp_path):
    path = tmp_path / "face.dxf"
    path.touch()
    os.truncate(path, 1 << 30)
    assert refusal(path) == "face.dxf: the file has 1024 MB; a drawing of a sign has less than 100"
    assert MOST_BYTES == 100 << 20


def test_what_is_no_file(tmp_path):
    assert refusal(tmp_path / "face.dxf") == "face.dxf: no such file"
    (tmp_path / "face.svg").mkdir()
    assert refusal(tmp_path / "face.svg") == "face.svg: is a folder; name a DXF or SVG file in it"
    os.mkfifo(tmp_path / "pipe.dxf")
    assert refusal(tmp_path / "pipe.dxf") == "pipe.dxf: is no ordinary file"
    (tmp_path / "loop.dxf").symlink_to("loop.dxf")
    assert "loop.dxf: " in refusal(tmp_path / "loop.dxf")
