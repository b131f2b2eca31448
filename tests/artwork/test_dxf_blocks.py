import math
import re

import pytest

from signplan.artwork.importer import read_artwork
from signplan.errors import InputError


def refusal(path) -> str:
    with pytest.raises(InputError) as caught:
        read_artwork(path)
    return re.sub(r"#[0-9A-F]+", "#H", str(caught.value))


def block(space, name="B"):
    return space.doc.blocks.new(name)


def test_mirrored_turned_and_stretched_blocks(dxf):
    """A block with a bulged outline, an arc and a spline: area and length follow the determinant."""

    def draw(space):
        shape = block(space)
        shape.add_lwpolyline([(0, 0, 0), (10, 0, 1), (10, 5, 0), (0, 5, 0)], "xyb", close=True)
        shape.add_circle((20, 0), 2)
        for k, (x, y, turn) in enumerate([(1, 1, 0), (-1, 1, 30), (2, 1, 45), (2, -3, 10)]):
            place = {"xscale": x, "yscale": y, "rotation": turn, "layer": f"L{k}"}
            space.add_blockref("B", (100 * k, 0), dxfattribs=place)

    artwork, findings = read_artwork(dxf(draw))
    assert [layer.name for layer in artwork.layers] == ["L0", "L1", "L2", "L3"]
    for layer, scale in zip(artwork.layers, (1, 1, 2, 6), strict=True):
        outline, circle = (region.shape.area for region in layer.regions)
        assert outline == pytest.approx(scale * (50 + math.pi * 6.25 / 2), rel=2e-3)
        assert circle == pytest.approx(scale * math.pi * 4, rel=2e-3)
    assert not findings


def test_a_mirrored_block_lands_where_it_should(dxf):
    def draw(space):
        block(space).add_lwpolyline([(1, 0), (3, 0), (3, 1), (1, 1)], close=True)
        space.add_blockref("B", (10, 0), dxfattribs={"xscale": -1})

    artwork, _ = read_artwork(dxf(draw))
    assert artwork.layers[0].regions[0].shape.bounds == pytest.approx((7, 0, 9, 1))


def test_nested_blocks_stretched_around_a_turn(dxf):
    """Turning inside a one-sided stretch shears; the area still follows the determinants, 2 x 3."""

    def draw(space):
        block(space, "IN").add_circle((5, 0), 1)
        block(space, "OUT").add_blockref("IN", (10, 0), dxfattribs={"rotation": 30, "xscale": 2})
        space.add_blockref("OUT", (0, 0), dxfattribs={"yscale": 3, "rotation": 20})

    (region,) = read_artwork(dxf(draw))[0].layers[0].regions
    assert region.shape.area == pytest.approx(6 * math.pi, rel=2e-3)


def test_layer_0_in_a_block_is_the_layer_of_the_insert(dxf):
    def draw(space):
        shape = block(space)
        shape.add_circle((0, 0), 1)
        shape.add_circle((9, 0), 1, dxfattribs={"layer": "OWN"})
        space.add_blockref("B", (0, 0), dxfattribs={"layer": "LETTERS"})

    artwork, _ = read_artwork(dxf(draw))
    assert [layer.name for layer in artwork.layers] == ["LETTERS", "OWN"]


def test_arrays_of_blocks(dxf):
    def draw(space):
        block(space).add_circle((0, 0), 1)
        grid = {"row_count": 2, "column_count": 3, "row_spacing": 10, "column_spacing": 20}
        space.add_blockref("B", (0, 0), dxfattribs=grid)

    regions = read_artwork(dxf(draw))[0].layers[0].regions
    middles = sorted((round(r.shape.centroid.x), round(r.shape.centroid.y)) for r in regions)
    assert middles == [(x, y) for x in (0, 20, 40) for y in (0, 10)]


def test_a_block_that_contains_itself(dxf):
    def draw(space):
        shape = block(space, "LOGO")
        shape.add_line((0, 0), (1, 1))
        shape.add_blockref("LOGO", (1, 1))
        space.add_blockref("LOGO", (0, 0))

    assert refusal(dxf(draw)) == "face.dxf: block LOGO contains itself"


def test_blocks_nested_too_deep(dxf):
    def draw(space):
        block(space, "B0").add_line((0, 0), (1, 1))
        for k in range(1, 2000):
            block(space, f"B{k}").add_blockref(f"B{k - 1}", (0, 0))
        space.add_blockref("B1999", (0, 0))

    assert refusal(dxf(draw)) == "face.dxf: blocks are nested more than 32 deep"


def test_a_tree_of_blocks_with_billions_of_lines(dxf):
    def draw(space):
        block(space, "B0").add_line((0, 0), (1, 1))
        for k in range(1, 12):
            inner = block(space, f"B{k}")
            for place in range(10):
                inner.add_blockref(f"B{k - 1}", (place, 0))
        space.add_blockref("B11", (0, 0))

    assert "more than 500,000 entities when its blocks are drawn out" in refusal(dxf(draw))


def test_an_array_of_millions(dxf):
    def draw(space):
        block(space).add_line((0, 0), (1, 1))
        grid = {"row_count": 30000, "column_count": 30000, "row_spacing": 1, "column_spacing": 1}
        space.add_blockref("B", (0, 0), dxfattribs=grid)

    assert "more than 500,000 entities" in refusal(dxf(draw))


def test_a_clipped_block_is_refused(dxf):
    def draw(space):
        from ezdxf.xclip import XClip

        block(space).add_circle((0, 0), 5)
        XClip(space.add_blockref("B", (0, 0))).set_block_clipping_path([(0, 0), (3, 3)])

    assert "a clipped block is not read; explode and trim it" in refusal(dxf(draw))
