"""NC files of any content: one clear finding, no traceback, time in line with size, memory bounded.

Seeds that once broke the reader are kept in `KEPT`; the rest is drawn from fixed seeds, the same each run.
"""

import os
import random
import time
import tracemalloc
import warnings
from pathlib import Path

import pytest

from signplan.job.shop import Shop
from signplan.programs.model import Context
from signplan.programs.reading import read_program

SHOP = {
    "units": "mm",
    "machine": {
        "name": "router",
        "bed": [2500, 1300],
        "travel_z": 180,
        "feed_max": 10000,
        "rapid": [15000, 15000, 5000],
        "accel": [900, 700, 400],
        "rpm": [8000, 24000],
        "spindle_kw": 3.0,
        "clearance_z": 12,
    },
    "tool_change": {"kind": "by hand"},
    "holding": {"kind": "screws", "screws": [[10, 10]]},
    "tool": [
        {
            "number": 1,
            "id": "em-12",
            "shape": "flat",
            "diameter": 12,
            "flutes": 2,
            "cutting_length": 45,
            "reach": 50,
        }
    ],
    "board": [
        {
            "id": "pu-240",
            "density_kg_m3": 240.0,
            "sheet": [1220, 2440],
            "thicknesses": [38],
            "chip_load": {"12": [0.1, 0.6]},
        }
    ],
}
SLOW = pytest.mark.skipif(not os.environ.get("SIGNPLAN_SLOW"), reason="long; SIGNPLAN_SLOW=1 runs it")
ALPHABET = (
    "G0 G1 G2 G3 G4 G10 G17 G18 G19 G20 G21 G28 G38.2 G40 G41 G43 G49 G53 G54 G59.3 G61 G61.1 G64 G80 "
    "G81 G83 G85 G90 G91 G92 G93 G94 G98 G99 M0 M1 M2 M3 M4 M5 M6 M7 M8 M9 M30 T1 T2 H1 S9000 F600 F0 "
    "P1 Q1 R5 R-5 L3 X0 X10 X-3.25 Y0 Y7.125 Z5 Z-2 I1 I-4 J3 K2 N10 N999999 A90 U1 E5 X1e9 "
    "X999999999999 Z-99999999999999999999 (note) ( ) ; % / # [ ] = X#1 X[1+2] "
    "G G1.5 G99999 \xe9 X. X- X+.5 F-100 S-1 T-1 T1.5 M100 O1"
)
WORDS = ALPHABET.split()


@pytest.fixture(scope="module")
def context():
    shop = Shop.model_validate(SHOP, context={"units": "mm"})
    return Context(shop=shop, board=shop.boards[0], units="mm")


@pytest.fixture
def read(tmp_path, context):
    """The findings of a file of some content; every warning of a number is an error here."""

    def run(content: bytes):
        path = Path(tmp_path) / "any.nc"
        path.write_bytes(content)
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            reading = read_program(path, context, None)
        return reading.sightings.findings("any.nc")

    return run


KEPT = [
    b"",
    b"\n",
    b"%",
    b"\r",
    b"\r\n\r\n",
    b"(",
    b")",
    b"/",
    b"G1",
    b"X1",
    b"G93G1X1F1",
    b"G0X1\nG93G1Y1F1\nX2Y2\nX3",
    b"G2X0Y0I1",
    b"G0X0Y0Z0\nG18G3X1Z1R1F1\nG19G2Y1Z1J1K1",
    b"G81X1Y1Z-1R1F9\nG91X1L3\nX2",
    b"G83Q0X1Y1Z-1R1F9\nX2",
    b"G83Q1Z-99999999999R1F9X0Y0",
    b"G90\nG91\nX1e5",
    b"M6\nM6\nM6",
    b"T99999999999999999999M6",
    b"S" + b"9" * 300 + b"M3",
    b"G4P-5\nG4P" + b"9" * 200,
    b"X" + b"9" * 400 + b"Y1Z1\nG1X0Y0Z0F1S1M3",
    b"G91G0X" + b"9" * 15 + b"Y1Z1\n" * 3,
    b"G0X1Y1Z1\nG1X2F1\n" + b"M30\n" * 3 + b"G1X3",
    b"\x1a",
    b"\xff\xfeG\0",
    b"\xef\xbb\xbf",
    "G1 X\uff11".encode(),
]


@pytest.mark.parametrize("content", KEPT, ids=range(len(KEPT)))
def test_a_kept_seed_ends_in_findings(read, content):
    assert read(content)


@pytest.mark.parametrize("seed", range(60))
def test_any_words_in_any_order_end_in_findings(read, seed):
    random_ = random.Random(seed)
    lines = (
        random_.choice((" ", "")).join(random_.choices(WORDS, k=random_.randint(0, 6)))
        for _ in range(random_.randint(1, 200))
    )
    assert read("\n".join(lines).encode("latin-1"))


@pytest.mark.parametrize("seed", range(40))
def test_a_damaged_program_ends_in_findings(read, seed):
    random_ = random.Random(seed)
    content = bytearray(
        b"G17 G21 G40 G90 G94\nT1 M6\nS18000 M3\nG43 H1\nG0 X0 Y0 Z12\nG1 Z-1 F600\nX10\nG2 X20 Y0 I5 J0\n"
        * 5
    )
    for _ in range(random_.randint(1, 20)):
        place = random_.randrange(len(content))
        match random_.randrange(3):
            case 0:
                content[place] = random_.randrange(256)
            case 1:
                del content[place : place + random_.randrange(1, 9)]
            case 2:
                content[place:place] = random_.randbytes(random_.randrange(1, 5))
    assert read(bytes(content))


@pytest.mark.parametrize("seed", range(20))
def test_bytes_without_sense_are_one_finding(read, seed):
    [finding] = read(random.Random(seed).randbytes(random.Random(seed).randint(20, 200_000)))
    assert finding.code == "program-unreadable"


ENDLESS = {
    "one line": b"G1 X1 Y1 ",
    "nonsense": b"once upon a time\n",
    "blank lines": b"\n",
    "moves": b"X1.5 Y2.25\nX3 Y4\n",
    "words of one line each": b"M8\nM9\n",
    "comments": b"(a comment)\n",
    "brackets": b"((((((((((\n",
    "arcs": b"G2 X1 Y0 I.5 J0\nG2 X0 Y0 I-.5 J0\n",
    "holes": b"X1 Y1\nX2 Y2\n",
    "tool changes": b"T1 M6\nT2 M6\n",
    "expressions": b"#1=[#1+1]\n",
    "digits": b"1234567890",
}


@pytest.mark.parametrize("name", ENDLESS)
def test_a_long_file_takes_time_in_line_with_its_size_and_little_memory(tmp_path, context, name):
    head = b"G17 G21 G40 G90 G94\nT1 M6\nS18000 M3\nG43 H1\nG0 X0 Y0 Z12\nG1 F600\n"
    if name == "holes":
        head += b"G83 X0 Y0 Z-5 R2 Q1\n"
    path = tmp_path / "long.nc"
    seconds, findings = [], ()
    for size in (40_000, 160_000):
        path.write_bytes(head + ENDLESS[name] * (size // len(ENDLESS[name])))
        begin = time.process_time()
        findings = read_program(path, context, None).sightings.findings("long.nc")
        seconds.append(time.process_time() - begin)
    assert 1 <= len(findings) <= 12
    assert seconds[1] < 10 * seconds[0] + 0.5, "four times the size, about four times the time"


@pytest.mark.parametrize("most", [16_000_000, pytest.param(200_000_000, marks=SLOW)])
def test_memory_does_not_grow_with_the_file(tmp_path, context, most):
    path = tmp_path / "long.nc"
    peaks = []
    for size in (4_000_000, most):
        path.write_bytes(b"G17 G21 G40 G90 G94\nT1 M6\nS9000 M3\nG0 X0 Y0 Z12\nG1 F600\n")
        with path.open("ab") as file:
            for _ in range(size // 1_000_000):
                file.write(b"X123.456 Y2.25\nX3.125 Y44.5\n" * (1_000_000 // 28))
        tracemalloc.start()
        read_program(path, context, None)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    assert peaks[1] < 1.1 * peaks[0] < 80e6
