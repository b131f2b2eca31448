import json
import math
import os
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from signplan.artwork.importer import read_artwork
from signplan.artwork.model import CHORD_ERROR
from signplan.errors import InputError


def test_an_unknown_unit(dxf):
    with pytest.raises(InputError, match="unknown unit 'furlong'; use mm, cm, m, in, ft"):
        read_artwork(dxf(lambda space: space.add_circle((0, 0), 1)), units="furlong")


def test_an_unreadable_file(tmp_path):
    with pytest.raises(InputError, match=r"face.dxf: no such file"):
        read_artwork(tmp_path / "face.dxf")


def test_the_same_file_reads_the_same(dxf):
    def draw(space):
        for k in range(20):
            space.add_circle((k * 3 % 17, k), 2 + k)
            space.add_line((k, 0), (k + 1, 50))

    path = dxf(draw)
    assert repr(read_artwork(path)) == repr(read_artwork(path))


SHAPES = st.lists(
    st.tuples(st.integers(3, 7), st.floats(4, 9), st.floats(0, 6), st.floats(-0.2, 0.6), st.booleans()),
    min_size=1,
    max_size=5,
)


@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(SHAPES, st.randoms(use_true_random=False))
def test_a_drawing_reads_back_whatever_the_order_direction_and_splitting(dxf, shapes, random):
    """Polygons with bulged sides, each with a hole or not, drawn as loose lines and arcs in any order.

    Oracle: the shoelace formula, and for a side of chord c and bulge b the circular segment
    r^2 / 2 (theta - sin theta), with theta = 4 atan b and r = c (1 + b^2) / (4 b).
    """

    def segment(c, b):
        if abs(b) < 1e-9:
            return 0.0
        theta, r = 4 * math.atan(abs(b)), c * (1 + b * b) / (4 * abs(b))
        return math.copysign(r * r / 2 * (theta - math.sin(theta)), b)

    wanted, pieces = [], []
    for place, (sides, size, turn, bulge, holed) in enumerate(shapes):
        x, y = 30.0 * place, 7.0 * place
        corners = [
            (
                x + size * math.cos(turn + math.tau * k / sides),
                y + size * math.sin(turn + math.tau * k / sides),
            )
            for k in range(sides)
        ]
        chord = 2 * size * math.sin(math.pi / sides)
        area = sides * (size**2 * math.sin(math.tau / sides) / 2 + segment(chord, bulge))
        hole = size * 0.05 if holed else 0
        wanted.append((area - math.pi * hole**2, int(holed)))
        pieces += [(*pair, bulge) for pair in zip(corners, corners[1:] + corners[:1], strict=True)]
        if holed:
            pieces.append(((x, y), hole, None))
    random.shuffle(pieces)

    def draw(space):
        for start, end, bulge in pieces:
            if bulge is None:
                space.add_circle(start, end)
            elif abs(bulge) < 1e-9:
                middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
                for a, b in ((start, middle), (end, middle)):
                    space.add_line(*((a, b) if random.random() < 0.5 else (b, a)))
            elif random.random() < 0.5:
                space.add_lwpolyline([(*start, bulge), (*end, 0)], format="xyb")
            else:
                space.add_lwpolyline([(*end, -bulge), (*start, 0)], format="xyb")

    artwork, findings = read_artwork(dxf(draw))
    (layer,) = artwork.layers
    regions = sorted(layer.regions, key=lambda region: region.shape.centroid.x)
    assert not layer.lines
    assert not findings
    assert [len(region.shape.interiors) for region in regions] == [holes for _, holes in wanted]
    for region, (area, _) in zip(regions, wanted, strict=True):
        assert abs(region.shape.area - area) <= CHORD_ERROR * region.shape.length


def _hostile(folder: Path) -> None:
    """Files that mean harm, or are broken in the ways that files break."""
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9">%s</svg>'
    zigzag = b"".join(b"L%d %d" % (k * 7919 % 1000, k * 104729 % 1009) for k in range(60_000))
    files = {
        "many-entities.svg": b'<!DOCTYPE l [<!ENTITY a "'
        + b"a" * 100_000
        + b'">]>'
        + svg % (b"&a;" * 100_000),
        "use-tree.svg": svg
        % (b"".join(b'<g id="a%d">%s</g>' % (k, b'<use href="#a%d"/>' % (k - 1) * 8) for k in range(1, 12))),
        "deep.svg": svg % (b"<g>" * 100_000),
        "many-elements.svg": svg % (b"<path/>" * 2_000_000),
        "style.svg": svg % (b"<style>" + b".a{" * 300_000 + b"</style>"),
        "selectors.svg": svg % (b"<style>" + b"a" * 60_000 + b" {}</style>"),
        "attribute.svg": svg % (b'<g class="' + b"a " * 10_000_000 + b'"/>'),
        "transform.svg": svg % (b'<g transform="' + b"scale(1)" * 100_000 + b'x"/>'),
        "points.svg": svg % (b'<polygon points="' + b"1.1" * 300_000 + b'x"/>'),
        "scribble.svg": svg % (b'<path d="M0 0' + zigzag + b'z"/>'),
        "far.svg": svg % b'<circle r="1e9"/>',
        "empty.dxf": b"",
        "cut.dxf": b"0\nSECTION\n" * 1_000_000,
        "no-tags.dxf": b"hello\n" * 1_000_000 + b"EOF",
        "dwg.dxf": b"AC1032" + bytes(10_000_000),
        "zeros.dxf": bytes(20_000_000) + b"EOF",
        "gzip.svg": b"\x1f\x8b\x08" + bytes(100),
        "bomb.stl": bytes(80) + (4_000_000_000).to_bytes(4, "little") + bytes(5000),
    }
    for name, data in files.items():
        (folder / name).write_bytes(data)
    (folder / "folder.dxf").mkdir()
    (folder / "gigabyte.dxf").touch()
    os.truncate(folder / "gigabyte.dxf", 1 << 30)
    Image.new("1", (30_000, 30_000)).save(folder / "vast.png")
    for name, draw in DXF_BOMBS.items():
        document = ezdxf.new(units=4)
        draw(document)
        document.saveas(folder / name)


def _tree(document):
    document.blocks.new("B0").add_line((0, 0), (1, 1))
    for k in range(1, 12):
        block = document.blocks.new(f"B{k}")
        for place in range(10):
            block.add_blockref(f"B{k - 1}", (place, 0))
    document.modelspace().add_blockref("B11", (0, 0))


def _circle_of_blocks(document):
    for name, inner in (("A", "B"), ("B", "A")):
        document.blocks.new(name).add_blockref(inner, (0, 0))
    document.modelspace().add_blockref("A", (0, 0))


def _array(document):
    document.blocks.new("B").add_line((0, 0), (1, 1))
    grid = {"row_count": 30_000, "column_count": 30_000, "row_spacing": 1, "column_spacing": 1}
    document.modelspace().add_blockref("B", (0, 0), dxfattribs=grid)


def _heap(document):
    for k in range(3000):
        document.modelspace().add_line((0, 0), (1, 1 + k))


def _circles(document):
    """Three thousand circles through each other: millions of crossings."""
    for k in range(3000):
        document.modelspace().add_circle((k / 100, k % 7), 100 + k / 50)


DXF_BOMBS = {
    "block-tree.dxf": _tree,
    "block-circle.dxf": _circle_of_blocks,
    "array.dxf": _array,
    "heap.dxf": _heap,
    "circles.dxf": _circles,
    "country.dxf": lambda document: document.modelspace().add_circle((0, 0), 1e9),
    "nan.dxf": lambda document: document.modelspace().add_line((0, math.nan), (1, 1)),
}


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_hostile_files_are_refused_within_two_seconds_and_300_megabytes(tmp_path):
    _hostile(tmp_path)
    program = Path(__file__).with_name("hostile.py")
    done = subprocess.run([sys.executable, program, tmp_path], capture_output=True, text=True, check=True)
    rows = json.loads(done.stdout)
    assert len(rows) == 28
    for name, seconds, message, megabytes in rows:
        assert message.startswith(name), message
        assert "\n" not in message or name in ("heap.dxf",)
        assert seconds < 2, name
        assert megabytes < 300, name
