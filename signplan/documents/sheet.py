"""The page: paper, fonts, frame, and a pen that works in millimetres from the top left corner.

Knows reportlab, and nothing of signs. Text is never under 8 pt.
"""

import html
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Literal, cast

from reportlab.lib.styles import ParagraphStyle
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable, Paragraph

from signplan.documents.drawing import Drawing
from signplan.documents.fillable import Fillable
from signplan.documents.ink import POINTS_PER_MM, Spot, play
from signplan.errors import SignplanError

Align = Literal["left", "center", "right"]
PLAIN, BOLD = "DejaVu Sans", "DejaVu Sans Bold"
SMALLEST = 8.0
"""Points; nothing on a sheet is smaller."""

AROUND = 800
"""Points round a drawing's box that a stamp still shows: a page."""

ENTRY = 6.0
"""Height of a line to fill in, mm."""

LEADING = 1.22
"""From baseline to baseline, in sizes of the type."""

_ALIGN: dict[Align, Literal[0, 1, 2]] = {"left": 0, "center": 1, "right": 2}
_FILES = {PLAIN: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet lying on its long side, mm."""

    width: float
    height: float


PAPERS = {"letter": Paper(279.4, 215.9), "a4": Paper(297.0, 210.0)}


def paper_named(name: str) -> Paper:
    """The paper of a name, "letter" or "a4".

    Raises:
        SignplanError: there is no such paper.
    """
    try:
        return PAPERS[name.lower()]
    except KeyError:
        raise SignplanError(f"unknown paper '{name}'; use {' or '.join(PAPERS)}") from None


@dataclass(frozen=True, slots=True)
class Space:
    """A place on a page, mm from its top left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height

    def below(self, used: float) -> "Space":
        """What is left under a strip of that height."""
        return Space(self.x, self.y + used, self.width, self.height - used)

    def columns(self, *shares: float, gap: float = 6.0) -> tuple["Space", ...]:
        """Side by side, with widths in proportion to the shares."""
        room = self.width - gap * (len(shares) - 1)
        widths = [room * share / sum(shares) for share in shares]
        return tuple(
            Space(self.x + sum(widths[:k]) + gap * k, self.y, width, self.height)
            for k, width in enumerate(widths)
        )


def register_fonts() -> None:
    """Make the embedded fonts known to reportlab; once is enough."""
    if PLAIN in pdfmetrics.getRegisteredFontNames():
        return
    folder = resources.files("signplan.documents") / "fonts"
    for name, file in _FILES.items():
        with resources.as_file(folder / file) as path:
            pdfmetrics.registerFont(TTFont(name, path))
    pdfmetrics.registerFontFamily(PLAIN, normal=PLAIN, bold=BOLD, italic=PLAIN, boldItalic=BOLD)


MISSING = "□"
"""Stands for a character that the embedded fonts do not have."""


def printable(text: str) -> str:
    """The text with a box for every character that would vanish in print.

    >>> register_fonts()
    >>> printable("Łódź 木 1")
    'Łódź □ 1'
    """
    if text.isascii():
        return text
    known = cast(Any, pdfmetrics.getFont(BOLD)).face.charToGlyph
    return "".join(each if each == "\n" or ord(each) in known else MISSING for each in text)


def width_of(text: str, size: float, *, bold: bool = False) -> float:
    """Width of a text, mm."""
    return _width(text, BOLD if bold else PLAIN) * size / POINTS_PER_MM


@lru_cache(maxsize=4096)
def _width(text: str, font: str) -> float:
    """Width of a text a point high, points."""
    return float(pdfmetrics.stringWidth(printable(text), font, 1))


def paragraph(text: str, size: float = 10.0, *, bold: bool = False, align: Align = "left") -> Paragraph:
    """Text that wraps; characters of a markup language are only characters."""
    style = ParagraphStyle(
        name="",
        fontName=BOLD if bold else PLAIN,
        fontSize=size,
        leading=size * LEADING,
        alignment=_ALIGN[align],
        splitLongWords=True,
    )
    return Paragraph(html.escape(printable(text)).replace("\n", "<br/>"), style)


class Pen:
    """Draws on one canvas in millimetres from the top left corner of the page; y runs down."""

    def __init__(self, canvas: Fillable, paper: Paper) -> None:
        self.canvas, self.paper = canvas, paper

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Canvas points of a place on the page."""
        return x * POINTS_PER_MM, (self.paper.height - y) * POINTS_PER_MM

    def text(
        self, x: float, y: float, text: str, *, size: float = 10.0, bold: bool = False, align: Align = "left"
    ) -> None:
        """One line of text on a baseline."""
        shift = {"left": 0.0, "center": 0.5, "right": 1.0}[align] * width_of(text, size, bold=bold)
        self.canvas.setFillGray(0)
        self.canvas.setFont(BOLD if bold else PLAIN, size)
        self.canvas.drawString(*self.point(x - shift, y), printable(text))

    def fitted(
        self,
        x: float,
        y: float,
        text: str,
        width: float,
        *,
        size: float,
        bold: bool = True,
        least: float = SMALLEST,
        align: Align = "left",
    ) -> None:
        """One line, made smaller (down to `least`), then shortened, to stay within a width."""
        while size > least and width_of(text, size, bold=bold) > width:
            size = max(least, size - 0.5)
        while len(text) > 1 and width_of(text, size, bold=bold) > width:
            text = text.rstrip("…")[:-1] + "…"
        self.text(x, y, text, size=size, bold=bold, align=align)

    def upright(self, x: float, y: float, text: str, *, size: float = SMALLEST, bold: bool = False) -> None:
        """One line read from the right, ending at (x, y) at its top; x is its baseline."""
        self.canvas.saveState()
        self.canvas.translate(*self.point(x, y))
        self.canvas.rotate(90)
        self.canvas.setFillGray(0)
        self.canvas.setFont(BOLD if bold else PLAIN, size)
        self.canvas.drawRightString(0, 0, printable(text))
        self.canvas.restoreState()

    def line(
        self,
        start: tuple[float, float],
        end: tuple[float, float],
        *,
        width: float = 0.3,
        dash: Sequence[float] = (),
    ) -> None:
        """A straight line."""
        self._stroke(width, dash)
        self.canvas.line(*self.point(*start), *self.point(*end))

    def path(
        self, points: Sequence[tuple[float, float]], *, width: float = 0.3, dash: Sequence[float] = ()
    ) -> None:
        """A line through several points."""
        self._stroke(width, dash)
        path = self.canvas.beginPath()
        path.moveTo(*self.point(*points[0]))
        for point in points[1:]:
            path.lineTo(*self.point(*point))
        self.canvas.drawPath(path)

    def solid(self, points: Sequence[tuple[float, float]]) -> None:
        """A filled black polygon, such as the head of an arrow."""
        self.canvas.setFillGray(0)
        path = self.canvas.beginPath()
        path.moveTo(*self.point(*points[0]))
        for point in points[1:]:
            path.lineTo(*self.point(*point))
        path.close()
        self.canvas.drawPath(path, stroke=0, fill=1)

    def box(self, space: Space, *, width: float = 0.3, fill: float | None = None) -> None:
        """A rectangle; `fill` is a grey."""
        self._stroke(width, ())
        if fill is not None:
            self.canvas.setFillGray(fill)
        x, y = self.point(space.x, space.bottom)
        size = space.width * POINTS_PER_MM, space.height * POINTS_PER_MM
        self.canvas.rect(x, y, *size, stroke=int(width > 0), fill=int(fill is not None))

    def blocks(self, spaces: Iterable[Space]) -> None:
        """Black rectangles."""
        path = self.canvas.beginPath()
        for each in spaces:
            size = each.width * POINTS_PER_MM, each.height * POINTS_PER_MM
            path.rect(*self.point(each.x, each.bottom), *size)
        self.canvas.setFillGray(0)
        self.canvas.drawPath(path, stroke=0, fill=1)

    def circle(
        self,
        at: tuple[float, float],
        radius: float,
        *,
        width: float = 0.3,
        fill: float | None = None,
        dash: Sequence[float] = (),
    ) -> None:
        """A circle round a place."""
        self._stroke(width, dash)
        if fill is not None:
            self.canvas.setFillGray(fill)
        self.canvas.circle(*self.point(*at), radius * POINTS_PER_MM, stroke=1, fill=int(fill is not None))

    def field(
        self, x: float, y: float, label: str, width: float, *, size: float = 9.0, says: str = ""
    ) -> None:
        """A label and a line to write on, `width` mm together; `says` more than the label to who hears it."""
        self.text(x, y, label, size=size)
        start = x + width_of(label, size) + 1.5
        self.line((start, y + 0.8), (x + width, y + 0.8), width=0.25)
        low = self.point(start, y + 0.8)
        self.canvas.entry(*low, (x + width - start) * POINTS_PER_MM, ENTRY * POINTS_PER_MM, says or label)

    def tick_box(self, x: float, y: float, says: str, *, size: float = 5.0) -> None:
        """A box to tick, with its top left corner at (x, y)."""
        self.canvas.tick_box(*self.point(x, y + size), size * POINTS_PER_MM, says)

    def flow(self, flowable: Flowable, x: float, y: float, width: float) -> float:
        """Set a table or paragraph with its top at y; its height, mm."""
        _, high = flowable.wrapOn(self.canvas, width * POINTS_PER_MM, 1e6)
        left, top = self.point(x, y)
        self.canvas.setFillGray(0)
        flowable.drawOn(self.canvas, left, top - high)
        return float(high) / POINTS_PER_MM

    def draw(self, drawing: Drawing, space: Space, *, align: Align = "center", scale: float = 0.0) -> Spot:
        """Play a drawing into a space, as large as it fits unless `scale` (paper mm per mm) says how large.

        What reaches out of the drawing's box is cut off a pen's width outside it.
        """
        scale = scale or drawing.scale_to(space.width, space.height)
        wide, high = drawing.width * scale, drawing.height * scale
        left = space.x + (space.width - wide) * {"left": 0.0, "center": 0.5, "right": 1.0}[align]
        bottom = space.y + (space.height + high) / 2
        x0, y0 = self.point(left, bottom)
        k = scale * POINTS_PER_MM
        spot = Spot(x0 - drawing.box[0] * k, y0 - drawing.box[1] * k, k)
        self.canvas.saveState()
        path = self.canvas.beginPath()
        path.rect(x0 - 2, y0 - 2, wide * POINTS_PER_MM + 4, high * POINTS_PER_MM + 4)
        self.canvas.clipPath(path, stroke=0, fill=0)
        play(self.canvas, drawing, spot)
        self.canvas.restoreState()
        return spot

    def stamp(self, drawing: Drawing, name: str, spot: Spot, space: Space) -> None:
        """A part of a drawing in hairlines, cut off at the edges of a space.

        It goes into the file once, by its name; every other part of it, on any page, only refers to that.
        """
        canvas = self.canvas
        if not canvas.hasForm(name):
            x0, y0, x1, y1 = (round(edge * spot.scale) for edge in drawing.box)
            canvas.beginForm(name, x0 - AROUND, y0 - AROUND, x1 + AROUND, y1 + AROUND)
            play(canvas, drawing, Spot(0, 0, spot.scale), thin=True)
            canvas.endForm()
        canvas.saveState()
        path = canvas.beginPath()
        size = space.width * POINTS_PER_MM, space.height * POINTS_PER_MM
        path.rect(*self.point(space.x, space.bottom), *size)
        canvas.clipPath(path, stroke=0, fill=0)
        canvas.translate(spot.x, spot.y)
        canvas.doForm(name)
        canvas.restoreState()

    def on_page(self, spot: Spot, x: float, y: float) -> tuple[float, float]:
        """Page millimetres of a place in a drawing."""
        px, py = spot.at(x, y)
        return px / POINTS_PER_MM, self.paper.height - py / POINTS_PER_MM

    def _stroke(self, width: float, dash: Sequence[float]) -> None:
        self.canvas.setLineWidth(width * POINTS_PER_MM)
        self.canvas.setDash([each * POINTS_PER_MM for each in dash])
        self.canvas.setStrokeGray(0)


@dataclass(frozen=True, kw_only=True, slots=True)
class Page:
    """One page before its number is known: what it says in its frame, and how its content is drawn.

    `chapter`: the name of the bookmark that starts here; "" for a page that continues.
    """

    title: str
    subtitle: str
    draw: Callable[[Pen, Space], None]
    setup: str = ""
    chapter: str = ""
