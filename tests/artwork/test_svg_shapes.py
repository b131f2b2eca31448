import math

import numpy as np
import pytest
from shapely import Polygon

from signplan.artwork.flatten import ShapeError
from signplan.artwork.svg_shapes import subpaths, transform
from signplan.artwork.svg_tree import Node


def drawn(tag, matrix=None, **attributes):
    matrix = np.eye(3) if matrix is None else matrix
    return subpaths(Node(tag, {k.replace("_", "-"): v for k, v in attributes.items()}, 1), matrix)


def area(tag, **attributes):
    (subpath,) = drawn(tag, **attributes)
    assert subpath.closed
    return Polygon(subpath.points).area


def test_rectangles():
    assert area("rect", width="20", height="10") == 200
    assert area("rect", width="20", height="10", rx="3") == pytest.approx(200 - 36 + 9 * math.pi, rel=2e-4)
    assert area("rect", width="20", height="10", rx="auto", ry="2") == pytest.approx(
        200 - 16 + 4 * math.pi, rel=2e-4
    )
    assert area("rect", width="20", height="10", rx="99") == pytest.approx(math.pi * 50, rel=1e-3)
    assert drawn("rect", width="20") == []


def test_rounds():
    assert area("circle", r="5") == pytest.approx(25 * math.pi, rel=2e-3)
    assert area("ellipse", rx="5", ry="2") == pytest.approx(10 * math.pi, rel=2e-3)
    assert area("ellipse", rx="5") == pytest.approx(25 * math.pi, rel=2e-3)
    assert area("circle", r="1in") == pytest.approx(96**2 * math.pi, rel=1e-3)
    assert drawn("circle", r="0") == []


def test_lines_and_polygons():
    (line,) = drawn("line", x1="1", y1="2", x2="3", y2="4")
    assert line.points.tolist() == [[1, 2], [3, 4]]
    assert not line.closed
    assert area("polygon", points="0,0 10,0 10,10") == 50
    assert not drawn("polyline", points="0 0 10 0 10 10")[0].closed


def test_path_commands():
    """A square by lines, a half disc by an arc, and what follows a close starts where the path began."""
    square, tail = drawn("path", d="M1 1h10v10H1z l-1 -1")
    assert Polygon(square.points).area == 100
    assert tail.points.tolist() == [[1, 1], [0, 0]]
    assert area("path", d="M10 10a5 5 0 1 0 10 0z") == pytest.approx(12.5 * math.pi, rel=2e-3)
    assert area("path", d="M0 0Q5 10 10 0z") == pytest.approx(100 / 3, rel=2e-3)
    assert area("path", d="M0 0c0 1 0 1 1 1h1t0-1z") > 0


def test_an_arc_stays_exact_through_a_skewing_transform():
    matrix = transform("skewX(30) scale(2 3)")
    (subpath,) = drawn("path", matrix, d="M-5 0A5 5 0 0 1 5 0A5 5 0 0 1 -5 0z")
    circle = np.linalg.solve(matrix[:2, :2], subpath.points.T)
    assert np.hypot(*circle) == pytest.approx(5, abs=1e-6)


def test_arc_flags_without_spaces_and_arcs_too_small_for_their_ends():
    (subpath,) = drawn("path", d="M0 0a1 1 0 01.5.5")
    assert subpath.points[-1].tolist() == [0.5, 0.5]
    (subpath,) = drawn("path", d="M0 0A1 1 0 0 1 10 0")
    assert np.hypot(*(subpath.points - (5, 0)).T) == pytest.approx(5, abs=1e-6)


def test_transforms():
    assert transform("translate(10) rotate(90)") @ (1, 0, 1) == pytest.approx((10, 1, 1))
    assert transform("rotate(180, 5, 5)") @ (0, 0, 1) == pytest.approx((10, 10, 1))
    assert transform("matrix(1 2 3 4 5 6)").tolist() == [[1, 3, 5], [2, 4, 6], [0, 0, 1]]
    for wrong in ("turn(5)", "scale()", "matrix(1 2 3)", "scale(1e300)", "rotate(5deg)"):
        with pytest.raises(ShapeError, match="transform"):
            transform(wrong)


@pytest.mark.parametrize(
    ("tag", "attributes"),
    [
        ("path", {"d": "M0 0 L1 1 x"}),
        ("path", {"d": "L1 1"}),
        ("path", {"d": "M0 0 C1 1 2 2"}),
        ("path", {"d": "M0 0 L NaN 1"}),
        ("path", {"d": "M0 0 L1e400 1 L4 4"}),
        ("path", {"d": "M0 0 L1e308 1 L4 4"}),
        ("path", {"d": "M0 0 A1e8 1e8 0 1 1 9 1"}),
        ("rect", {"width": "50%", "height": "3"}),
        ("rect", {"width": "-3", "height": "3"}),
        ("rect", {"width": "3", "height": "3", "rx": "-1"}),
        ("circle", {"r": "2em"}),
        ("polygon", {"points": "0 0 1"}),
        ("polygon", {"points": "0 0 1 x"}),
    ],
)
def test_refused(tag, attributes):
    with pytest.raises(ShapeError):
        drawn(tag, **attributes)
