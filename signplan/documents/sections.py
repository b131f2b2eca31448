"""Sections through the cavity: what one would see if the closed sign were sawn across a piece of its steel.

A section lies in (s, z): s along the cut, 0 where it meets the part, z from the glue plane toward side A.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon, box, get_parts
from shapely.geometry.base import BaseGeometry

from signplan.documents.drawing import Drawing, Line, Mark, area, hatching, joined
from signplan.documents.measures import part_name, sides
from signplan.geometry.shapes import EMPTY, area_of, union
from signplan.plan import Plan
from signplan.sign.model import Bar, Item, PanelPlan, Plate, Sign, Solid
from signplan.sign.terraces import terraces

BESIDE = 22.0
"""Board shown on each side of the cavity, mm."""

LEVELS = 33
"""Heights at which the outline of a bar is taken."""

FAR = 1e4
"""Beyond any sign, mm."""

OFF_PLANE = 0.2
"""How far from the glue plane side room is shown: just inside one panel, where the steel is still widest."""

Interval = tuple[float, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Gap:
    """A distance shown in a section: from one point to another, (s, z), and what it is."""

    name: str
    start: tuple[float, float]
    end: tuple[float, float]

    @property
    def size(self) -> float:
        """Its length, signed: negative where steel is inside board."""
        return (self.end[0] - self.start[0]) + (self.end[1] - self.start[1])


@dataclass(frozen=True, kw_only=True, slots=True)
class Section:
    """One section: the cut in the plane, its drawing, and the gaps that it shows."""

    part: str
    cut: tuple[tuple[float, float], tuple[float, float]]
    drawing: Drawing
    gaps: tuple[Gap, ...]


def sections(plan: Plan, item: Item) -> tuple[Section, ...]:
    """One across every part of an item, where it lies in the sign; equal parts once."""
    found: list[Section] = []
    seen: set[tuple[object, ...]] = set()
    for number, part in enumerate(item.parts):
        cut = _cut_across(part, plan.sign)
        sizes = (part.width, part.height) if isinstance(part, Bar) else (*sides(part), part.thickness)
        key = (part_name(item, number, plan), *(round(size, 3) for size in sizes))
        if cut and key not in seen:
            seen.add(key)
            found.append(_section(plan, item, number, cut))
    return tuple(found)


def _cut_across(part: Solid, sign: Sign) -> LineString | None:
    """A long line across the part, through the middle of what lies inside the sign."""
    if isinstance(part, Bar):
        inside = sign.outline.intersection(LineString([part.start, part.end]))
        axis = max(
            (p for p in get_parts(inside) if isinstance(p, LineString)),
            key=lambda line: line.length,
            default=None,
        )
        if axis is None or axis.is_empty:
            return None
        middle = axis.interpolate(0.5, normalized=True)
        along = np.subtract(part.end, part.start)
    else:
        middle, along = part.outline.centroid, _long_way(part)
    across = np.array([along[1], -along[0]]) / np.hypot(*along)
    if across[0] < -1e-9 or (abs(across[0]) <= 1e-9 and across[1] < 0):
        across = -across
    reach = sign.width + sign.height
    start = np.array(middle.coords[0])
    return LineString([start - across * reach, start + across * reach])


def _long_way(part: Plate) -> NDArray[np.float64]:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(part.outline))
    steps = np.diff(corners[:3], axis=0)
    return np.asarray(steps[int(np.argmax(np.hypot(*steps.T)))])


def _section(plan: Plan, item: Item, number: int, cut: LineString) -> Section:
    sign, part = plan.sign, item.parts[number]
    pockets = [pocket for panel in sign.panels for pocket in panel.pockets if pocket.hardware == item.name]
    own = _around_zero(_along(cut, union([outline_at_widest(part), *(p.as_cut for p in pockets)])))
    window = own[0] - BESIDE, own[1] + BESIDE
    boards = [_board(panel, sign, cut, window, 1.0 if panel.id == "A" else -1.0) for panel in sign.panels]
    bodies = [shape for each in item.parts if not (shape := _body(each, cut, window)).is_empty]
    body = _body(part, cut, window)
    t = sign.thickness
    marks = joined(
        *(_cut_board(board, falling=k == 1) for k, board in enumerate(boards)),
        *(area("steel", each) for each in bodies),
        [Line(role="axis", points=((window[0] - 6, 0), (window[1] + 6, 0)))],
    )
    start, end = (cut.interpolate(cut.length / 2 + s) for s in window)
    return Section(
        part=part_name(item, number, plan),
        cut=((start.x, start.y), (end.x, end.y)),
        drawing=Drawing(marks=marks, box=(window[0] - 6, -t, window[1] + 6, t)),
        gaps=tuple(_gaps(body, boards, t)),
    )


def outline_at_widest(part: Solid) -> BaseGeometry:
    """A part's shape at its middle height."""
    return part.section(part.z)


def _cut_board(shape: MultiPolygon, *, falling: bool) -> Iterator[Mark]:
    yield from area("cut", shape)
    yield from hatching(shape, 5.0, falling=falling)


def _along(cut: LineString, shape: BaseGeometry) -> list[Interval]:
    """Where the cut runs inside a shape, as intervals of s, in order."""
    found = []
    for part in get_parts(shape.intersection(cut)):
        if isinstance(part, LineString) and part.length > 1e-6:
            ends = sorted(cut.project(Point(p)) - cut.length / 2 for p in (part.coords[0], part.coords[-1]))
            found.append((ends[0], ends[1]))
    return sorted(found)


def _around_zero(intervals: list[Interval]) -> Interval:
    """The interval that holds the part itself, or the nearest."""
    if not intervals:
        return -1.0, 1.0
    return min(intervals, key=lambda i: max(i[0], -i[1], 0.0))


def _board(panel: PanelPlan, sign: Sign, cut: LineString, window: Interval, up: float) -> MultiPolygon:
    """The board of one panel in the section: its thickness less its pockets, holes and carving."""
    t = sign.thickness

    def slab(shape: BaseGeometry, low: float, high: float) -> MultiPolygon:
        z0, z1 = sorted((up * low, up * high))
        return union([box(a, z0, b, z1) for a, b in _along(cut, shape)])

    board: BaseGeometry = slab(panel.outline, 0, t) & box(window[0], -t, window[1], t)
    for pocket in panel.pockets:
        board = board - slab(pocket.as_cut, 0, pocket.depth)
    for dowel in panel.dowels:
        board = board - slab(Point(dowel.x, dowel.y).buffer(dowel.diameter / 2), 0, dowel.depth)
    for carving in panel.carvings:
        for step in terraces(carving):
            board = board - slab(step.shape, t - step.depth, t)
    return area_of(board)


def _body(part: Solid, cut: LineString, window: Interval) -> MultiPolygon:
    """A part in the section, from its shapes at several heights."""
    low, high = part.span
    if isinstance(part, Plate):
        plates = union([box(a, low, b, high) for a, b in _along(cut, part.outline)])
        return area_of(plates & _strip(window))
    middle, half = (low + high) / 2, (high - low) / 2
    left, right = [], []
    for z in middle - half * np.cos(np.linspace(0, np.pi, LEVELS)):
        found = _along(cut, part.section(float(z)))
        if found:
            first, last = found[0][0], found[-1][1]
            left.append((first, float(z)))
            right.append((last, float(z)))
    if len(left) < 2:
        return EMPTY
    return area_of(Polygon([*left, *reversed(right)]) & _strip(window))


def _strip(window: Interval) -> Polygon:
    return box(window[0], -FAR, window[1], FAR)


def _gaps(body: MultiPolygon, boards: list[MultiPolygon], t: float) -> Iterator[Gap]:
    """Room beside, over and under the part, and the floors left beyond it."""
    if body.is_empty:
        return
    s0, low, s1, high = body.bounds
    board, at, middle = union(boards), (s0 + s1) / 2, (low + high) / 2
    level = _off_the_glue_plane(min(max(middle, -t), t), high)
    beside = _along(LineString([(-FAR, level), (FAR, level)]), board)
    left = [b for _, b in beside if b <= at]
    right = [a for a, _ in beside if a >= at]
    if left:
        yield Gap(name="room, left", start=(max(left), level), end=(s0, level))
    if right:
        yield Gap(name="room, right", start=(s1, level), end=(min(right), level))
    column = [(-b, -a) for a, b in _along(LineString([(at, FAR), (at, -FAR)]), board)]
    above = [each for each in sorted(column) if each[1] > middle and each[1] > 0]
    below = [each for each in sorted(column) if each[0] < middle and each[0] < 0]
    if above and high > 0:
        floor = above[0]
        yield Gap(name="room to A's floor", start=(at, high), end=(at, floor[0]))
        yield Gap(name="floor of A", start=(at, floor[0]), end=(at, floor[1]))
    if below and low < 0:
        floor = below[-1]
        yield Gap(name="room to B's floor", start=(at, floor[1]), end=(at, low))
        yield Gap(name="floor of B", start=(at, floor[0]), end=(at, floor[1]))


def _off_the_glue_plane(level: float, high: float) -> float:
    """A level at which only one panel's board is met."""
    if abs(level) > OFF_PLANE:
        return level
    return OFF_PLANE if high > OFF_PLANE else -OFF_PLANE
