"""Sizes and viewports of SVG: from user units to millimetres with y up, worked out by us.

Matrices are 3 x 3, for column vectors.
"""

import re
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from signplan.artwork.flatten import ShapeError
from signplan.artwork.svg_tree import Node

Matrix = NDArray[np.float64]

MM_PER_CSS = {
    "": 25.4 / 96,
    "px": 25.4 / 96,
    "pt": 25.4 / 72,
    "pc": 25.4 / 6,
    "q": 0.25,
    "mm": 1.0,
    "cm": 10.0,
    "in": 25.4,
}
"""Millimetres in the absolute units of CSS Values and Units, section 6.2: 1 in = 96 px = 72 pt = 25.4 mm."""

NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?")
_LENGTH = re.compile(rf"\s*({NUMBER.pattern})([a-zA-Z%]*)\s*")


def length(text: str, what: str) -> tuple[float, str]:
    """A length and its unit, lower case, "" for none."""
    match = _LENGTH.fullmatch(text)
    if not match or match[2].lower() not in MM_PER_CSS:
        raise ShapeError(
            f"{what}={text[:40]!r} is no length with a fixed unit; write mm or in, without a space"
        )
    value = float(match[1])
    if not abs(value) <= 1e9:
        raise ShapeError(f"{what}={text[:40]!r} is out of all bounds")
    return value, match[2].lower()


def user_length(text: str, what: str) -> float:
    """A length inside the drawing, in user units."""
    value, unit = length(text, what)
    return value if unit in ("", "px") else value * MM_PER_CSS[unit] / MM_PER_CSS["px"]


def numbers(text: str, what: str) -> list[float]:
    """Numbers separated by commas or blanks."""
    if NUMBER.sub(" ", text).strip(" ,\t\r\n"):
        raise ShapeError(f"{what}={text[:40]!r} is no list of numbers")
    values = [float(number) for number in NUMBER.findall(text)]
    if not all(abs(value) <= 1e9 for value in values):
        raise ShapeError(f"{what} holds a number out of all bounds")
    return values


def view_box(node: Node) -> tuple[float, float, float, float] | None:
    """x, y, width and height of the viewBox, if there is one."""
    if "viewBox" not in node.attributes:
        return None
    values = numbers(node.attributes["viewBox"], "viewBox")
    if len(values) != 4 or min(values[2:]) <= 0:
        raise ShapeError(f"viewBox={node.attributes['viewBox'][:40]!r} has no width or no height")
    return values[0], values[1], values[2], values[3]


def fitted(box: tuple[float, float, float, float], width: float, height: float, fit: str) -> Matrix:
    """The map from a viewBox into a viewport at the origin, by preserveAspectRatio (SVG 2, section 8.7)."""
    x, y, w, h = box
    match = re.fullmatch(r"\s*(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?\s*", fit or "xMidYMid")
    if not match:
        raise ShapeError(f"preserveAspectRatio={fit[:40]!r} is not understood")
    sx, sy = width / w, height / h
    if match[1] != "none":
        sx = sy = max(sx, sy) if match[4] == "slice" else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0, None: 0.0}
    dx = share[match[2]] * (width - w * sx)
    dy = share[match[3]] * (height - h * sy)
    return np.array(((sx, 0, dx - x * sx), (0, sy, dy - y * sy), (0, 0, 1)))


class Page(NamedTuple):
    """The page: user units to mm, its size in mm and in user units, the unit of its width and mm in one."""

    to_mm: Matrix
    size: NDArray[np.float64]
    viewport: tuple[float, float]
    unit: str
    mm_per_unit: float


def read_page(root: Node, stated: tuple[str, float] | None = None) -> Page:
    """The page of a root `<svg>`.

    Args:
        root: the element.
        stated: the unit, and mm in it, that the job states; for a page that is sized in pixels or not at all.

    Raises:
        ShapeError: its size cannot be told.
    """
    box, fit = view_box(root), root.attributes.get("preserveAspectRatio", "")
    sizes = [_size(root, key) for key in ("width", "height")]
    known = [size for size in sizes if size is not None]
    if len(known) == 2 and (stated is None or {unit for _, unit in known} - {"", "px"}):
        (width, unit), (height, _) = known
        mm = MM_PER_CSS[unit]
        unit = unit or "px"
        user = MM_PER_CSS["px"]
        width, height = (value * MM_PER_CSS[u] for value, u in known)
    elif stated is not None and (box or len(known) == 2):
        unit, user = stated
        mm = user
        width, height = (extent * user for extent in (box[2:] if box else (known[0][0], known[1][0])))
    else:
        raise ShapeError(
            "the page has no true size; save it with width and height in mm or in"
            + (", or state in the job what one unit of it is" if box else "")
        )
    inner = fitted(box, width, height, fit) if box else np.diag((user, user, 1.0))
    flip = np.array(((1.0, 0, 0), (0, -1, height), (0, 0, 1)))
    viewport = box[2:] if box else (width / user, height / user)
    return Page(flip @ inner, np.array((width, height)), viewport, unit, mm)


def _size(root: Node, key: str) -> tuple[float, str] | None:
    text = root.attributes.get(key, "auto").strip()
    if text == "auto" or text.endswith("%"):
        return None
    value, unit = length(text, key)
    if value <= 0:
        raise ShapeError(f"{key}={text[:40]!r} is no size of a page")
    return value, unit
