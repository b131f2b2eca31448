"""An SVG drawing at its true size in millimetres, one group a layer."""

from collections.abc import Iterable
from pathlib import Path

from curves import Contour, Point


class Page:
    """A page whose origin is the lower left corner, y up, like the sign that it shows."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self._size = width, height
        self._title = title
        self._groups: dict[str, list[str]] = {}

    def path(self, layer: str, data: str, *, stroke: bool = False) -> None:
        """A path by its own commands, in page coordinates."""
        self._add(layer, f'<path d="{data}"{_STROKE if stroke else ""}/>')

    def letters(self, layer: str, contours: Iterable[Contour], *, scale: float, at: Point) -> None:
        """Contours in their own unit, put on the page by a transform: one path for all of them."""
        data = " ".join(_commands(contour) for contour in contours)
        place = f"translate({_number(at[0])} {_number(at[1])}) scale({scale:.6g})"
        self._add(layer, f'<path transform="{place}" d="{data}"/>')

    def circle(self, layer: str, center: Point, radius: float) -> None:
        """A disc."""
        self._add(
            layer, f'<circle cx="{_number(center[0])}" cy="{_number(center[1])}" r="{_number(radius)}"/>'
        )

    def frame(self, layer: str, corner: Point, size: Point, radius: float) -> None:
        """A rectangle with rounded corners, as a line."""
        x, y, width, height = (_number(value) for value in (*corner, *size))
        box = f'x="{x}" y="{y}" width="{width}" height="{height}" rx="{_number(radius)}"'
        self._add(layer, f"<rect {box}{_STROKE}/>")

    def save(self, file: Path) -> None:
        """Writes the drawing, the same bytes every time."""
        width, height = (_number(value) for value in self._size)
        lines = [
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}">',
            f"<title>{self._title}</title>",
            f'<g transform="matrix(1 0 0 -1 0 {height})">',
        ]
        for layer, shapes in self._groups.items():
            lines += [f'<g id="{layer}">', *shapes, "</g>"]
        file.write_text("\n".join([*lines, "</g>", "</svg>", ""]), encoding="utf-8", newline="\n")

    def _add(self, layer: str, shape: str) -> None:
        self._groups.setdefault(layer, []).append(shape)


_STROKE = ' fill="none" stroke="black" stroke-width="1"'


def _commands(contour: Contour) -> str:
    letters = {2: "L", 3: "Q"}
    parts = (letters[len(segment)] + " ".join(_pair(point) for point in segment[1:]) for segment in contour)
    return f"M{_pair(contour[0][0])}{''.join(parts)}Z"


def _pair(point: Point) -> str:
    return f"{_number(point[0])} {_number(point[1])}"


def _number(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")
