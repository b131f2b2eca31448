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


def test_too_many_points(dxf, monkeypatch):
    monkeypatch.setattr(read_dxf, "MOST_POINTS", 100)
    path = dxf(lambda space: [space.add_circle((k, 0), 1) for k in range(5)])
    assert refusal(path) == "face.dxf: the drawing has more than 100 points; simplify its curves"


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
