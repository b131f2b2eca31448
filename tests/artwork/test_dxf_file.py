import math
import os
import subprocess
import sys
from pathlib import Path

import pytest

from signplan.artwork.importer import read_artwork
from signplan.errors import InputError

R12 = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n0\nENDSEC\n"
LINE = "0\nLINE\n8\nA\n10\n0\n20\n0\n11\n{x}\n21\n1\n"
LWPOLYLINE = "0\nLWPOLYLINE\n8\nA\n90\n2\n70\n1\n10\n0\n20\n0\n42\n1\n10\n10\n20\n0\n42\n1\n"
ELLIPSE = (
    "0\nELLIPSE\n8\nA\n10\n0\n20\n0\n30\n0\n11\n10\n21\n0\n31\n0\n40\n0.5\n41\n0\n42\n6.283185307179586\n"
)
SPLINE = (
    "0\nSPLINE\n8\nA\n70\n8\n71\n2\n72\n6\n73\n3\n40\n0\n40\n0\n40\n0\n40\n1\n40\n1\n40\n1\n"
    "10\n0\n20\n0\n30\n0\n10\n5\n20\n10\n30\n0\n10\n10\n20\n0\n30\n0\n"
    + LINE.replace("{x}\n21\n1", "10\n21\n0")
)
HATCH = (
    "0\nHATCH\n8\nA\n10\n0\n20\n0\n30\n0\n210\n0\n220\n0\n230\n1\n2\nSOLID\n70\n1\n71\n0\n91\n1\n92\n2\n"
    "72\n0\n73\n1\n93\n3\n10\n0\n20\n0\n10\n10\n20\n0\n10\n10\n20\n10\n97\n0\n75\n1\n76\n1\n98\n0\n"
)


def write(folder: Path, entities: str, header: str = "", end: str = "0\nENDSEC\n0\nEOF\n") -> Path:
    path = folder / "face.dxf"
    path.write_text(f"{header}0\nSECTION\n2\nENTITIES\n{entities}{end}")
    return path


@pytest.mark.parametrize("header", ["", R12, R12.replace("1009", "1015")])
@pytest.mark.parametrize(
    ("entity", "area"),
    [(LWPOLYLINE, math.pi * 25), (ELLIPSE, math.pi * 50), (SPLINE, 100 / 3), (HATCH, 50)],
)
def test_young_entities_without_header_or_subclass_markers(tmp_path, header, entity, area):
    artwork, _ = read_artwork(write(tmp_path, entity, header), units="mm")
    (region,) = artwork.layers[0].regions
    assert region.shape.area == pytest.approx(area, rel=2e-3)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
@pytest.mark.parametrize("fmt", ["asc", "bin"])
def test_every_release_in_text_and_in_binary(dxf, version, fmt):
    path = dxf(lambda space: space.add_circle((0, 0), 5), version=version, fmt=fmt)
    artwork, _ = read_artwork(path, units="mm" if version == "R12" else None)
    (region,) = artwork.layers[0].regions
    assert region.shape.area == pytest.approx(math.pi * 25, rel=2e-3)


def test_a_decimal_comma_is_refused_at_its_line(tmp_path):
    """Read by the library's repair, 1,5 becomes 1."""
    path = write(tmp_path, LINE.format(x="1,5"))
    with pytest.raises(InputError) as refusal:
        read_artwork(path, units="mm")
    assert str(refusal.value) == "face.dxf:14: no number; write numbers with a decimal point\n    1,5"


def test_a_file_that_breaks_off(tmp_path):
    path = write(tmp_path, LINE.format(x=1), end="")
    with pytest.raises(InputError, match=r"breaks off before its end \(no EOF\)"):
        read_artwork(path, units="mm")


@pytest.mark.parametrize("text", ["EOF", "hello EOF\n", "0\nSECTION\n2\nENTITIES\n0\nEOF\n"])
def test_what_is_no_drawing(tmp_path, text):
    path = tmp_path / "face.dxf"
    path.write_text(text)
    with pytest.raises(InputError):
        read_artwork(path, units="mm")


def test_a_damaged_binary_file(dxf):
    path = dxf(lambda space: space.add_circle((0, 0), 5), fmt="bin")
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2] + b"\xff" * 40 + data[-30:])
    with pytest.raises(InputError):
        read_artwork(path)


def test_importing_the_library_says_nothing(tmp_path):
    """With a cache folder that cannot be made it would print; standard output belongs to --json."""
    locked = tmp_path / "locked"
    locked.write_text("")
    path = write(tmp_path, LINE.format(x=1))
    program = (
        "import sys; from pathlib import Path; from signplan.artwork.importer import read_artwork\n"
        "read_artwork(Path(sys.argv[1]), units='mm')"
    )
    environment = {**os.environ, "XDG_CACHE_HOME": str(locked / "cache")}
    done = subprocess.run(
        [sys.executable, "-c", program, path], capture_output=True, text=True, env=environment
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")
