"""Plays a drawing as SVG: a class for every role, which a style sheet gives its look; y is turned down."""

import html

from signplan.documents.drawing import Area, Disc, Drawing, Line, Mark

DEPTHS = {"ground": (0.12, 0.5), "pocket": (0.08, 0.45)}
"""How dark a cut is at no depth and right through."""


def svg_marks(drawing: Drawing) -> str:
    """The marks, for an `svg` element whose view box is `view_box(drawing)`."""
    return "".join(_mark(mark) for mark in drawing.marks)


def view_box(drawing: Drawing, margin: float = 6.0) -> str:
    """The attribute that shows all of a drawing."""
    x0, _, _, y1 = drawing.box
    wide, high = drawing.width + 2 * margin, drawing.height + 2 * margin
    return f"{number(x0 - margin)} {number(-y1 - margin)} {number(wide)} {number(high)}"


def number(value: float) -> str:
    """A coordinate, hundredths of a millimetre.

    >>> number(1.5), number(-0.001), number(12.0)
    ('1.5', '0', '12')
    """
    return f"{round(value, 2) + 0.0:g}" if abs(value) < 1e4 else f"{value:.2f}"


def _mark(mark: Mark) -> str:
    look = f'class="r-{mark.role}"'
    match mark:
        case Area():
            rings = (ring for polygon in mark.shape.geoms for ring in (polygon.exterior, *polygon.interiors))
            path = "".join(_points(list(ring.coords)[:-1]) + "Z" for ring in rings)
            return f'<path {look}{_shade(mark)} fill-rule="evenodd" d="{path}">{_title(mark.label)}</path>'
        case Line():
            return f'<path {look} d="{_points(list(mark.points))}"/>'
        case Disc():
            x, y, r = number(mark.x), number(-mark.y), number(mark.diameter / 2)
            return f'<circle {look} cx="{x}" cy="{y}" r="{r}">{_title(mark.label)}</circle>'


def _points(points: list[tuple[float, ...]]) -> str:
    return "M" + "L".join(f"{number(x)} {number(-y)}" for x, y, *_ in points)


def _shade(mark: Area) -> str:
    if mark.role not in DEPTHS:
        return ""
    least, most = DEPTHS[mark.role]
    return f' fill-opacity="{least + (most - least) * mark.shade:.2f}"'


def _title(label: str) -> str:
    return f"<title>{html.escape(label)}</title>" if label else ""
