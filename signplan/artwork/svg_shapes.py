"""SVG shapes and path data to points in millimetres; svgelements reads the path data and transform lists."""

import math
import re
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import numpy as np

from signplan.artwork import flatten
from signplan.artwork.flatten import FARTHEST, Points, ShapeError
from signplan.artwork.model import CHORD_ERROR
from signplan.artwork.svg_page import NUMBER, Matrix, numbers, user_length
from signplan.artwork.svg_tree import Node

_COMMANDS = frozenset("MmZzLlHhVvCcSsQqTtAa, \t\r\n\f")
_TRANSFORM = re.compile(r"(matrix|translate|scale|rotate|skewX|skewY)\s*\(([^()]*)\)\s*,?\s*")
_ARGUMENTS = {
    "matrix": (6,),
    "translate": (1, 2),
    "scale": (1, 2),
    "rotate": (1, 3),
    "skewX": (1,),
    "skewY": (1,),
}
_KAPPA_FREE_CORNERS = ((-math.pi / 2, 1, 0), (0, 1, 1), (math.pi / 2, 0, 1), (math.pi, 0, 0))


class Subpath(NamedTuple):
    """One run of a pen, in mm; a closed one repeats its first point."""

    points: Points
    closed: bool


def transform(text: str) -> Matrix:
    """The matrix of a transform list."""
    import svgelements

    rest = text.strip()
    while rest:
        match = _TRANSFORM.match(rest)
        if not match or len(numbers(match[2], "transform")) not in _ARGUMENTS[match[1]]:
            raise ShapeError(f"transform={text[:40]!r} is not understood")
        rest = rest[match.end() :]
    m = svgelements.Matrix(text)
    return np.array(((m.a, m.c, m.e), (m.b, m.d, m.f), (0, 0, 1)), dtype=float)


def subpaths(node: Node, to_mm: Matrix) -> list[Subpath]:
    """What the pen draws for one shape element.

    Raises:
        ShapeError: an attribute is not understood, or a coordinate is out of all bounds.
    """
    with np.errstate(all="ignore"):
        drawn = list(_SHAPES[node.tag](node, _Pen(to_mm)))
    if not all(np.abs(subpath.points).max() <= FARTHEST for subpath in drawn):
        raise ShapeError("its coordinates run out of all bounds")
    return drawn


class _Pen:
    """Draws in user units, and answers in millimetres."""

    def __init__(self, to_mm: Matrix) -> None:
        self.linear, self.offset = to_mm[:2, :2], to_mm[:2, 2]

    def points(self, user: Any) -> Points:
        moved: Points = np.asarray(user, dtype=float).reshape(-1, 2) @ self.linear.T + self.offset
        return moved

    def ellipse(self, center: Any, u: Any, v: Any, span: tuple[float, float]) -> Points:
        axes = np.array((u, v)) @ self.linear.T
        return flatten.ellipse(self.points(center)[0], axes[0], axes[1], span, error=CHORD_ERROR)


def _length(node: Node, key: str, default: str = "0") -> float:
    return user_length(node.attributes.get(key) or default, key)


def _size(node: Node, key: str, default: str = "0") -> float:
    value = _length(node, key, default)
    if value < 0:
        raise ShapeError(f"{key} is negative")
    return value


def _rect(node: Node, pen: _Pen) -> Iterator[Subpath]:
    x, y, w, h = _length(node, "x"), _length(node, "y"), _size(node, "width"), _size(node, "height")
    if not w or not h:
        return
    radii = [node.attributes.get(key) if node.attributes.get(key) != "auto" else None for key in ("rx", "ry")]
    rx, ry = (user_length(first or second or "0", "rx") for first, second in (radii, radii[::-1]))
    if min(rx, ry) < 0:
        raise ShapeError("rx or ry is negative")
    rx, ry = min(rx, w / 2), min(ry, h / 2)
    if not rx or not ry:
        corners = ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))
        yield Subpath(pen.points(corners), True)
        return
    pieces = []
    for start, right, low in _KAPPA_FREE_CORNERS:
        center = (x + (w - rx if right else rx), y + (h - ry if low else ry))
        pieces.append(pen.ellipse(center, (rx, 0), (0, ry), (start, math.pi / 2)))
    yield Subpath(np.concatenate((*pieces, pieces[0][:1])), True)


def _circle(node: Node, pen: _Pen) -> Iterator[Subpath]:
    r = _size(node, "r")
    if r:
        yield _round(node, pen, r, r)


def _ellipse(node: Node, pen: _Pen) -> Iterator[Subpath]:
    radii = [node.attributes.get(key) if node.attributes.get(key) != "auto" else None for key in ("rx", "ry")]
    rx, ry = (user_length(first or second or "0", "rx") for first, second in (radii, radii[::-1]))
    if min(rx, ry) < 0:
        raise ShapeError("rx or ry is negative")
    if rx and ry:
        yield _round(node, pen, rx, ry)


def _round(node: Node, pen: _Pen, rx: float, ry: float) -> Subpath:
    center = (_length(node, "cx"), _length(node, "cy"))
    return Subpath(pen.ellipse(center, (rx, 0), (0, ry), (0, math.tau)), True)


def _line(node: Node, pen: _Pen) -> Iterator[Subpath]:
    ends = [(_length(node, f"x{k}"), _length(node, f"y{k}")) for k in "12"]
    yield Subpath(pen.points(ends), False)


def _poly(node: Node, pen: _Pen) -> Iterator[Subpath]:
    values = numbers(node.attributes.get("points", ""), "points")
    if len(values) % 2:
        raise ShapeError("points has an odd number of coordinates")
    if len(values) >= 4:
        points = pen.points(values)
        closed = node.tag == "polygon"
        yield Subpath(np.concatenate((points, points[:1])) if closed else points, closed)


def _path(node: Node, pen: _Pen) -> Iterator[Subpath]:
    import svgelements

    data = node.attributes.get("d", "")
    if data.strip() in ("", "none"):
        return
    if data.lstrip()[0] not in "Mm" or not set(NUMBER.sub("", data)) <= _COMMANDS:
        raise ShapeError("its path data is not understood")
    try:
        path = svgelements.Path(data)
    except (ValueError, IndexError, TypeError, ArithmeticError) as error:
        raise ShapeError("its path data breaks off") from error
    pieces: list[Points] = []
    for segment in path:
        if isinstance(segment, svgelements.Move):
            if pieces:
                yield Subpath(np.concatenate(pieces), False)
            pieces = [pen.points((segment.end.x, segment.end.y))]
        elif isinstance(segment, svgelements.Close):
            start = pieces[0][:1]
            yield Subpath(np.concatenate((*pieces, start)), True)
            pieces = [start]
        else:
            pieces.append(_segment(segment, pen)[1:])
    if len(pieces) > 1:
        yield Subpath(np.concatenate(pieces), False)


def _segment(segment: Any, pen: _Pen) -> Points:
    import svgelements

    if isinstance(segment, svgelements.Arc):
        return _arc(segment, pen)
    if isinstance(segment, svgelements.CubicBezier):
        control = [segment.start, segment.control1, segment.control2, segment.end]
    elif isinstance(segment, svgelements.QuadraticBezier):
        control = [segment.start, segment.control, segment.end]
    else:
        control = [segment.start, segment.end]
    points = pen.points([(p.x, p.y) for p in control])
    if not np.isfinite(points).all():
        raise ShapeError("its coordinates run out of all bounds")
    return flatten.bezier(points, error=CHORD_ERROR) if len(points) > 2 else points


def _arc(arc: Any, pen: _Pen) -> Points:
    """By center and half axes, so that the chords hold after any transform; the ends are exact."""
    ends = pen.points([(arc.start.x, arc.start.y), (arc.end.x, arc.end.y)])
    center = np.array((arc.center.x, arc.center.y))
    u, v = np.array((arc.prx.x, arc.prx.y)) - center, np.array((arc.pry.x, arc.pry.y)) - center
    if not u.any() or not v.any():
        return ends
    offset = np.array((arc.start.x, arc.start.y)) - center
    start = math.atan2(float(offset @ v / (v @ v)), float(offset @ u / (u @ u)))
    points = pen.ellipse(center, u, v, (start, float(arc.sweep)))
    points[0], points[-1] = ends
    return points


_SHAPES: dict[str, Callable[[Node, _Pen], Iterator[Subpath]]] = {
    "rect": _rect,
    "circle": _circle,
    "ellipse": _ellipse,
    "line": _line,
    "polyline": _poly,
    "polygon": _poly,
    "path": _path,
}
SHAPES = frozenset(_SHAPES)
