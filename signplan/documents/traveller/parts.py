"""Pieces that several sheets are made of."""

from collections.abc import Sequence

from signplan.documents.sheet import Pen, Space, paragraph
from signplan.documents.tables import Column, table


def heading(pen: Pen, space: Space, text: str, *, size: float = 13.0) -> Space:
    """A heading with a rule under it; the space that is left."""
    pen.fitted(space.x, space.y + 5.0, text, space.width, size=size)
    pen.line((space.x, space.y + 7.0), (space.right, space.y + 7.0), width=0.5)
    return space.below(9.5)


def facts(pen: Pen, space: Space, rows: Sequence[tuple[str, str]], *, size: float = 12.0) -> Space:
    """Small labels, each over the large value that it names."""
    for label, value in rows:
        pen.text(space.x, space.y + 3.2, label, size=9)
        used = pen.flow(paragraph(value, size, bold=True), space.x, space.y + 4.4, space.width)
        space = space.below(used + 6.4)
    return space


def words(pen: Pen, space: Space, text: str, *, size: float = 10.0, bold: bool = False) -> Space:
    """A paragraph; the space that is left."""
    return space.below(pen.flow(paragraph(text, size, bold=bold), space.x, space.y, space.width) + 2.0)


def ticks(pen: Pen, space: Space, lines: Sequence[str], *, size: float = 11.0) -> Space:
    """Lines with a box to tick before each."""
    for line in lines:
        used = pen.flow(paragraph(line, size), space.x + 9, space.y, space.width - 9)
        high = max(used, 5.4)
        pen.tick_box(space.x + 0.5, space.y + 0.4, line)
        space = space.below(high + 2.6)
    return space


def fields(pen: Pen, space: Space, labels: Sequence[str], *, size: float = 10.0, step: float = 10.0) -> Space:
    """Labels, each with a line to write on."""
    for label in labels:
        pen.field(space.x, space.y + step - 3.0, label, space.width, size=size)
        space = space.below(step)
    return space


def listed(
    pen: Pen, space: Space, columns: Sequence[Column], rows: Sequence[Sequence[str]], *, size: float = 10.0
) -> Space:
    """A table set whole; the space that is left."""
    return space.below(
        pen.flow(table(columns, rows, space.width, size=size), space.x, space.y, space.width) + 3.0
    )
