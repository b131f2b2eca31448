"""Sections through the cavity: what one would see if the closed sign were sawn across a piece of its steel.

A section lies in (s, z): s along the cut, 0 where it meets the part, z from the glue plane toward side A.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon, box, get_parts
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from signplan.documents.drawing import Drawing, Line, Mark, area, hatching, joined
from signplan.documents.measures import part_name
from signplan.geometry.precision import SAME
from signplan.geometry.shapes import EMPTY, area_of, lines_of, union
from signplan.plan import Plan
from signplan.sign.model import Bar, Channel, Item, PanelPlan, Plate, Sign, Solid, Terrace
from signplan.sign.register import Panel
from signplan.sign.terraces import terraces

BESIDE = 22.0
"""Board shown on each side of the cavity, mm."""

STATIONS = (0.5, 0.3, 0.7, 0.15, 0.85)
"""Where along a bar it may be cut, the best first."""

LEVELS = 17
"""Heights at which the outline of a bar is taken."""

FAR = 1e4
"""Beyond any sign, mm."""

OFF_PLANE = 0.2
"""How far from the glue plane side room is shown: just inside one panel, where the steel is still widest."""

Interval = tuple[float, float]
Floats = NDArray[np.float64]
Carved = Mapping[Panel, tuple[Terrace, ...]]


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


def sections(plan: Plan) -> Mapping[str, tuple[Section, ...]]:
    """By the key of every item: a section across each of its parts; what shows the same is shown once."""
    carved = {panel.id: tuple(s for c in panel.carvings for s in terraces(c)) for panel in plan.sign.panels}
    for each in (step.shape for steps in carved.values() for step in steps):
        shapely.prepare(each)
    found: dict[str, tuple[Section, ...]] = {}
    for item in plan.sign.items:
        looks: dict[tuple[object, ...], Section] = {}
        for number, part in enumerate(item.parts):
            cut = _cut_across(part, item, plan.sign)
            if cut:
                look, draw = _section(plan, item, number, cut, carved)
                if look not in looks:
                    looks[look] = draw()
        found[item.key] = tuple(looks.values())
    return found


def _cut_across(part: Solid, item: Item, sign: Sign) -> LineString | None:
    """A long line across the part, where it lies in the sign and its cavity is narrowest."""
    if isinstance(part, Plate):
        return _square_to(_long_way(part), np.array(part.outline.centroid.coords[0]), sign)
    inside = lines_of(sign.outline.intersection(LineString([part.start, part.end])))
    if not inside:
        return None
    axis = max(inside, key=lambda line: line.length)
    along = np.subtract(part.end, part.start)
    places = (axis.interpolate(share, normalized=True) for share in STATIONS)
    cuts = [_square_to(along, np.array(place.coords[0]), sign) for place in places]
    return min(cuts, key=lambda cut: round(_wide(_own(cut, part, item, sign)), 3))


def _square_to(along: NDArray[np.float64], middle: NDArray[np.float64], sign: Sign) -> LineString:
    """A line through a place, square to a direction; it runs to the right, or upward."""
    across = np.array([along[1], -along[0]]) / np.hypot(*along)
    if across[0] < -SAME or (abs(across[0]) <= SAME and across[1] < 0):
        across = -across
    reach = across * (sign.width + sign.height)
    return LineString([middle - reach, middle + reach])


def _own(cut: LineString, part: Solid, item: Item, sign: Sign) -> Interval:
    """How far the part and its item's pockets reach along a cut."""
    pockets = [p.as_cut for panel in sign.panels for p in panel.pockets if p.hardware == item.name]
    shapes = (part.section(part.z), *pockets)
    return _around_zero(_merged(each for shape in shapes for each in _along(cut, shape)))


def _merged(intervals: Iterable[Interval]) -> list[Interval]:
    """Intervals that touch as one, in order."""
    found: list[Interval] = []
    for low, high in sorted(intervals):
        if found and low <= found[-1][1]:
            found[-1] = found[-1][0], max(high, found[-1][1])
        else:
            found.append((low, high))
    return found


def _wide(interval: Interval) -> float:
    return interval[1] - interval[0]


def _long_way(part: Plate) -> NDArray[np.float64]:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(part.outline))
    steps = np.diff(corners[:3], axis=0)
    return np.asarray(steps[int(np.argmax(np.hypot(*steps.T)))])


def _section(
    plan: Plan, item: Item, number: int, cut: LineString, carved: Carved
) -> tuple[tuple[object, ...], Callable[[], Section]]:
    """What tells the section across a part from others, and how to draw it."""
    sign, part = plan.sign, item.parts[number]
    own = _own(cut, part, item, sign)
    window = own[0] - BESIDE, own[1] + BESIDE
    boards = [_board(panel, sign, cut, window, carved[panel.id]) for panel in sign.panels]
    body = _piece(_steel(item, cut, window), _body(part, cut, window))
    gaps = tuple(_gaps(body, boards, sign.thickness))
    looks = (*(round(edge, 1) for edge in body.bounds), *((gap.name, round(gap.size, 1)) for gap in gaps))

    def draw() -> Section:
        glue_plane = Line(role="axis", points=((window[0] - 6, 0), (window[1] + 6, 0)))
        marks = joined(
            *(_cut_board(board, falling=k == 1) for k, board in enumerate(boards)),
            *(area("steel", _steel(each, cut, window)) for each in sign.items),
            [glue_plane],
        )
        start, end = (cut.interpolate(cut.length / 2 + s) for s in window)
        return Section(
            part=part_name(item, number, plan),
            cut=((start.x, start.y), (end.x, end.y)),
            drawing=Drawing(marks=marks, box=(window[0] - 6, -sign.thickness, window[1] + 6, sign.thickness)),
            gaps=gaps,
        )

    return looks, draw


def _steel(item: Item, cut: LineString, window: Interval) -> MultiPolygon:
    return union([_body(each, cut, window) for each in item.parts])


def _piece(steel: MultiPolygon, part: MultiPolygon) -> MultiPolygon:
    """The connected piece of an item's steel that the part belongs to."""
    return area_of(MultiPolygon([each for each in steel.geoms if each.intersects(part)]))


def _cut_board(shape: MultiPolygon, *, falling: bool) -> Iterator[Mark]:
    yield from area("cut", shape)
    yield from hatching(shape, 5.0, falling=falling)


def _along(cut: LineString, shape: BaseGeometry) -> list[Interval]:
    """Where the straight cut runs inside a shape, as intervals of s, in order."""
    parts = get_parts(shape.intersection(cut))
    parts = parts[shapely.length(parts) > SAME]
    if not len(parts):
        return []
    start, end = shapely.get_coordinates(cut)
    along = (end - start) / cut.length
    ends = [shapely.get_coordinates(shapely.get_point(parts, k)) for k in (0, -1)]
    found = np.sort(np.transpose([(each - (start + end) / 2) @ along for each in ends]), axis=1)
    return sorted((low, high) for low, high in found.tolist())


def _around_zero(intervals: list[Interval]) -> Interval:
    """The interval that holds the part itself, or the nearest."""
    if not intervals:
        return -1.0, 1.0
    return min(intervals, key=lambda i: max(i[0], -i[1], 0.0))


def _board(
    panel: PanelPlan, sign: Sign, cut: LineString, window: Interval, carved: tuple[Terrace, ...]
) -> MultiPolygon:
    """The board of one panel in the section: its thickness less its pockets, holes and carving."""
    t, up = sign.thickness, 1.0 if panel.id == "A" else -1.0

    def slab(shape: BaseGeometry, low: float, high: float) -> Iterator[Polygon]:
        z0, z1 = sorted((up * low, up * high))
        yield from (box(a, z0, b, z1) for a, b in _along(cut, shape))

    board = union(slab(panel.outline, 0, t)) & box(window[0], -t, window[1], t)
    flat = [pocket for pocket in panel.pockets if pocket.channel is None]
    cuts = [each for pocket in flat for each in slab(pocket.as_cut, 0, pocket.depth)]
    cuts += [each for pocket in panel.pockets if pocket.channel for each in _round(pocket.channel, cut, up)]
    for dowel in panel.dowels:
        cuts += slab(Point(dowel.x, dowel.y).buffer(dowel.diameter / 2), 0, dowel.depth)
    seen = substring(cut, cut.length / 2 + window[0], cut.length / 2 + window[1])
    for step in carved:
        if step.shape.intersects(seen):
            cuts += slab(step.shape, t - step.depth, t)
    return area_of(board - union(cuts))


def _round(channel: Channel, cut: LineString, up: float) -> Iterator[Polygon]:
    """A channel in the section: between its widths at two depths its wall is straight, all but."""
    for low, high in pairwise(sorted({0.0, *channel.depths(steps=LEVELS)})):
        above = _along(cut, channel.open_at(low))
        below = _along(cut, channel.open_at(high)) or [((a + b) / 2, (a + b) / 2) for a, b in above]
        if len(above) == len(below):
            for (a, b), (c, d) in zip(above, below, strict=True):
                yield Polygon([(a, up * low), (b, up * low), (d, up * high), (c, up * high)])


def _body(part: Solid, cut: LineString, window: Interval) -> MultiPolygon:
    """A part in the section; a bar from its width at several heights."""
    low, high = part.span
    if isinstance(part, Plate):
        plates = union([box(a, low, b, high) for a, b in _along(cut, part.outline)])
        return area_of(plates & _strip(window))
    middle, half = (low + high) / 2, (high - low) / 2
    levels = middle - half * np.cos(np.linspace(0, np.pi, LEVELS))
    left, right = _across(part, cut, levels)
    cuts = right - left > SAME
    if not ((left < window[1]) & (right > window[0]) & cuts).any():
        return EMPTY
    left, right, levels = left[cuts], right[cuts], levels[cuts]
    # A round part ends in a point, at which it has no width.
    foot, top = ((left[k] + right[k]) / 2 for k in (0, -1))
    sides = (*zip(right, levels, strict=True), (top, high), *zip(left[::-1], levels[::-1], strict=True))
    return area_of(Polygon([(foot, low), *sides]) & _strip(window))


def _across(part: Bar, cut: LineString, levels: Floats) -> tuple[Floats, Floats]:
    """Where the straight cut enters and leaves a bar at heights z; where it misses it, it leaves before."""
    (start, end), (a, b) = shapely.get_coordinates(cut), np.array([part.start, part.end])
    way, axis = (end - start) / cut.length, (b - a) / np.hypot(*(b - a))
    square, offset = np.array([-axis[1], axis[0]]), (start + end) / 2 - a
    half = np.array([part.half_width(z) for z in levels.tolist()])
    whole = np.full_like(half, np.hypot(*(b - a)))
    along = _between(offset @ axis, way @ axis, np.zeros_like(half), whole)
    beside = _between(offset @ square, way @ square, -half, half)
    return np.maximum(along[0], beside[0]), np.minimum(along[1], beside[1])


def _between(at: float, slope: float, low: Floats, high: Floats) -> tuple[Floats, Floats]:
    """The s for which low <= at + slope s <= high; everywhere or nowhere where nothing changes with s."""
    if abs(slope) < SAME:
        inside = (low < at) & (at < high)
        return np.where(inside, -np.inf, np.inf), np.where(inside, np.inf, -np.inf)
    ends = np.sort([(low - at) / slope, (high - at) / slope], axis=0)
    return ends[0], ends[1]


def _strip(window: Interval) -> Polygon:
    return box(window[0], -FAR, window[1], FAR)


def _gaps(body: MultiPolygon, boards: list[MultiPolygon], t: float) -> Iterator[Gap]:
    """Room beside, over and under the part, and the floors left beyond it."""
    if body.is_empty:
        return
    s0, low, s1, high = body.bounds
    board, at, middle = union(boards), (s0 + s1) / 2, (low + high) / 2
    widest = min(max(middle, -t), t)
    level = _off_the_glue_plane(widest, high)
    beside, steel = _along(_level(level), board), _along(_level(widest), body)
    s0, s1 = (steel[0][0], steel[-1][1]) if steel else (s0, s1)
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
    yield from _toward_glue_plane(at, low, high, (below, above))


def _toward_glue_plane(
    at: float, low: float, high: float, board: tuple[list[Interval], list[Interval]]
) -> Iterator[Gap]:
    """Room between steel that lies in one panel alone and the other panel, where there is any."""
    below, above = board
    if low > SAME and below:
        yield Gap(name=f"room to {_side(below[-1][1], 'B')}", start=(at, below[-1][1]), end=(at, low))
    if high < -SAME and above:
        yield Gap(name=f"room to {_side(above[0][0], 'A')}", start=(at, high), end=(at, above[0][0]))


def _side(z: float, panel: Panel) -> str:
    return "glue plane" if abs(z) <= SAME else f"{panel}'s floor"


def _level(z: float) -> LineString:
    return LineString([(-FAR, z), (FAR, z)])


def _off_the_glue_plane(level: float, high: float) -> float:
    """A level at which only one panel's board is met."""
    if abs(level) > OFF_PLANE:
        return level
    return OFF_PLANE if high > OFF_PLANE else -OFF_PLANE
