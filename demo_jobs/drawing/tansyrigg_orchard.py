"""The gate sign of Tansyrigg Orchard: other words on each side. Millimetres, SVG."""

from collections.abc import Callable
from pathlib import Path

from curves import Contour, Point, bounds
from lettering import Lettering
from svg import Page

WIDTH, HEIGHT = 900.0, 600.0


def draw(fonts: Path, folder: Path) -> None:
    """Writes face-a.svg and face-b.svg."""
    heavy = Lettering(fonts / "rokkitt-latin-800-normal.woff")
    medium = Lettering(fonts / "rokkitt-latin-600-normal.woff")

    front = _page("Tansyrigg Orchard, side A", flip=False)
    _row(front, "letters", heavy, "TANSYRIGG", cap=76, at=(450, 331), tracking=4)
    _row(front, "letters", heavy, "ORCHARD", cap=76, at=(450, 207), tracking=12)
    _row(front, "text", medium, "APPLES · CIDER · HONEY", cap=34, at=(450, 67), tracking=3)
    front.circle("letters", (766, 494), 60)
    for part in (APPLE, APPLE_LEAF):
        front.path("apple", _data(part, (766, 489)))
    front.save(folder / "face-a.svg")

    back = _page("Tansyrigg Orchard, side B", flip=True)
    _row(back, "letters", heavy, "MIND THE", cap=76, at=(450, 331), tracking=9)
    _row(back, "letters", heavy, "GEESE", cap=76, at=(450, 207), tracking=14)
    _row(back, "text", medium, "AND SHUT THE GATE", cap=34, at=(450, 67), tracking=6)
    back.circle("letters", (134, 494), 60)
    for part in (UPPER_LEAF, LOWER_LEAF):
        back.path("leaf", _data(part, (134, 494)))
    back.save(folder / "face-b.svg")


APPLE = (
    "M0 20 C10 31 37 30 37 4 C37 -18 19 -36 7 -35 C2 -34 -2 -34 -7 -35 "
    "C-19 -36 -37 -18 -37 4 C-37 30 -10 31 0 20 Z"
)
APPLE_LEAF = "M4 29 C5 42 17 48 30 43 C28 31 17 25 4 29 Z"
UPPER_LEAF = "M-33 -27 C-40 10 -10 38 34 36 C14 18 -12 -8 -33 -27 Z"
LOWER_LEAF = "M-27 -33 C10 -40 38 -10 36 34 C18 14 -8 -12 -27 -33 Z"

OUTLINE = (
    "M30 0 L870 0 C887 0 900 13 900 30 L900 560 C900 582 882 600 860 600 L640 600 "
    "C520 600 480 490 340 490 L40 490 C18 490 0 472 0 450 L0 30 C0 13 13 0 30 0 Z"
)
GROUND = (
    "M44 160 L856 160 C864 160 870 166 870 174 L870 556 C870 564 864 570 856 570 L640 570 "
    "C534 570 494 460 340 460 L44 460 C36 460 30 454 30 446 L30 174 C30 166 36 160 44 160 Z"
)


def _page(title: str, *, flip: bool) -> Page:
    page = Page(WIDTH, HEIGHT, title)
    page.path("outline", _flipped(OUTLINE) if flip else OUTLINE)
    page.path("ground", _flipped(GROUND) if flip else GROUND)
    page.frame("frame", (32, 32), (836, 104), 14)
    return page


def _row(
    page: Page, layer: str, font: Lettering, text: str, *, cap: float, at: Point, tracking: float
) -> None:
    """A line of text centred on `at`, in font units on its own transform, as drawing programs leave it."""
    unit = cap / 1000
    contours: tuple[Contour, ...] = font.line(text, cap=1000, tracking=tracking / unit)
    width = bounds(contours)[2] * unit
    page.letters(layer, contours, scale=unit, at=(at[0] - width / 2, at[1]))


def _data(path: str, at: Point) -> str:
    return _each(path, lambda x, y: (x + at[0], y + at[1]))


def _flipped(path: str) -> str:
    return _each(path, lambda x, y: (WIDTH - x, y))


def _each(path: str, change: Callable[[float, float], Point]) -> str:
    """Path data with every point changed; commands of whole points only."""
    words = iter(path.split())
    parts = []
    for word in words:
        if word == "Z":
            parts.append(word)
            continue
        letter = word[0] if word[0].isalpha() else ""
        x, y = change(float(word[len(letter) :]), float(next(words)))
        parts.append(f"{letter}{x:g} {y:g}")
    return " ".join(parts)
