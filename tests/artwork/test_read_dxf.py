import math
import re

import pytest

from signplan.artwork import read_dxf
from signplan.artwork.importer import read_artwork
from signplan.errors import InputError
from signplan.findings import Severity


def refusal(path, **how) -> str:
    with pytest.raises(InputError) as caught:
        read_artwork(path, **how)
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


def test_a_source_is_a_handle_that_can_be_found(dxf):
    handles = []
    artwork, _ = read_artwork(dxf(lambda space: handles.append(space.add_circle((0, 0), 1).dxf.handle)))
    assert artwork.layers[0].regions[0].sources == tuple(handles)


def test_lettering_is_refused_and_never_set_in_another_font(dxf):
    def draw(space):
        space.add_text("Heron", dxfattribs={"layer": "NAME"})
        space.add_mtext("Reach")
        shape = block(space)
        shape.add_circle((0, 0), 1)
        space.add_blockref("B", (0, 0)).add_attrib("NO", "118", (0, 0))

    assert refusal(dxf(draw)).splitlines() == [
        "face.dxf: layer NAME: TEXT #H: convert lettering to outlines",
        "face.dxf: layer 0: MTEXT #H: convert lettering to outlines",
        "face.dxf: layer 0: ATTRIB #H: convert lettering to outlines",
    ]


def test_lettering_on_a_layer_that_nobody_asked_for_is_no_matter(dxf):
    def draw(space):
        space.add_text("scale 1:10", dxfattribs={"layer": "NOTES"})
        space.add_circle((0, 0), 1, dxfattribs={"layer": "FACE"})

    artwork, findings = read_artwork(dxf(draw), layers=["face"])
    assert [layer.name for layer in artwork.layers] == ["FACE"]
    assert artwork.unread == ("NOTES",)
    assert not findings


def test_bodies_and_meshes_are_refused_by_name(dxf):
    path = dxf(lambda space: space.add_mline([(0, 0), (5, 5)], dxfattribs={"layer": "FACE"}))
    assert refusal(path) == (
        "face.dxf: layer FACE: MLINE #H: this kind cannot be cut; explode or convert it to polylines"
    )


def test_annotation_is_left_out_and_said(dxf):
    def draw(space):
        space.add_point((0, 0))
        space.add_linear_dim((0, 5), (0, 0), (5, 0)).render()
        space.add_circle((0, 0), 1)

    _, (finding,) = read_artwork(dxf(draw))
    assert (finding.code, finding.message) == ("art-skipped", "not read on layer 0: 1 POINT, 1 DIMENSION")


def test_hidden_things(dxf):
    def draw(space):
        space.doc.layers.add("OFF").off()
        space.add_circle((0, 0), 1, dxfattribs={"layer": "OFF"})
        space.add_circle((9, 0), 1, dxfattribs={"layer": "OFF", "invisible": 1})

    artwork, findings = read_artwork(dxf(draw))
    assert len(artwork.layers[0].regions) == 1
    assert [f.message for f in findings] == [
        "not read on layer OFF: 1 hidden CIRCLE",
        "layer OFF is switched off in the drawing; it was read all the same",
    ]


def test_wide_polylines(dxf):
    _, (finding,) = read_artwork(
        dxf(lambda space: space.add_lwpolyline([(0, 0, 1, 1), (10, 0, 1, 1)], "xyse"))
    )
    assert finding.code == "art-stroke"


@pytest.mark.parametrize(
    ("draw", "message"),
    [
        (lambda space: None, "the drawing is empty"),
        (
            lambda space: space.add_blockref("NOPE", (0, 0)),
            "INSERT #H of block NOPE: the block is not in this file",
        ),
        (
            lambda space: space.doc.layout("Layout1").add_line((0, 0), (1, 1)),
            "nothing in model space; what is on a layout sheet is not read",
        ),
        (
            lambda space: space.add_line((math.nan, 0), (1, 1)),
            "LINE #H: its coordinates run out of all bounds",
        ),
        (lambda space: space.add_circle((0, 0), math.inf), "CIRCLE #H: "),
        (lambda space: space.add_line((0, 0), (1e12, 1)), "LINE #H: its coordinates run out of all bounds"),
        (
            lambda space: (
                space.add_line((0, 0), (1, 0)),
                space.add_line((1, 0), (2, 0)),
                space.add_line((1, 0), (1, 3)),
            ),
            "3 ends meet in one point at (1, 0) mm, #H, #H, #H",
        ),
    ],
)
def test_refused(dxf, draw, message):
    assert message in refusal(dxf(draw))


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


def test_too_many_points(dxf, monkeypatch):
    monkeypatch.setattr(read_dxf, "MOST_POINTS", 100)
    path = dxf(lambda space: [space.add_circle((k, 0), 1) for k in range(5)])
    assert refusal(path) == "face.dxf: the drawing has more than 100 points; simplify its curves"


def test_a_clipped_block_is_refused(dxf):
    def draw(space):
        from ezdxf.xclip import XClip

        block(space).add_circle((0, 0), 5)
        XClip(space.add_blockref("B", (0, 0))).set_block_clipping_path([(0, 0), (3, 3)])

    assert "a clipped block is not read; explode and trim it" in refusal(dxf(draw))


class TestUnits:
    def test_none_stated(self, dxf):
        path = dxf(lambda space: space.add_circle((0, 0), 1), units=0)
        assert refusal(path) == (
            "face.dxf: the drawing states no units ($INSUNITS is 0); "
            "state its units in the job, or set them in the drawing"
        )

    def test_stated_by_the_job_and_echoed(self, dxf):
        artwork, (finding,) = read_artwork(
            dxf(lambda space: space.add_circle((0, 0), 1), units=0), units="in"
        )
        assert artwork.units == "in"
        assert artwork.size == pytest.approx((50.8, 50.8), rel=1e-3)
        assert finding.code == "art-units"
        assert finding.severity is Severity.NOTE
        assert finding.message == (
            "face.dxf states no units; one unit of it is 1 in, as the job says: all of it is 2 in by 2 in"
        )

    def test_job_and_file_disagree(self, dxf):
        artwork, (finding,) = read_artwork(
            dxf(lambda space: space.add_circle((0, 0), 1), units=1), units="mm"
        )
        assert artwork.units == "in"
        assert finding.severity is Severity.ERROR
        says = "the job says that face.dxf is drawn in mm, the file says in, and rules"
        assert finding.message == f"{says}: all of it is 2 in by 2 in"

    def test_units_of_a_map(self, dxf):
        path = dxf(lambda space: space.add_circle((0, 0), 1), units=18)
        assert "units that no sign is drawn in ($INSUNITS is 18)" in refusal(path)

    def test_measurement_against_units(self, dxf):
        def draw(space):
            space.add_circle((0, 0), 1)
            space.doc.header["$MEASUREMENT"] = 0

        _, (finding,) = read_artwork(dxf(draw, units=4))
        assert finding.message == "face.dxf is in mm, yet $MEASUREMENT says inches"
