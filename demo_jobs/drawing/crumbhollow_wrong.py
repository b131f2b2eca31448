"""The sign of Crumbhollow Bakery, with mistakes in the drawing too. Inches, DXF."""

from pathlib import Path

from curves import Point, moved, star
from dxf import Sheet
from lettering import Lettering, centered

CLIPPED: list[Point] = [(0, 0), (24, 0), (24, 18), (4, 18), (0, 14)]


def draw(fonts: Path, folder: Path) -> None:
    """Writes face.dxf."""
    sheet = Sheet()
    sheet.polyline("OUTLINE", CLIPPED)
    sheet.polyline("OUTLINE-B", CLIPPED)
    heavy = Lettering(fonts / "rokkitt-latin-800-normal.woff")
    sheet.curves("NAME", moved(heavy.line("CRUMBHOLLOW", cap=1.75, tracking=0.08), by=(1.5, 11.8)))
    small = Lettering(fonts / "rokkitt-latin-600-normal.woff")
    sheet.curves("WARES", centered(small.line("BREAD · PIES · BUNS", cap=0.5), x=12, baseline=9.2))
    sheet.polyline("SUNK SQUARE", [(3, 2.5), (7, 2.5), (7, 6.5), (3, 6.5)])
    sheet.polyline("STAR", star((19.5, 4.5), 2, 1, points=5), close=False)
    sheet.save(folder / "face.dxf")
