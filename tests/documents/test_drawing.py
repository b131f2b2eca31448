import math

import pytest
from shapely import LineString, MultiLineString, Point, box

from signplan.documents.drawing import Drawing, area, hatching, lines, rectangle


def test_an_empty_shape_leaves_no_mark() -> None:
    assert list(area("pocket", Point(0, 0).buffer(0))) == []


def test_a_shade_stays_between_the_face_and_right_through() -> None:
    assert [next(area("ground", box(0, 0, 9, 9), shade=shade)).shade for shade in (-1, 0.5, 3)] == [0, 0.5, 1]


def test_fine_detail_is_left_out_but_the_shape_keeps_its_size() -> None:
    circle = Point(0, 0).buffer(50, quad_segs=500)
    drawn = next(area("hole", circle)).shape
    assert len(drawn.geoms[0].exterior.coords) < 200
    assert drawn.area == pytest.approx(circle.area, rel=2e-3)


@pytest.mark.parametrize("falling", [False, True])
def test_hatching_fills_a_shape_at_45_degrees_and_stays_inside(falling: bool) -> None:
    shape = box(10, 20, 60, 50).difference(box(25, 30, 40, 40))
    strokes = list(hatching(shape, 5.0, falling=falling))
    assert shape.buffer(1e-6).contains(MultiLineString([stroke.points for stroke in strokes]))
    for stroke in strokes:
        (x0, y0), (x1, y1) = stroke.points
        assert abs(math.degrees(math.atan2(y1 - y0, x1 - x0))) % 90 == pytest.approx(45)
    # One stroke every 5 mm along x is one every 5 / sqrt 2 across.
    assert sum(LineString(s.points).length for s in strokes) == pytest.approx(
        shape.area / (5 / math.sqrt(2)), rel=0.05
    )


def test_lines_of_several_parts() -> None:
    assert len(list(lines("line", MultiLineString([[(0, 0), (1, 1)], [(2, 2), (3, 3)]])))) == 2


def test_a_drawing_fits_the_narrower_way() -> None:
    drawing = Drawing(marks=(rectangle("blank", (0, 0, 200, 100)),), box=(0, 0, 200, 100))
    assert drawing.scale_to(100, 100) == 0.5
    assert drawing.scale_to(400, 50) == 0.5
