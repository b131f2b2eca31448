"""The sign of Quillbeck Library: an open book under an arch, on a bracket from the wall. Inches, DXF."""

from pathlib import Path

from curves import Arc, Edge, Point
from dxf import Sheet
from lettering import Lettering, centered

WIDTH, SPRING = 18.0, 14.0
"""Width of the sign, and height of the line from which its round arch springs."""

LEAF: tuple[Point, ...] = ((0.2, 0.0), (2.0, 0.55), (4.2, 0.45), (4.2, 3.75), (2.0, 3.85), (0.2, 3.3))
"""The right leaf of the book, from the foot of its spine."""


def draw(fonts: Path, folder: Path) -> None:
    """Writes face.dxf."""
    sheet = Sheet()
    sheet.edges("OUTLINE", arch())
    sheet.edges("BORDER", arch(0.7))
    spine = (WIDTH / 2, 15.6)
    for turn in (1, -1):
        sheet.polyline("BOOK", [(spine[0] + turn * x, spine[1] + y) for x, y in LEAF])
    heavy = Lettering(fonts / "rokkitt-latin-800-normal.woff")
    medium = Lettering(fonts / "rokkitt-latin-600-normal.woff")
    sheet.chords("NAME", centered(heavy.line("QUILLBECK", cap=1.5, tracking=0.06), x=WIDTH / 2, baseline=8.6))
    sheet.chords("NAME", centered(heavy.line("LIBRARY", cap=1.5, tracking=0.2), x=WIDTH / 2, baseline=5.4))
    line = medium.line("OPEN TO ALL", cap=1.0, tracking=0.16)
    sheet.chords("NAME", centered(line, x=WIDTH / 2, baseline=2.6))
    sheet.save(folder / "face.dxf")


def arch(inset: float = 0.0) -> tuple[Edge, ...]:
    """The edge of the sign, or a line inside it all round."""
    low, left, right = inset, inset, WIDTH - inset
    return (
        ((left, low), (right, low)),
        ((right, low), (right, SPRING)),
        Arc(center=(WIDTH / 2, SPRING), radius=WIDTH / 2 - inset, start=0, end=180),
        ((left, SPRING), (left, low)),
    )
