"""Where drawings lie: by the outline's corner, reading right on their own side."""

import pytest
from shapely import LineString, MultiPolygon, Polygon, affinity, box

from signplan.errors import InputError
from signplan.sign.drawings import lay_drawings, layer_of
from signplan.sign.register import view

FLAG = Polygon([(10, 20), (60, 20), (60, 30), (20, 30), (20, 70), (10, 70)])
"""No symmetry."""

TWO = 'outline_b = { file = "b.dxf", layer = "OUTLINE" }\n'


@pytest.fixture
def lay(draw, read_job, outline):
    def lay_out(text="", **files):
        drawings = {"face.dxf": draw({"OUTLINE": affinity.translate(outline, 100, 50)})}
        drawings |= {f"{name}.dxf": draw(layers) for name, layers in files.items()}
        return lay_drawings(read_job(text), drawings)

    return lay_out


def test_the_outline_is_moved_to_the_origin(lay, outline):
    assert lay().outline.equals(outline)
    assert lay().width == 600


def test_art_for_side_a_lies_where_it_was_drawn(lay):
    place = lay().placement("face.dxf", "A", "A")
    assert place.shape(affinity.translate(FLAG, 100, 50)).equals(FLAG)


@pytest.mark.parametrize("drawn_for", ["B", "both"])
def test_art_on_side_b_reads_right_there(lay, drawn_for):
    """In the assembly frame it is mirrored about the middle of the sign; seen from side B it is as drawn."""
    place = lay().placement("face.dxf", "B", drawn_for)
    on_sign = place.shape(affinity.translate(FLAG, 100, 50))
    assert place.determinant == -1
    assert on_sign.equals(affinity.scale(FLAG, -1, 1, origin=(300, 0)))
    assert view("B", "outer", 600).shape(on_sign).equals(FLAG)


def test_another_drawing_shares_the_coordinates_of_the_outlines(lay):
    place = lay().placement("other.dxf", "A", "A")
    assert place.point(110, 70) == (10, 20)


def test_a_drawing_that_holds_the_outline_of_side_b_is_placed_by_that(lay, outline):
    b = affinity.translate(affinity.scale(outline, -1, 1, origin=(300, 0)), -7, 3)
    laid = lay(TWO, b={"OUTLINE": b})
    assert laid.outline_b.equals(outline)
    assert laid.outline_of("B").equals(outline)
    place = laid.placement("b.dxf", "B", "B")
    assert place.shape(affinity.translate(FLAG, -7, 3)).equals(affinity.scale(FLAG, -1, 1, origin=(300, 0)))


def test_without_an_outline_of_its_own_side_b_has_that_of_side_a(lay, outline):
    assert lay().outline_of("B").equals(outline)


def test_regions_of_a_layer_are_one_area(lay):
    laid = lay("", more={"ART": MultiPolygon([box(110, 60, 120, 70), box(120, 60, 130, 70)])})
    art = laid.job.sign.outline.model_copy(update={"file": "more.dxf", "layer": "ART"})
    assert laid.area(art, "carve[0].art", "A", "A").equals(box(10, 10, 30, 20))


def test_a_missing_layer_is_named_with_those_that_there_are(draw, read_job):
    art = read_job("").sign.outline.model_copy(update={"layer": "outlines"})
    files = {"face.dxf": draw({"OUTLINE": box(0, 0, 1, 1), "LETTERS": FLAG})}
    with pytest.raises(InputError) as trouble:
        layer_of(files, art, "sign.outline")
    assert str(trouble.value) == (
        "face.dxf: sign.outline.layer: no layer 'outlines' in face.dxf; did you mean 'OUTLINE'? "
        "It has 'OUTLINE', 'LETTERS'."
    )


@pytest.mark.parametrize(
    ("shape", "message"),
    [
        (MultiPolygon([box(0, 0, 1, 1), box(3, 0, 4, 1)]), "holds 2 closed outlines; a sign has one"),
        (LineString([(0, 0), (5, 0), (5, 5)]), "is not closed: it has an open end at (5.00 mm, 5.00 mm)"),
    ],
)
def test_an_outline_that_is_none_is_refused(draw, read_job, shape, message):
    with pytest.raises(InputError, match=r"sign\.outline: layer 'OUTLINE'") as trouble:
        lay_drawings(read_job(""), {"face.dxf": draw({"OUTLINE": shape})})
    assert message in str(trouble.value)
