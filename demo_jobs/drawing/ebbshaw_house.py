"""The oval sign of Ebbshaw House, guest rooms: letters cut with a vee, hung by a plate. Inches, DXF."""

from pathlib import Path

from curves import Point
from dxf import Sheet
from lettering import Lettering, centered

WIDTH, HEIGHT = 28.0, 17.0
MIDDLE: Point = (WIDTH / 2, HEIGHT / 2)

PLATE: tuple[Point, ...] = (
    (9.0, 11.25),
    (19.0, 11.25),
    (19.0, 12.5),
    (15.0, 12.5),
    (15.0, 19.5),
    (13.0, 19.5),
    (13.0, 12.5),
    (9.0, 12.5),
)
"""A bar with a strap welded to its middle: a tee, its foot inside the sign and its stem above the edge."""


def draw(fonts: Path, folder: Path) -> None:
    """Writes face.dxf."""
    sheet = Sheet()
    sheet.ellipse("OUTLINE", MIDDLE, WIDTH / 2, HEIGHT / 2)
    sheet.ellipse("RIM", MIDDLE, WIDTH / 2 - 0.75, HEIGHT / 2 - 0.75)
    bold = Lettering(fonts / "cinzel-latin-700-normal.woff")
    sheet.chords("NAME", centered(bold.line("EBBSHAW", cap=2.6, tracking=0.25), x=MIDDLE[0], baseline=9.0))
    sheet.chords("NAME", centered(bold.line("HOUSE", cap=1.9, tracking=0.4), x=MIDDLE[0], baseline=5.9))
    medium = Lettering(fonts / "rokkitt-latin-600-normal.woff")
    for side, words in (("A", "GUEST ROOMS"), ("B", "SEA AT THE DOOR")):
        line = medium.line(words, cap=0.9, tracking=0.15)
        sheet.chords(f"WORDS-{side}", centered(line, x=MIDDLE[0], baseline=3.4))
    sheet.polyline("PLATE", PLATE)
    sheet.circle("PLATE", (14.0, 18.75), 0.5)
    sheet.save(folder / "face.dxf")
