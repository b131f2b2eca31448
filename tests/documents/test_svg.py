import re

import pytest
from shapely import MultiPolygon, Polygon, box

from signplan.documents.drawing import Area, Disc, Drawing, Line
from signplan.documents.svg import number, svg_marks, view_box

HOLED = MultiPolygon([Polygon(box(0, 0, 20, 10).exterior, [box(5, 2, 8, 6).exterior])])


def _drawing(*marks: Area | Line | Disc) -> Drawing:
    return Drawing(marks=marks, box=(0, 0, 20, 10))


def test_up_in_a_drawing_is_up_on_the_screen() -> None:
    made = svg_marks(_drawing(Line(role="line", points=((0, 0), (3, 4)))))
    assert made == '<path class="r-line" d="M0 0L3 -4"/>'
    assert view_box(_drawing(), margin=1) == "-1 -11 22 12"


def test_holes_stay_open() -> None:
    made = svg_marks(_drawing(Area(role="pocket", shape=HOLED, shade=1.0)))
    assert 'fill-rule="evenodd"' in made
    assert made.count("M") == made.count("Z") == 2
    assert 'fill-opacity="0.45"' in made


def test_labels_are_titles_and_only_text() -> None:
    made = svg_marks(_drawing(Disc(role="dowel", x=1, y=2, diameter=3, label="a <b> & c")))
    assert made == (
        '<circle class="r-dowel" cx="1" cy="-2" r="1.5"><title>a &lt;b&gt; &amp; c</title></circle>'
    )


@pytest.mark.parametrize("value", [0.0, -0.004, 12.5, 914.4, 12345.678, -99999.994, 0.00001])
def test_numbers_are_plain_and_within_a_hundredth(value: float) -> None:
    assert re.fullmatch(r"-?\d+(\.\d{1,2})?", number(value))
    assert abs(float(number(value)) - value) <= 0.005
