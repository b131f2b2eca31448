import math

import numpy as np
from shapely import box

from signplan.artwork import flatten
from signplan.artwork.joining import Stroke
from signplan.artwork.layers import Painted, build_layer
from signplan.artwork.remarks import Remarks
from signplan.findings import Severity


def layer_of(*strokes, painted=()):
    remarks = Remarks(name="face.dxf")
    layer = build_layer("L", strokes, remarks, painted=painted)
    assert not remarks.problems
    return layer, remarks.findings


def circle(x, y, r, source="c", start=0.0):
    return Stroke(flatten.arc((x, y), r, start, math.tau, error=0.005), source, True)


def closed(*points, source="p"):
    return Stroke(np.array([*points, points[0]], dtype=float), source, True)


def test_regions_name_what_they_were_drawn_with():
    layer, findings = layer_of(circle(0, 0, 5, "2F"), circle(0, 0, 2, "30"), circle(20, 0, 1, "31"))
    assert [region.sources for region in layer.regions] == [("2F", "30"), ("31",)]
    assert not findings


def test_a_hatch_and_its_outline_are_one_shape_although_their_chords_differ():
    layer, findings = layer_of(circle(5, 5, 2, "A"), circle(5, 5, 2, "B", start=0.5))
    assert len(layer.regions) == 1
    assert [f.code for f in findings] == ["art-duplicate"]


def test_an_outline_that_crosses_itself_is_split_and_reported():
    layer, (finding,) = layer_of(closed((0, 0), (10, 10), (10, 0), (0, 10), source="2F"))
    assert [region.shape.area for region in layer.regions] == [25, 25]
    assert finding.code == "art-crossing"
    assert finding.severity is Severity.WARNING
    assert finding.message == "an outline on layer L crosses itself at (5, 5) mm; it was split there"
    assert finding.where == "face.dxf: layer L, #2F"


def test_outlines_that_cross_each_other_are_a_fault():
    _, (finding,) = layer_of(circle(0, 0, 5, "2F"), circle(6, 0, 5, "30"))
    assert finding.code == "art-crossing"
    assert finding.severity is Severity.ERROR
    assert finding.where == "face.dxf: layer L, #2F, #30"


def test_slivers_are_reported_and_specks_left_out():
    layer, findings = layer_of(closed((0, 0), (10, 0), (10, 0.05), (0, 0.05)), closed((5, 5), (6, 6), (7, 7)))
    assert len(layer.regions) == 1
    assert [f.code for f in findings] == ["art-speck", "art-sliver"]
    assert findings[1].measured == 2 * 0.5 / 20.1


def test_filled_shapes_that_meet_become_one_region():
    layer, findings = layer_of(
        painted=[Painted(box(0, 0, 5, 5), "black", "a"), Painted(box(4, 0, 9, 5), "black", "b")]
    )
    (region,) = layer.regions
    assert region.shape.area == 45
    assert region.sources == ("a", "b")
    assert not findings


def test_another_colour_on_top_is_a_fault():
    """A white letter on a black disc would vanish in the disc."""
    _, (finding,) = layer_of(
        painted=[Painted(box(0, 0, 9, 9), "black", "a"), Painted(box(3, 3, 6, 6), "white", "b")]
    )
    assert finding.code == "art-overlap"
    assert finding.severity is Severity.ERROR
