"""The hanging sign of Gannet & Thrum, ship's chandlers at Ottermere Quay. Inches, DXF."""

import math
from pathlib import Path

from curves import Arc, Edge, Point, mirrored, star
from dxf import Sheet
from lettering import Lettering, centered

WIDTH = 36.0
ARCH = 25.0
"""Where the top of the arch is, from the left edge as read from side A."""


def draw(fonts: Path, folder: Path) -> None:
    """Writes face.dxf."""
    sheet = Sheet()
    sheet.edges("OUTLINE", outline())
    sheet.edges("OUTLINE-B", mirrored(outline(), WIDTH))
    sheet.edges("BORDER-A", outline(0.6))
    sheet.edges("BORDER-B", mirrored(outline(0.6), WIDTH))
    sheet.polyline("GROUND", scooped((1.75, 1.75), (34.25, 16.75), 1.25))
    sheet.polyline("GROUND", ribbon((3.5, 2.75), (32.5, 5.35), 0.8))
    bold = Lettering(fonts / "cinzel-latin-900-normal.woff")
    sheet.curves("LETTERS", centered(bold.line("GANNET", cap=3.5, tracking=0.32), x=18, baseline=11.9))
    sheet.curves("LETTERS", centered(bold.line("& THRUM", cap=3.5, tracking=0.32), x=18, baseline=6.95))
    medium = Lettering(fonts / "cinzel-latin-700-normal.woff")
    line = medium.line("ROPE · CANVAS · LAMPS", cap=1.2, tracking=0.16)
    sheet.chords("SMALL TEXT", centered(line, x=18, baseline=3.45))
    for x in (5.1, WIDTH - 5.1):
        for y in (3.45, 4.65):
            sheet.circle("EYELETS", (x, y), 0.375)
    for side, x in (("A", ARCH - 1.5), ("B", WIDTH - ARCH + 1.5)):
        sheet.circle(f"ROUNDEL-{side}", (x, 20.2), 5.0)
        sheet.polyline(f"STAR-{side}", star((x, 20.2), 2.1, 0.62, 1.35, 0.62))
    sheet.save(folder / "face.dxf")


def outline(inset: float = 0.0) -> tuple[Edge, ...]:
    """The edge of the sign, or a line at the same distance inside it all round.

    A shoulder on the left, a cove, then an arch that falls to a high corner on the right.
    """
    corner, cove = 1.5, 2.0
    # 1. The arch touches y = 24 at ARCH and passes through the upper end of the cove at (12, 20.5).
    radius = ((12 - ARCH) ** 2 + 3.5**2) / (2 * 3.5)
    middle: Point = (ARCH, 24 - radius)
    # 2. A fillet joins the arch to the right side.
    x = WIDTH - corner
    fillet: Point = (x, middle[1] + math.sqrt((radius - corner) ** 2 - (x - ARCH) ** 2))
    turn = math.degrees(math.atan2(fillet[1] - middle[1], fillet[0] - middle[0]))
    # 3. Inside, the cove grows and the arch shrinks: they meet where the two circles cross.
    point = _crossing((10.0, 20.5), cove + inset, middle, radius - inset)
    on_cove = math.degrees(math.atan2(point[1] - 20.5, point[0] - 10))
    on_arch = math.degrees(math.atan2(point[1] - middle[1], point[0] - middle[0]))
    low, left, right, shoulder = inset, inset, WIDTH - inset, 18.5 - inset
    return (
        ((corner, low), (WIDTH - corner, low)),
        Arc(center=(x, corner), radius=corner - inset, start=270, end=360),
        ((right, corner), (right, fillet[1])),
        Arc(center=fillet, radius=corner - inset, start=0, end=turn),
        Arc(center=middle, radius=radius - inset, start=turn, end=on_arch),
        Arc(center=(10.0, 20.5), radius=cove + inset, start=270, end=360 + on_cove),
        ((10.0, shoulder), (corner, shoulder)),
        Arc(center=(corner, 18.5 - corner), radius=corner - inset, start=90, end=180),
        ((left, 18.5 - corner), (left, corner)),
        Arc(center=(corner, corner), radius=corner - inset, start=180, end=270),
    )


def scooped(low: Point, high: Point, scoop: float) -> list[tuple[float, float, float]]:
    """A rectangle whose corners are scooped out by quarter circles; corners with their bulges."""
    hollow = -math.tan(math.radians(90) / 4)
    (left, bottom), (right, top) = low, high
    return [
        (left + scoop, bottom, 0),
        (right - scoop, bottom, hollow),
        (right, bottom + scoop, 0),
        (right, top - scoop, hollow),
        (right - scoop, top, 0),
        (left + scoop, top, hollow),
        (left, top - scoop, 0),
        (left, bottom + scoop, hollow),
    ]


def ribbon(low: Point, high: Point, notch: float) -> list[Point]:
    """A strip of canvas with a swallowtail at each end."""
    middle = (low[1] + high[1]) / 2
    return [
        low,
        (high[0], low[1]),
        (high[0] - notch, middle),
        high,
        (low[0], high[1]),
        (low[0] + notch, middle),
    ]


def _crossing(first: Point, one: float, second: Point, other: float) -> Point:
    """Upper crossing of two circles."""
    dx, dy = second[0] - first[0], second[1] - first[1]
    apart = math.hypot(dx, dy)
    along = (one**2 - other**2 + apart**2) / (2 * apart)
    aside = math.sqrt(one**2 - along**2)
    ways = [
        (
            first[0] + (along * dx + sign * aside * -dy) / apart,
            first[1] + (along * dy + sign * aside * dx) / apart,
        )
        for sign in (1, -1)
    ]
    return max(ways, key=lambda point: point[1])
