"""Damaged drawings: whatever the damage, the readers answer or refuse, and nothing else gets out.

Each seed damages a sound drawing in its own way; a seed that once got through stays in `KEPT`.
More seeds by hand: `ARTWORK_SEEDS=20000 .venv/bin/pytest tests/fuzz/test_artwork_damage.py`.
"""

import os
import random
import time
from pathlib import Path

import ezdxf
import pytest

from signplan.artwork.importer import read_artwork
from signplan.artwork.read_height import read_height
from signplan.errors import InputError

SEEDS = int(os.environ.get("ARTWORK_SEEDS", "150"))
KEPT = (12979,)
SECONDS = 5.0
"""Far more than a refusal takes, so that a loaded machine does not fail the test."""

SVG = """<?xml version="1.0"?>
<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
<style>.a{fill:none;stroke:red} #b{fill-rule:evenodd}</style>
<defs><clipPath id="c"><circle cx="20" cy="20" r="15"/></clipPath>
<symbol id="s" viewBox="0 0 9 9"><path d="M0 0h9v9z"/></symbol></defs>
<g id="LETTERS" transform="translate(3 4) rotate(10)">
<path id="b" d="M1 1C2 3 4 5 6 7S8 9 10 1.5e1q1 2 3-4t5 6a5 3 20 1 0 3 4z"/>
<rect class="a" x="1" y="2" width="9" height="5" rx="1"/>
<use href="#s" x="4" y="5" width="20" height="9"/></g>
<polygon points="1,2 30,4 5,60" clip-path="url(#c)"/>
<line x1="1" x2="9" y2="5" style="stroke: #123; stroke-width: 2"/></svg>
"""


def sound_dxf(path: Path) -> tuple[bytes, bytes, bytes]:
    document = ezdxf.new(units=4)
    space = document.modelspace()
    shape = document.blocks.new("B")
    shape.add_lwpolyline([(0, 0, 0.5), (10, 0, 0), (10, 5, -1)], format="xyb", close=True)
    shape.add_circle((3, 1), 1)
    space.add_blockref("B", (5, 5), dxfattribs={"xscale": -2, "rotation": 30, "layer": "L"})
    space.add_arc((0, 0), 5, 10, 200)
    space.add_line((1, 2), (3, 4))
    space.add_ellipse((9, 9), (3, 1), 0.4)
    space.add_spline([(0, 0), (5, 9), (9, 2), (12, 5)])
    space.add_polyline2d([(0, 30, 1), (9, 30, 0), (9, 40, 0)], format="xyb", close=True)
    hatch = space.add_hatch()
    hatch.paths.add_polyline_path([(50, 0, 0), (60, 0, 1), (60, 9, 0)])
    hatch.paths.add_edge_path().add_arc((80, 5), 3, 0, 360)
    document.saveas(path)
    data = path.read_bytes()
    # The damage shall meet the drawing, not the tables before it and the dictionaries behind.
    start, stop = data.index(b"\nBLOCKS"), data.index(b"\nOBJECTS")
    return data[:start], data[start:stop], data[stop:]


NASTY = [
    b"nan",
    b"1e400",
    b"-1",
    b"0",
    b"1,5",
    b"99999999",
    b"",
    b"\x00",
    b"\xff",
    b"B",
    b"#c",
    b"LINE",
    b"</g>",
    b"10",
    b"70",
]


def damaged(data: bytes, chance: random.Random) -> bytes:
    separator = chance.choice([b"\n", b"\n", b" ", b'"'])
    pieces = data.split(separator)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(pieces))
        what = chance.randrange(6)
        if what == 0:
            pieces[at] = chance.choice(NASTY)
        elif what == 1:
            del pieces[at]
            pieces = pieces or [b""]
        elif what == 2:
            pieces.insert(at, chance.choice(pieces))
        elif what == 3:
            other = chance.randrange(len(pieces))
            pieces[at], pieces[other] = pieces[other], pieces[at]
        elif what == 4 and pieces[at]:
            spot = chance.randrange(len(pieces[at]))
            pieces[at] = pieces[at][:spot] + bytes([chance.randrange(256)]) + pieces[at][spot + 1 :]
        elif chance.random() < 0.2:
            pieces = pieces[:at] or [b""]
    return separator.join(pieces)


def check(read, path: Path) -> None:
    start = time.process_time()
    message = path.name
    try:
        read(path)
    except InputError as refusal:
        message = str(refusal)
    assert message.startswith(path.name)
    assert time.process_time() - start < SECONDS


@pytest.mark.parametrize("offset", [0, 1])
def test_damaged_dxf(tmp_path, offset):
    path = tmp_path / "face.dxf"
    head, body, tail = sound_dxf(path)
    for seed in (*KEPT, *range(offset, SEEDS, 2)):
        path.write_bytes(head + damaged(body, random.Random(seed)) + tail)
        check(read_artwork, path)


def test_damaged_svg(tmp_path):
    path = tmp_path / "face.svg"
    for seed in (*KEPT, *range(SEEDS * 3)):
        path.write_bytes(damaged(SVG.encode(), random.Random(seed)))
        check(read_artwork, path)


def test_damaged_heights(tmp_path):
    from PIL import Image

    Image.linear_gradient("L").save(tmp_path / "heron.png")
    (tmp_path / "heron.stl").write_text(
        "solid a\n" + "vertex 0 0 0\nvertex 9 0 1\nvertex 0 9 5\n" * 3 + "endsolid a"
    )
    for name in ("heron.png", "heron.stl"):
        path = tmp_path / name
        data = path.read_bytes()
        for seed in (*KEPT, *range(SEEDS // 5)):
            path.write_bytes(damaged(data, random.Random(seed)))
            check(read_height, path)
