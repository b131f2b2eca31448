import io

import pdfplumber
import pytest
from reportlab.pdfgen.canvas import Canvas
from shapely import MultiPolygon, Polygon, box

from signplan.documents.drawing import Area, Disc, Drawing, Line, Mark, Role
from signplan.documents.ink import HAIRLINE, LOOKS, POINTS_PER_MM, Spot, play


def _page(*marks: Mark, thin: bool = False) -> pdfplumber.page.Page:
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(400, 300), invariant=1)
    play(canvas, Drawing(marks=marks, box=(0, 0, 100, 80)), Spot(50, 60, POINTS_PER_MM), thin=thin)
    canvas.save()
    return pdfplumber.open(io.BytesIO(file.getvalue())).pages[0]


def test_a_millimetre_is_a_millimetre() -> None:
    line = _page(Line(role="thin", points=((0, 0), (100, 0)))).lines[0]
    assert (line["x0"], line["x1"] - line["x0"]) == pytest.approx((50, 100 * POINTS_PER_MM), abs=5e-3)
    assert line["y0"] == pytest.approx(60)


def test_templates_have_hairlines() -> None:
    mark = Line(role="outline", points=((0, 0), (50, 50)))
    assert _page(mark).lines[0]["linewidth"] == pytest.approx(
        LOOKS["outline"].width * POINTS_PER_MM, abs=1e-3
    )
    assert _page(mark, thin=True).lines[0]["linewidth"] == pytest.approx(HAIRLINE * POINTS_PER_MM, abs=1e-3)


def test_deeper_is_darker_and_holes_stay_white() -> None:
    holed = MultiPolygon([Polygon(box(0, 0, 60, 60).exterior, [box(20, 20, 40, 40).exterior])])
    shown = []
    for shade in (0.1, 0.9):
        image = _page(Area(role="pocket", shape=holed, shade=shade)).to_image(resolution=72).original
        wood, hole = (
            image.getpixel((round(50 + x * POINTS_PER_MM), round(240 - x * POINTS_PER_MM)))[0]
            for x in (10, 30)
        )
        assert hole == 255
        shown.append(wood)
    assert shown[0] > shown[1] + 50


@pytest.mark.parametrize(("one", "other"), [("dowel", "pin"), ("pocket", "beyond"), ("outline", "blank")])
def test_roles_differ_without_colour(one: Role, other: Role) -> None:
    """By what is drawn besides the fill: a cross, black quarters, a dashed or a thinner line."""

    def strokes(role: Role) -> list[tuple[object, ...]]:
        mark: Mark = Disc(role=role, x=9, y=9, diameter=8)
        if role not in ("dowel", "pin"):
            mark = Area(role=role, shape=MultiPolygon([box(0, 0, 30, 30)]))
        page = _page(mark)
        return [(len(page.lines), len(page.curves), LOOKS[role].dash, LOOKS[role].width)]

    assert strokes(one) != strokes(other)
