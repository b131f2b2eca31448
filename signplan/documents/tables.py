"""Tables of a sheet: ruled, with a repeated heading, cut into pieces where a page ends.

Knows reportlab, and nothing of signs. What fits on one line is set as it is; only the rest is wrapped.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, cast

from reportlab.platypus import Flowable, Table

from signplan.documents.fillable import Fillable
from signplan.documents.ink import POINTS_PER_MM
from signplan.documents.sheet import (
    BOLD,
    LEADING,
    PLAIN,
    SMALLEST,
    Align,
    paragraph,
    printable,
    width_of,
)

SIDES = 4.2
"""Space left and right in a cell, points."""


class Tick(Flowable):
    """An empty box to tick, big enough for a pencil in a glove; `says` is for who hears it instead."""

    canv: Fillable

    def __init__(self, says: str, size: float = 5.0) -> None:
        super().__init__()
        self.says = says
        self.width = self.height = size * POINTS_PER_MM

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  (reportlab's names)
        return self.width, self.height

    def draw(self) -> None:
        self.canv.tick_box(*self.canv.absolutePosition(0, 0), self.width, self.says)


class Entry(Flowable):
    """A plain box to write in, as wide as its column and `height` mm high."""

    canv: Fillable

    def __init__(self, says: str, height: float = 5.0) -> None:
        super().__init__()
        self.says = says
        self.width, self.height = 0.0, height * POINTS_PER_MM

    def wrap(self, aW: float, aH: float) -> tuple[float, float]:  # noqa: N803  (reportlab's names)
        self.width = aW
        return aW, self.height

    def draw(self) -> None:
        self.canv.setLineWidth(0.2 * POINTS_PER_MM)
        self.canv.setStrokeGray(0.45)
        self.canv.rect(0, 0, self.width, self.height)
        self.canv.entry(*self.canv.absolutePosition(0, 0), self.width, self.height, self.says)


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: its heading, its share of the width, and how its text stands."""

    title: str
    share: float
    align: Align = "left"
    bold: bool = False


Cell = str | Flowable


def table(
    columns: Sequence[Column],
    rows: Sequence[Sequence[Cell]],
    width: float,
    *,
    size: float = 10.0,
    row_height: float = 0.0,
    bands: frozenset[int] = frozenset(),
) -> Table:
    """A ruled table with a repeated heading. Rows in `bands` are one cell across, bold on grey, and never
    parted from the row after them; the last of all from the row before it.

    `width` and the least `row_height` in mm.
    """
    whole = sum(column.share for column in columns)
    widths = [column.share / whole * width * POINTS_PER_MM for column in columns]
    small = max(SMALLEST, size - 1.5)
    head = [_cell(c.title, w, small, bold=True, align=c.align) for c, w in zip(columns, widths, strict=True)]
    body = [_row(columns, widths, row, size, band=k in bands) for k, row in enumerate(rows)]
    pad = size * 0.28
    style: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ("LEFTPADDING", (0, 0), (-1, -1), SIDES),
        ("RIGHTPADDING", (0, 0), (-1, -1), SIDES),
        ("TOPPADDING", (0, 0), (-1, -1), pad),
        ("BOTTOMPADDING", (0, 0), (-1, -1), pad + 0.12 * size),
        ("LINEBELOW", (0, 0), (-1, 0), 1.6, (0, 0, 0)),
        ("LINEBELOW", (0, 1), (-1, -1), 0.5, (0.45, 0.45, 0.45)),
        ("FONT", (0, 0), (-1, 0), BOLD, small, small * LEADING),
        ("FONT", (0, 1), (-1, -1), PLAIN, size, size * LEADING),
    ]
    for k, column in enumerate(columns):
        style.append(("ALIGN", (k, 0), (k, -1), column.align.upper()))
        style += [("FONTNAME", (k, 1), (k, -1), BOLD)] if column.bold else []
    for k in sorted(bands):
        style += [
            ("SPAN", (0, k + 1), (-1, k + 1)),
            ("FONTNAME", (0, k + 1), (-1, k + 1), BOLD),
            ("ALIGN", (0, k + 1), (-1, k + 1), "LEFT"),
            ("BACKGROUND", (0, k + 1), (-1, k + 1), (0.87, 0.87, 0.87)),
            ("NOSPLIT", (0, min(k + 1, len(rows) - 1)), (-1, min(k + 2, len(rows)))),
        ]
    heights = [None] + [_least(row, widths, row_height, size) for row in body] if row_height else None
    return Table([head, *body], colWidths=widths, rowHeights=heights, repeatRows=1, style=cast(Any, style))


def _row(
    columns: Sequence[Column], widths: Sequence[float], row: Sequence[Cell], size: float, *, band: bool
) -> list[Cell]:
    if band:
        return [_cell(str(row[0]), sum(widths), size, bold=True), *[""] * (len(columns) - 1)]
    return [
        _cell(cell, width, size, bold=column.bold, align=column.align) if isinstance(cell, str) else cell
        for column, width, cell in zip(columns, widths, row, strict=True)
    ]


def _cell(text: str, width: float, size: float, *, bold: bool = False, align: Align = "left") -> Cell:
    """The text itself where it fits a cell that is `width` points wide, else a paragraph."""
    room = (width - 2 * SIDES) / POINTS_PER_MM
    if "\n" not in text and width_of(text, size, bold=bold) <= room:
        return printable(text)
    return paragraph(text, size, bold=bold, align=align)


def _least(row: Sequence[Cell], widths: Sequence[float], least: float, size: float) -> float:
    """Height of a row, points: `least` mm, or what its cells need."""
    whole, pad = sum(widths), size * 0.28
    spanned = all(cell == "" for cell in row[1:])
    heights = [
        cell.wrap((whole if spanned else width) - 2 * SIDES, 1e6)[1]
        for cell, width in zip(row, widths, strict=True)
        if isinstance(cell, Flowable)
    ]
    return max(least * POINTS_PER_MM, max([*heights, size * LEADING]) + 2 * pad + 2)


def height_of(flowable: Flowable, width: float) -> float:
    """How high a table or paragraph comes out at a width, mm."""
    return float(flowable.wrap(width * POINTS_PER_MM, 1e6)[1]) / POINTS_PER_MM


def paged(whole: Table, width: float, heights: Iterator[float]) -> Iterator[Table | None]:
    """The table cut into pieces for spaces of those heights, mm, one after another.

    None for a space that is too low for its first row; a row higher than every space is set all the same.
    """
    rest, passed = whole, False
    while height_of(rest, width) > (space := next(heights)):
        pieces = rest.split(width * POINTS_PER_MM, space * POINTS_PER_MM)
        if len(pieces) == 2:
            first, rest = cast(list[Table], pieces)
            yield first
        elif passed:
            break
        else:
            yield None
        passed = len(pieces) != 2
    yield rest
