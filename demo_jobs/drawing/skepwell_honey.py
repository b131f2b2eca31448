"""The hanging sign of Skepwell Honey: a straw hive carved from a picture of heights. Inches, DXF and PNG."""

import math
from pathlib import Path

import numpy as np
from curves import Arc, Edge
from dxf import Sheet
from lettering import Lettering, centered
from PIL import Image

WIDTH, HEIGHT = 20.0, 24.0
CORNER = 5.0
"""Radius of the lower corners."""

HIVE = (7.0, 11.5, 13.0, 18.5)
"""Left, bottom, right and top of the sunk panel that the hive stands in."""

PIXELS_PER_INCH = 40
COILS = 9
"""Rings of straw, from the foot to the crown."""


def draw(fonts: Path, folder: Path) -> None:
    """Writes face.dxf and hive.png."""
    sheet = Sheet()
    sheet.edges("OUTLINE", outline())
    sheet.edges("BORDER", outline(0.7))
    left, bottom, right, top = HIVE
    sheet.polyline("HIVE", [(left, bottom), (right, bottom), (right, top), (left, top)])
    bold = Lettering(fonts / "cinzel-latin-900-normal.woff")
    medium = Lettering(fonts / "cinzel-latin-700-normal.woff")
    sheet.chords("NAME", centered(bold.line("SKEPWELL", cap=1.9, tracking=0.12), x=WIDTH / 2, baseline=7.6))
    sheet.chords("NAME", centered(bold.line("HONEY", cap=1.5, tracking=0.3), x=WIDTH / 2, baseline=5.2))
    sheet.chords("NAME", centered(medium.line("AND WAX", cap=1.1, tracking=0.2), x=WIDTH / 2, baseline=3.2))
    sheet.save(folder / "face.dxf")
    heights = np.rint(hive() * 255).astype(np.uint8)
    Image.fromarray(heights, mode="L").save(folder / "hive.png", optimize=True)


def outline(inset: float = 0.0) -> tuple[Edge, ...]:
    """The edge of the sign: square above, round corners below; or a line inside it all round."""
    low, left, right, high = inset, inset, WIDTH - inset, HEIGHT - inset
    radius = CORNER - inset
    return (
        ((CORNER, low), (WIDTH - CORNER, low)),
        Arc(center=(WIDTH - CORNER, CORNER), radius=radius, start=270, end=360),
        ((right, CORNER), (right, high)),
        ((right, high), (left, high)),
        ((left, high), (left, CORNER)),
        Arc(center=(CORNER, CORNER), radius=radius, start=180, end=270),
    )


def hive() -> np.ndarray:
    """Heights of the sunk panel, row 0 at its top: 0 at the bottom of the panel, 1 at the face.

    A straw hive is a dome of coils: at every height a half ellipse, fuller at the middle of each coil, with
    a door at its foot.
    """
    left, bottom, right, top = HIVE
    width, height = right - left, top - bottom
    columns, rows = round(width * PIXELS_PER_INCH), round(height * PIXELS_PER_INCH)
    x = (np.arange(columns) + 0.5) / columns * width - width / 2
    y = height - (np.arange(rows) + 0.5)[:, None] / rows * height
    foot, crown = 0.5, 6.5
    share = (y - foot) / (crown - foot)
    inside = (share > 0) & (share < 1)
    coil = np.abs(np.sin(math.pi * COILS * np.clip(share, 0, 1)))
    bulge = np.clip(1 - np.clip(share, 0, 1) ** 2.6, 0, 1) ** 0.5
    radius = 2.5 * bulge * (0.94 + 0.06 * coil)
    across = np.clip(1 - (x / np.maximum(radius, 1e-9)) ** 2, 0, 1)
    dome = np.where(inside, np.sqrt(across) * bulge * (0.82 + 0.18 * coil), 0)
    door = (x / 0.65) ** 2 + ((y - foot) / 0.95) ** 2 < 1
    return np.where(door, 0.15 * dome, dome)
