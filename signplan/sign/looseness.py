"""How loosely steel lies in its pockets as cut: across it, and toward the glue plane. Lengths in mm."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME, TOUCH
from signplan.geometry.shapes import area_of, union
from signplan.sign.cavity import Slab, depths, reach, section
from signplan.sign.model import Bar, Item, PanelPlan, Plate, Pocket, Sign, Solid
from signplan.sign.pockets import foot
from signplan.sign.register import PANELS, Panel

STATIONS = (0.5, 0.3, 0.7, 0.15, 0.85)
"""Where along a part its pocket may be measured, the best first."""

ROUNDED = 0.005
"""How far the corners of a shape on its grid, and chords for its arcs, may put a width out, mm."""

PARALLEL = 0.01
"""Sine of the angle up to which two rods count as parallel."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Across:
    """How wide a part and its pocket are at one place and depth, mm."""

    steel: float
    pocket: float


def pocket_across(part: Solid, item: Item, panel: PanelPlan, *, depth: float = 0.0) -> Across | None:
    """How wide a part's pocket is cut across the part at a depth; 0 is the glue plane, where one measures.

    Measured where other parts of the item widen the pocket least, and of these places where the part is
    widest. None if the part does not reach into the panel, or if the panel has no pocket there.
    """
    own = [pocket for pocket in panel.pockets if pocket.hardware == item.name]
    steel = area_of(foot(part, panel.id).intersection(panel.outline))
    if reach(part, panel.id) <= SAME or steel.is_empty or not own:
        return None
    drawn, cut = union(_drawn_at(each, depth) for each in own), union(each.open_at(depth) for each in own)
    found: list[tuple[float, float, Across]] = []
    for line in _lines_across(part, steel):
        inside = max(_pieces(steel, line), key=lambda piece: piece.length, default=None)
        wanted, width = (_through(shape, line, inside) for shape in (drawn, cut))
        if inside is not None and width > SAME:
            asked = inside.length + 2 * item.clearance
            channels = (2 * each.channel.half_width(depth) for each in own if each.channel)
            across = Across(steel=inside.length, pocket=_off_grid(width, (asked, *channels)))
            found.append((round(wanted - inside.length, 2), -round(inside.length, 2), across))
    return min(found, key=lambda each: each[:2])[2] if found else None


def _off_grid(width: float, exact: Sequence[float]) -> float:
    """A width as it was asked for, where only the grid that corners lie on makes the difference."""
    nearest = min(exact, key=lambda each: abs(each - width))
    return nearest if abs(nearest - width) <= ROUNDED else width


def _drawn_at(pocket: Pocket, depth: float) -> MultiPolygon:
    return pocket.open_at(depth) if pocket.channel or depth >= pocket.depth - SAME else pocket.drawn


def _lines_across(part: Solid, steel: MultiPolygon) -> Iterator[LineString]:
    """Lines square to the long way of a part through its stations, across all of its shape."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(steel))
    middle, far = (corners[0] + corners[2]) / 2, float(np.ptp(corners, axis=0).sum()) * 4 + 1000.0
    along = _long_way(part)
    low, high = np.min((corners - middle) @ along), np.max((corners - middle) @ along)
    across = np.array([-along[1], along[0]]) * far
    for share in STATIONS:
        at = middle + along * (low + share * (high - low))
        yield LineString([at - across, at + across])


def _long_way(part: Solid) -> NDArray[np.float64]:
    """The direction of a part's axis, or of a plate's long side; of length 1."""
    if isinstance(part, Plate):
        corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(part.outline))
        steps = np.diff(corners[:3], axis=0)
        way = steps[int(np.argmax(np.hypot(*steps.T)))]
    else:
        way = np.subtract(part.end, part.start)
    return np.asarray(way / np.hypot(*way))


def _pieces(shape: BaseGeometry, line: LineString) -> list[BaseGeometry]:
    return [each for each in shapely.get_parts(shape.intersection(line)) if each.length > SAME]


def _through(shape: BaseGeometry, line: LineString, inside: BaseGeometry | None) -> float:
    """Length of the piece of a line in a shape that the middle of another piece lies on; 0 if none."""
    if inside is None:
        return 0.0
    middle = inside.interpolate(0.5, normalized=True)
    return max((each.length for each in _pieces(shape, line) if each.dwithin(middle, TOUCH)), default=0.0)


def side_play(item: Item, sign: Sign) -> float:
    """How far an item may lie off its place in the plane: what its pockets leave, at least its clearance.

    A part in a flat-bottomed pocket has its clearance all round, and holds the whole item. A rod in a channel
    is held across its axis only, where it is widest; parallel rods of an item hold each other. Room at the
    ends of a channel is left out.
    """
    inside = [part for part in item.parts if sign.outline.intersects(part.section(part.z))]
    rods = [part for part in inside if isinstance(part, Bar) and _in_channel(part, item, sign)]
    if len(rods) < len(inside):
        return item.clearance
    rooms = {rod: _room_beside(rod, item, sign) for rod in rods}
    held = (min(rooms[other] for other in rods if _parallel(rod, other)) for rod in rods)
    return max(item.clearance, max(held, default=0.0))


def _room_beside(rod: Bar, item: Item, sign: Sign) -> float:
    """Half of what its pocket is wider than a rod, where the rod is widest; 0 if no pocket takes it."""
    for panel in PANELS if rod.z >= 0 else PANELS[::-1]:
        found = pocket_across(rod, item, sign.panel(panel), depth=max(0.0, depths(rod, panel)[2]))
        if found is not None:
            return (found.pocket - found.steel) / 2
    return 0.0


def _in_channel(rod: Bar, item: Item, sign: Sign) -> bool:
    axis = LineString([rod.start, rod.end])
    own = [p for panel in sign.panels for p in panel.pockets if p.hardware == item.name and p.channel]
    lines = [line for pocket in own if pocket.channel for line in pocket.channel.lines]
    return any(line.buffer(TOUCH).intersection(axis).length > TOUCH * 4 for line in lines)


def _parallel(one: Bar, other: Bar) -> bool:
    a, b = _long_way(one), _long_way(other)
    return abs(float(a[0] * b[1] - a[1] * b[0])) < PARALLEL


def toward_glue_plane(item: Item, sign: Sign, board: Sequence[Slab]) -> float:
    """How far an item that lies in one panel alone can move toward the other before board or steel stops it.

    0 for steel on both sides of the glue plane: each panel's floor holds it toward the other.
    """
    inside = [panel for panel in PANELS if any(reach(part, panel) > SAME for part in item.parts)]
    if len(inside) != 1:
        return 0.0
    other: Panel = "B" if inside == ["A"] else "A"
    slabs = [slab for slab in board if slab.panel == other]
    steel = [part for each in sign.items if each is not item for part in each.parts]
    stops = [stop for part in item.parts for stop in _stops(part, other, slabs, steel)]
    return max(0.0, min(stops, default=0.0))


def _stops(part: Solid, other: Panel, slabs: Sequence[Slab], steel: Sequence[Solid]) -> Iterator[float]:
    """How far a part is from all that it meets on its way into the other panel."""
    shadow = section(part, "A", part.z).buffer(-TOUCH, join_style="mitre")
    nearest = depths(part, other)[1]
    for slab in slabs:
        if shadow.intersects(slab.board):
            yield slab.floor - nearest
    for block in steel:
        away = depths(block, other)[0] - nearest
        if depths(block, other)[2] > depths(part, other)[2] and shadow.intersects(
            section(block, "A", block.z)
        ):
            yield max(0.0, away)
