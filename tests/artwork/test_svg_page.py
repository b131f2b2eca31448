import pytest

from signplan.artwork.flatten import ShapeError
from signplan.artwork.svg_page import numbers, read_page, user_length
from signplan.artwork.svg_tree import Node


def page(stated=None, **attributes):
    return read_page(Node("svg", attributes, 1), stated)


def at(page, x, y):
    return tuple((page.to_mm @ (x, y, 1))[:2])


def test_the_origin_is_the_lower_left_corner_and_y_goes_up():
    made = page(width="100mm", height="50mm", viewBox="0 0 100 50")
    assert at(made, 0, 50) == pytest.approx((0, 0))
    assert at(made, 100, 0) == pytest.approx((100, 50))
    assert (made.unit, made.viewport) == ("mm", (100, 50))


def test_a_viewbox_that_starts_elsewhere():
    assert at(page(width="10mm", height="10mm", viewBox="-5 -5 10 10"), 0, 0) == pytest.approx((5, 5))


@pytest.mark.parametrize(
    ("fit", "corner"),
    [
        ("", (0, 75)),
        ("xMidYMin", (0, 100)),
        ("xMinYMax meet", (0, 50)),
        ("none", (0, 100)),
        ("xMinYMin slice", (0, 100)),
    ],
)
def test_a_page_of_another_shape_than_its_viewbox(fit, corner):
    made = page(width="100mm", height="100mm", viewBox="0 0 200 100", preserveAspectRatio=fit)
    assert at(made, 0, 0) == pytest.approx(corner)


def test_the_job_says_what_a_unit_is_where_the_page_does_not():
    for sizes in (
        {"viewBox": "0 0 4 2"},
        {"width": "4", "height": "2"},
        {"width": "100%", "viewBox": "0 0 4 2"},
    ):
        made = page(("in", 25.4), **sizes)
        assert at(made, 4, 0) == pytest.approx((101.6, 50.8))
        assert made.unit == "in"
    assert page(("in", 25.4), width="4mm", height="2mm").unit == "mm"


@pytest.mark.parametrize(
    "sizes",
    [
        {},
        {"viewBox": "0 0 100 50"},
        {"width": "100%", "height": "100%", "viewBox": "0 0 100 50"},
        {"width": "4 in", "height": "2 in"},
        {"width": "16em", "height": "2em"},
        {"width": "50vw", "height": "2mm"},
        {"width": "abc", "height": "2mm"},
        {"width": "-4mm", "height": "2mm"},
        {"width": "0mm", "height": "2mm"},
        {"width": "1e400mm", "height": "2mm"},
        {"width": "4mm", "height": "2mm", "viewBox": "0 0 0 10"},
        {"width": "4mm", "height": "2mm", "viewBox": "0 0 -5 10"},
        {"width": "4mm", "height": "2mm", "viewBox": "0 0 5"},
        {"width": "4mm", "height": "2mm", "viewBox": "0 0 5 5", "preserveAspectRatio": "middle"},
    ],
)
def test_sizes_that_cannot_be_told(sizes):
    with pytest.raises(ShapeError):
        page(**sizes)


def test_numbers_and_lengths():
    assert numbers("1,2 -3.5e1+4.5.5", "points") == [1, 2, -35, 4.5, 0.5]
    assert user_length("1in", "x") == pytest.approx(96)
    for wrong in ("1 2 x", "nan", "1e400"):
        with pytest.raises(ShapeError):
            numbers(wrong, "points")
    for wrong in ("50%", "2em", ""):
        with pytest.raises(ShapeError):
            user_length(wrong, "x")
