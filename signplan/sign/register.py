"""Where everything lies: the frames of a sign and the one place where anything is mirrored.

Frames (mm), as docs/glossary.md draws them:

- *assembly*: origin at the lower left corner of the outline's box seen from side A; x right, y up.
- *view* of a face: what a person looking at that face sees, lower left corner of the box at the origin.
- *setup*: X right, Y away from the operator, origin at the blank's lower left corner, Z = 0 on its top.

Seen from side A's reader the sign is as drawn; seen from the other side it is mirrored about the vertical
middle of its box. Two faces look toward A's reader: A's outer face and B's inner one. That is the whole rule.
A blank on the table shows a view, moved without mirroring; so every placement is a motion after a view.
"""

import math
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point
from shapely.geometry.base import BaseGeometry

Panel = Literal["A", "B"]
Face = Literal["inner", "outer"]
Turn = Literal["side", "end"]
Shape = TypeVar("Shape", bound=BaseGeometry)

GRID = 2.0**-24
"""What placed shapes and points are rounded to, mm: far below a nanometre, and a power of two, so that
mirroring across a width on the grid is exact: done twice it gives the very same numbers."""

PANELS: tuple[Panel, Panel] = ("A", "B")


@dataclass(frozen=True, slots=True)
class Placement:
    """A 2 x 3 matrix: (X, Y) = (a x + b y + c, d x + e y + f). It moves, turns or mirrors, never scales."""

    a: float
    b: float
    c: float
    d: float
    e: float
    f: float

    @property
    def determinant(self) -> float:
        """+1 for a motion, -1 if it mirrors."""
        return self.a * self.e - self.b * self.d

    @property
    def matrix(self) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
        """The rows, as plan.json writes them."""
        return (self.a, self.b, self.c), (self.d, self.e, self.f)

    def then(self, after: "Placement") -> "Placement":
        """This placement followed by another."""
        return Placement(
            after.a * self.a + after.b * self.d,
            after.a * self.b + after.b * self.e,
            after.a * self.c + after.b * self.f + after.c,
            after.d * self.a + after.e * self.d,
            after.d * self.b + after.e * self.e,
            after.d * self.c + after.e * self.f + after.f,
        )

    def inverse(self) -> "Placement":
        """The placement that undoes this one."""
        k = self.determinant
        a, b, d, e = self.e / k, -self.b / k, -self.d / k, self.a / k
        return Placement(a, b, -(a * self.c + b * self.f), d, e, -(d * self.c + e * self.f))

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Where a point goes, on the grid."""
        moved = _on_grid(np.array([x, y]) @ self._linear + (self.c, self.f))
        return float(moved[0]), float(moved[1])

    def shape(self, shape: Shape) -> Shape:
        """Where a shapely geometry goes, on the grid."""
        return shapely.transform(shape, lambda corners: _on_grid(corners @ self._linear + (self.c, self.f)))

    def path(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Where a tool path, (N, 3), goes; heights stay."""
        moved = np.array(points, dtype=float)
        moved[:, :2] = points[:, :2] @ self._linear + (self.c, self.f)
        return moved

    @property
    def _linear(self) -> NDArray[np.float64]:
        return np.array([[self.a, self.d], [self.b, self.e]])


def _on_grid(numbers: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.round(numbers / GRID) * GRID + 0.0  # + 0.0: no negative zero


STAY = Placement(1, 0, 0, 0, 1, 0)


def move(dx: float, dy: float) -> Placement:
    """A straight move."""
    return Placement(1, 0, dx, 0, 1, dy)


def half_turn(width: float, height: float) -> Placement:
    """A half turn that keeps a box of that size where it is; on the table, not over."""
    return Placement(-1, 0, width, 0, -1, height)


def _mirror(width: float) -> Placement:
    """The one mirror of the program: left and right exchanged across a width."""
    return Placement(-1, 0, width, 0, 1, 0)


def view(panel: Panel, face: Face, width: float) -> Placement:
    """From assembly to what a person looking at that face sees; `width` is the sign's.

    For an outer face this is the reading frame of its side. It is its own inverse.
    """
    toward_reader_of_a = (panel == "A") == (face == "outer")
    return STAY if toward_reader_of_a else _mirror(round(width / GRID) * GRID)


def turned(blank: tuple[float, float], turn: Turn) -> Placement:
    """Where a point of a blank's setup frame lies after the blank, (wide, deep), is turned over.

    "side" turns it like a page, X -> wide - X; "end" turns it end over end, Y -> deep - Y.
    """
    wide, deep = blank
    mirror = _mirror(wide)
    return mirror if turn == "side" else mirror.then(half_turn(wide, deep))


def on_table(face_view: Placement, at: tuple[float, float]) -> Placement:
    """A panel on the table: its view moved so that its box has its lower left corner `at`."""
    return face_view.then(move(*at))


def is_ambiguous(
    pins: tuple[tuple[float, float, float], ...], blank: tuple[float, float], turn: Turn
) -> bool:
    """Whether a blank fits its index pins in another way than the turn that was meant.

    After the right turn the pins, (X, Y, diameter), find the holes that they made. A blank that was given a
    half turn on the table instead, or turned the other way, must miss by a pin diameter (common practice).
    """
    meant = turned(blank, turn)
    other: Turn = "end" if turn == "side" else "side"
    wrong_turns = (half_turn(*blank), turned(blank, other))
    holes = [(Point(meant.point(x, y)), d) for x, y, d in pins]
    return any(_fits(wrong, pins, holes) for wrong in wrong_turns)


def _fits(
    wrong: Placement, pins: tuple[tuple[float, float, float], ...], holes: list[tuple[Point, float]]
) -> bool:
    moved = [(Point(wrong.point(x, y)), d) for x, y, d in pins]
    return all(any(math.dist(p.coords[0], h.coords[0]) < d for h, d in holes) for p, _ in moved)
