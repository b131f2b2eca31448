"""A drawing that knows no file format: marks with a role, in millimetres, y up.

The sheets and the proof play the same drawings, so they cannot disagree. What a role looks like is for the
player: black and white on paper (`signplan.documents.ink`), a style sheet in the proof.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, get_parts
from shapely.geometry.base import BaseGeometry

from signplan.geometry.shapes import area_of

Role = Literal[
    "board",  # a panel, as a plain shape
    "outline",  # its edge
    "blank",  # the board on the table
    "ground",  # carved down flat; `shade` says how deep
    "groove",  # vee grooves
    "line",  # a cut along a line
    "edge",  # a shaped edge
    "hole",
    "pocket",  # `shade` says how deep
    "beyond",  # a recess on the far side, not seen
    "steel",
    "cut",  # board that a section cuts through
    "hatch",
    "dowel",
    "pin",
    "axis",  # a centre line, a turning axis
    "thin",  # extension and dimension lines
    "heavy",  # arrows, the datum
    "hold",  # where the blank is held down
    "keep-out",
    "glue",
]
Box = tuple[float, float, float, float]

FINEST = 0.05
"""Corners closer to their neighbours' chord than this, mm, are not drawn: no printer shows them."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Area:
    """A filled shape, holes left open. `shade`: 0 at the face, 1 through the panel."""

    role: Role
    shape: MultiPolygon
    shade: float = 0.0
    label: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """An open line."""

    role: Role
    points: tuple[tuple[float, float], ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Disc:
    """A circle of true diameter."""

    role: Role
    x: float
    y: float
    diameter: float
    label: str = ""


Mark = Area | Line | Disc


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawing:
    """Marks, painted in their order, and the box that they are seen in."""

    marks: tuple[Mark, ...]
    box: Box

    @property
    def width(self) -> float:
        """Width of the box."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """Height of the box."""
        return self.box[3] - self.box[1]

    def scale_to(self, width: float, height: float) -> float:
        """The largest scale at which it fits a space."""
        return min(width / self.width, height / self.height)


def area(role: Role, shape: BaseGeometry, *, shade: float = 0.0, label: str = "") -> Iterator[Area]:
    """The shape as one mark, fine detail left out; nothing if it is empty."""
    simple = _plain(shape)
    if not simple.is_empty:
        yield Area(role=role, shape=simple, shade=min(1.0, max(0.0, shade)), label=label)


@lru_cache(maxsize=1024)
def _plain(shape: BaseGeometry) -> MultiPolygon:
    """Without fine detail; the same shape is drawn on several sheets."""
    return area_of(shape.simplify(FINEST))


def lines(role: Role, shape: BaseGeometry) -> Iterator[Line]:
    """Every line of a geometry."""
    for part in get_parts(shape.simplify(FINEST)):
        if isinstance(part, LineString) and not part.is_empty:
            yield Line(role=role, points=tuple((x, y) for x, y, *_ in part.coords))


def rectangle(role: Role, box: Box) -> Area:
    """A rectangle."""
    return Area(role=role, shape=MultiPolygon([rectangle_of(box)]))


def rectangle_of(box: Box) -> Polygon:
    """The rectangle as a shape."""
    x0, y0, x1, y1 = box
    return Polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def hatching(shape: BaseGeometry, spacing: float, *, falling: bool = False) -> Iterator[Line]:
    """Lines at 45 degrees through a shape, as a cut solid is drawn."""
    if shape.is_empty:
        return
    x0, y0, x1, y1 = shape.bounds
    high, way = y1 - y0, -1 if falling else 1
    starts = np.arange(np.floor((x0 - high) / spacing), np.ceil((x1 + high) / spacing) + 1) * spacing
    rays = MultiLineString([[(s, y0), (s + way * high, y1)] for s in starts.tolist()])
    yield from lines("hatch", rays.intersection(shape))


def joined(*groups: Iterable[Mark]) -> tuple[Mark, ...]:
    """Marks of several groups, in order."""
    return tuple(mark for group in groups for mark in group)
