"""Plays a drawing onto a PDF canvas: black on white, every role told apart by line, fill or hatch."""

from dataclasses import dataclass, replace
from itertools import groupby

import numpy as np
import shapely
from numpy.typing import NDArray
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from signplan.documents.drawing import FINEST, Area, Disc, Drawing, Line, Mark, Role
from signplan.geometry.shapes import area_of

POINTS_PER_MM = 72 / 25.4
EVEN_ODD = 0
UNSEEN = 0.02
"""Corners closer than this to their neighbours' chord, mm on paper, are left out."""

HAIRLINE = 0.18
"""Lines of a template, mm on paper."""


@dataclass(frozen=True, slots=True)
class Look:
    """`width` of the line on paper, mm, 0 for none; `fill` and `deep`: grey at the face and right through."""

    width: float
    fill: float | None = None
    deep: float | None = None
    dash: tuple[float, ...] = ()
    grey: float = 0.0


LOOKS: dict[Role, Look] = {
    "board": Look(0.0, fill=1.0),
    "outline": Look(0.7),
    "blank": Look(0.5, fill=0.94),
    "ground": Look(0.2, fill=0.88, deep=0.45),
    "groove": Look(0.1, fill=0.0),
    "line": Look(0.4),
    "edge": Look(0.2, fill=0.94),
    "hole": Look(0.4, fill=0.3),
    "pocket": Look(0.4, fill=0.92, deep=0.5),
    "beyond": Look(0.3, dash=(1.6, 1.0)),
    "steel": Look(0.4, fill=0.45),
    "cut": Look(0.5, fill=1.0),
    "hatch": Look(0.15),
    "dowel": Look(0.4, fill=1.0),
    "pin": Look(0.5, fill=1.0),
    "axis": Look(0.2, dash=(4.0, 0.8, 0.8, 0.8)),
    "thin": Look(0.15, grey=0.35),
    "heavy": Look(0.8),
    "hold": Look(0.4, dash=(0.8, 0.8)),
    "keep-out": Look(0.4, dash=(2.0, 0.8)),
    "glue": Look(0.3, fill=0.85),
}


@dataclass(frozen=True, slots=True)
class Spot:
    """Where a drawing lies on the page: canvas points of its (0, 0), and points per millimetre."""

    x: float
    y: float
    scale: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Canvas points of a place in the drawing."""
        return self.x + x * self.scale, self.y + y * self.scale


def play(canvas: Canvas, drawing: Drawing, spot: Spot, *, thin: bool = False) -> None:
    """Paint every mark; `thin` for a template, where the line itself is what is measured."""
    canvas.saveState()
    canvas.setLineJoin(1)
    for (role, is_line), marks in groupby(drawing.marks, lambda mark: (mark.role, isinstance(mark, Line))):
        look = LOOKS[role]
        look = replace(look, width=min(look.width, HAIRLINE)) if thin else look
        if is_line:
            _set(canvas, look, 0.0)
            canvas.drawPath(_path([_line(mark, spot) for mark in marks]), stroke=1, fill=0)
            continue
        for mark in marks:
            _paint(canvas, mark, spot, look)
    canvas.restoreState()


def _paint(canvas: Canvas, mark: Mark, spot: Spot, look: Look) -> None:
    fill = _set(canvas, look, mark.shade if isinstance(mark, Area) else 0.0)
    stroke = int(look.width > 0)
    match mark:
        case Area():
            canvas.drawPath(_outline(mark, spot), stroke=stroke, fill=fill, fillMode=EVEN_ODD)
        case Disc():
            canvas.circle(*spot.at(mark.x, mark.y), mark.diameter / 2 * spot.scale, stroke=stroke, fill=fill)
            _centre(canvas, mark, spot)


def _set(canvas: Canvas, look: Look, shade: float) -> int:
    canvas.setLineWidth(look.width * POINTS_PER_MM)
    canvas.setStrokeGray(look.grey)
    canvas.setDash([each * POINTS_PER_MM for each in look.dash])
    if look.fill is None:
        return 0
    canvas.setFillGray(look.fill + ((look.deep if look.deep is not None else look.fill) - look.fill) * shade)
    return 1


def _outline(mark: Area, spot: Spot) -> PDFPathObject:
    unseen = UNSEEN * POINTS_PER_MM / spot.scale
    shape = area_of(mark.shape.simplify(unseen)) if unseen > FINEST else mark.shape
    rings = shapely.get_rings(shapely.get_parts(shape))
    return _path([f"{_trace(shapely.get_coordinates(ring)[:-1], spot)} h" for ring in rings])


def _line(mark: Mark, spot: Spot) -> str:
    return _trace(np.array(mark.points), spot) if isinstance(mark, Line) else ""


def _path(traces: list[str]) -> PDFPathObject:
    return PDFPathObject(["n", *traces])


def _trace(places: NDArray[np.float64], spot: Spot) -> str:
    """The operators that draw a line through places in a drawing, all numbers formatted in one go."""
    points = places * spot.scale + (spot.x, spot.y)
    return ("%.2f %.2f m" + " %.2f %.2f l" * (len(points) - 1)) % tuple(points.ravel().tolist())


def _centre(canvas: Canvas, disc: Disc, spot: Spot) -> None:
    """A dowel shows a cross through its hole, a pin two black quarters: no colour is needed to tell them."""
    x, y = spot.at(disc.x, disc.y)
    radius = disc.diameter / 2 * spot.scale
    if disc.role == "dowel":
        reach = max(1.5 * radius, 1.6 * POINTS_PER_MM)
        canvas.setLineWidth(0.2 * POINTS_PER_MM)
        canvas.line(x - reach, y, x + reach, y)
        canvas.line(x, y - reach, x, y + reach)
    elif disc.role == "pin":
        canvas.setFillGray(0)
        for start in (0, 180):
            canvas.wedge(x - radius, y - radius, x + radius, y + radius, start, 90, stroke=0, fill=1)
