"""docs/artwork.md names tests that exist, and shows messages that a person really gets."""

import math
import re
from pathlib import Path

import pytest

from signplan.artwork.importer import read_artwork
from signplan.errors import InputError

TESTS = Path(__file__).parents[1]
DOCS = (TESTS.parent / "docs" / "artwork.md").read_text(encoding="utf-8")

RECT = '<rect id="r" x="10" y="10" width="10" height="5"/>'
BAD_SVG = (
    '<text id="name">Heron</text>',
    '<image href="heron.png"/>',
    f'<g id="sky" mask="url(#m)">{RECT}</g>',
    '<rect filter="url(#f)" width="5" height="5"/>',
    '<pattern id="p"/><rect fill="url(#p)" width="5" height="5"/>',
    '<path marker-end="url(#m)" d="M0 0L5 5" stroke="red"/>',
    '<line id="rule" x2="5" y2="5" stroke="red" stroke-dasharray="1 2"/>',
    '<rect transform="rotate(45)" transform-origin="5 5" width="5" height="5"/>',
    f"<style>g &gt; rect {{fill:none}}</style>{RECT}",
    '<rect width="50%" height="3"/>',
    '<use href="#gone"/>',
    '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>',
    '<path id="wing" d="M0 0 C 1 1 2 2"/>',
    "",
)
BAD_DXF = (
    lambda space: space.add_text("Heron", dxfattribs={"layer": "NAME"}),
    lambda space: space.add_mline([(0, 0), (5, 5)], dxfattribs={"layer": "FACE"}),
    lambda space: space.add_circle((0, 0), 0),
    lambda space: space.add_circle((0, 0), 1e9),
    lambda space: space.add_line((math.nan, 0), (1, 1)),
    lambda space: space.add_blockref("LOGO", (0, 0)),
    lambda space: [space.add_line((1, 0), end) for end in ((0, 0), (2, 0), (1, 3))],
    lambda space: space.doc.layout("Layout1").add_line((0, 0), (1, 1)),
    lambda space: None,
)


def refusal(path, **how) -> str:
    with pytest.raises(InputError) as caught:
        read_artwork(path, **how)
    return str(caught.value)


@pytest.mark.parametrize("inside", BAD_SVG)
def test_messages_of_svg(svg, inside):
    assert refusal(svg(inside)) in DOCS


@pytest.mark.parametrize("page", ['viewBox="0 0 100 50"', 'width="4 in" height="2 in"'])
def test_messages_of_svg_pages(svg, page):
    assert refusal(svg(RECT, page=page)) in DOCS


@pytest.mark.parametrize("draw", BAD_DXF)
def test_messages_of_dxf(dxf, draw):
    assert refusal(dxf(draw)) in DOCS


def test_messages_of_dxf_without_units_and_of_open_ends(dxf):
    assert refusal(dxf(lambda space: space.add_circle((0, 0), 1), units=0)) in DOCS

    def forked(space):
        space.add_line((0, 0), (10, 0))
        space.add_line((10.05, 0), (10, 10))
        space.add_line((10, 0.05), (20, 20))

    assert refusal(dxf(forked), gap=0.1) in DOCS


def test_every_test_that_the_page_names_exists():
    there = set()
    for path in TESTS.rglob("test_*.py"):
        there |= {
            f"{path.stem}.{name}" for name in re.findall(r"def (test_\w+)", path.read_text(encoding="utf-8"))
        }
    named = set(re.findall(r"`(test_\w+\.test_\w+)`", DOCS))
    assert len(named) > 40
    assert named <= there, named - there
