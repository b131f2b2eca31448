"""Sizes and viewports of SVG: from user units to millimetres with y up, worked out by us.

Matrices are 3 x 3, for column vectors.
"""

import re
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

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


class NotRead(ValueError):
    """An attribute that is not understood; the message says which, and what would be."""


def length(text: str, what: str) -> tuple[float, str]:
    """A length and its unit, lower case, "" for none."""
    match = _LENGTH.fullmatch(text)
    if not match or match[2].lower() not in MM_PER_CSS:
        raise NotRead(f"{what}={text[:40]!r} is no length with a fixed unit; write mm or in, without a space")
    value = float(match[1])
    if not abs(value) <= 1e9:
        raise NotRead(f"{what}={text[:40]!r} is out of all bounds")
    return value, match[2].lower()


def user_length(text: str, what: str) -> float:
    """A length inside the drawing, in user units."""
    value, unit = length(text, what)
    return value if unit in ("", "px") else value * MM_PER_CSS[unit] / MM_PER_CSS["px"]


def numbers(text: str, what: str) -> list[float]:
    """Numbers separated by commas or blanks."""
    if NUMBER.sub(" ", text).strip(" ,\t\r\n"):
        raise NotRead(f"{what}={text[:40]!r} is no list of numbers")
    values = [float(number) for number in NUMBER.findall(text)]
    if not all(abs(value) <= 1e9 for value in values):
        raise NotRead(f"{what} holds a number out of all bounds")
    return values


def view_box(node: Node) -> tuple[float, float, float, float] | None:
    """x, y, width and height of the viewBox, if there is one."""
    if "viewBox" not in node.attributes:
        return None
    values = numbers(node.attributes["viewBox"], "viewBox")
    if len(values) != 4 or min(values[2:]) <= 0:
        raise NotRead(f"viewBox={node.attributes['viewBox'][:40]!r} has no width or no height")
    return values[0], values[1], values[2], values[3]


def fitted(box: tuple[float, float, float, float], width: float, height: float, fit: str) -> Matrix:
    """The map from a viewBox into a viewport at the origin, by preserveAspectRatio (SVG 2, section 8.7)."""
    x, y, w, h = box
    match = re.fullmatch(r"\s*(none|x(Min|Mid|Max)Y(Min|Mid|Max))(?:\s+(meet|slice))?\s*", fit or "xMidYMid")
    if not match:
        raise NotRead(f"preserveAspectRatio={fit[:40]!r} is not understood")
    sx, sy = width / w, height / h
    if match[1] != "none":
        sx = sy = max(sx, sy) if match[4] == "slice" else min(sx, sy)
    share = {"Min": 0.0, "Mid": 0.5, "Max": 1.0, None: 0.0}
    dx = share[match[2]] * (width - w * sx)
    dy = share[match[3]] * (height - h * sy)
    return np.array(((sx, 0, dx - x * sx), (0, sy, dy - y * sy), (0, 0, 1)))


class Page(NamedTuple):
    """The page: user units to mm, its height in mm, and the unit that it was drawn in."""

    to_mm: Matrix
    width: float
    height: float
    unit: str
    mm_per_unit: float
    has_true_size: bool


def read_page(root: Node, mm_per_user_unit: float | None, unit: str | None) -> Page:
    """The page of a root `<svg>`.

    Args:
        root: the element.
        mm_per_user_unit, unit: what the job says of a drawing without a size in mm or in; None if nothing.

    Raises:
        NotRead: its size cannot be told.
    """
    box = view_box(root)
    fit = root.attributes.get("preserveAspectRatio", "")
    sizes = [root.attributes.get(key) for key in ("width", "height")]
    lengths = [
        length(text, key)
        for text, key in zip(sizes, ("width", "height"), strict=True)
        if text and not text.endswith("%")
    ]
    units = {u for _, u in lengths}
    true_size = len(lengths) == 2 and not units <= {"", "px"}
    if mm_per_user_unit is not None and unit is not None and not true_size:
        if box is None and len(lengths) == 2:
            box = (0.0, 0.0, lengths[0][0], lengths[1][0])
        if box is None:
            raise NotRead("the page has no size: neither width and height nor a viewBox")
        width, height, mm = box[2] * mm_per_user_unit, box[3] * mm_per_user_unit, mm_per_user_unit
    elif len(lengths) == 2:
        width, height = (value * MM_PER_CSS[u] for value, u in lengths)
        unit = lengths[0][1] or "px"
        mm = MM_PER_CSS[unit]
    else:
        raise NotRead(
            "the page has no true size; save it with width and height in mm or in, "
            "or state in the job what one unit of it is"
        )
    if min(width, height) <= 0:
        raise NotRead("the page's width or height is zero")
    px = MM_PER_CSS["px"]
    inner = fitted(box, width, height, fit) if box else np.diag((px, px, 1.0))
    flip = np.array(((1.0, 0, 0), (0, -1, height), (0, 0, 1)))
    return Page(flip @ inner, width, height, unit or "px", mm, true_size)
