"""The closing check: does the sign close around its steel, and how much room is left.

Each part of each item is held against each slab of board that the as-cut pockets leave (see
`signplan.sign.cavity`). Room is the least distance in space between steel and board; where they overlap it is
minus the least move that would part them, sideways or out of the floor.
"""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Point, Polygon

from signplan.geometry.precision import SAME, TOUCH
from signplan.geometry.shapes import area_of, union
from signplan.sign.captive import Escape, escapes
from signplan.sign.cavity import Bounds, Slab, depths, height, near, section, sections, slab_at, slabs, widest
from signplan.sign.channels import lies_in, wall_room
from signplan.sign.looseness import toward_glue_plane
from signplan.sign.model import Bar, Channel, Item, PanelPlan, Pocket, Sign, Solid
from signplan.sign.register import Panel

Spot = tuple[float, float, float]

AROUND = 15.0
"""Board farther than this from an item is looked at only if there is none nearer, mm."""

EVERY = 0.5
"""How far apart the places are at which an overlap is measured, mm."""

SAMPLES = 33
"""Depths at which a round part is held against the edge of a step; twice, the second time close up."""

CLOSER = (8, 6, 6)
"""Slabs that stand for the round wall of a channel; then, each time closer, for it round the tightest."""


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemFit:
    """How one hardware item sits in the cavity of both as-cut pockets.

    Attributes:
        name: the item's name.
        room: least distance from its surface to board at nominal registration, mm; negative: it overlaps.
        room_worst: the same at worst registration.
        spot: (x, y, z) of the least room, assembly frame.
        panel: the panel in the way there, "A" or "B".
        captive: it cannot leave in the plane (or something else holds it).
        way_out: degrees of the direction in which it leaves, if it does.
        slides: how far it moves that way before it meets board, mm; infinite if it leaves. Of a captive item:
            how far it moves in its loosest direction.
        toward: how far it can move toward the glue plane if it lies in one panel alone, mm; 0 if in both.
    """

    name: str
    room: float
    room_worst: float
    spot: tuple[float, float, float]
    panel: str
    captive: bool
    way_out: float | None = None
    slides: float = 0.0
    toward: float = 0.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Overlap:
    """Two items that want the same place: how far they overlap, mm, and where."""

    first: str
    second: str
    by: float
    spot: Spot


def closing(sign: Sign, play: Mapping[str, float]) -> tuple[ItemFit, ...]:
    """How every item sits, in the order of the job.

    Args:
        sign: the sign.
        play: by item name, how far its pockets may be out of place in the plane at worst, mm.
    """
    board = slabs(sign)
    rooms = [_rooms(item, sign, board, play.get(item.name, 0.0)) for item in sign.items]
    ways = escapes(
        sign, board, {item.key: min(0.0, room.room) for item, room in zip(sign.items, rooms, strict=True)}
    )
    fits = (_fit(item, room, ways[item.key]) for item, room in zip(sign.items, rooms, strict=True))
    return tuple(
        replace(fit, toward=toward_glue_plane(item, sign, board))
        for item, fit in zip(sign.items, fits, strict=True)
    )


def is_loose(item: Item, fit: ItemFit) -> bool:
    """Whether nothing holds an item toward the glue plane by its clearance in depth."""
    return not item.held_by and fit.toward > item.depth_clearance + SAME


def _fit(item: Item, room: "_Room", way: Escape) -> ItemFit:
    return ItemFit(
        name=item.name,
        room=room.room,
        room_worst=room.worst,
        spot=room.spot,
        panel=room.panel,
        captive=bool(item.held_by) or not math.isinf(way.slides),
        way_out=way.direction if math.isinf(way.slides) else None,
        slides=way.slides,
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class _Room:
    """Room of one part against one slab, nominal and at worst registration."""

    room: float
    worst: float
    spot: Spot
    panel: Panel


def _rooms(item: Item, sign: Sign, board: tuple[Slab, ...], play: float) -> _Room:
    """The least room of an item, nominal; and the least at worst, which may be in another place."""
    for around in (AROUND, math.inf):
        found = list(_against_all(item, board, play, around))
        if found:
            found += _in_channels(item, sign, play, min(found, key=lambda room: (room.room, room.worst)))
        least = min(found, key=lambda room: (room.room, room.worst), default=None)
        if least is not None and (least.room < around - item.clearance or math.isinf(around)):
            return _Room(
                room=least.room, worst=min(r.worst for r in found), spot=least.spot, panel=least.panel
            )
    raise AssertionError("a panel has board")


def _against_all(item: Item, board: tuple[Slab, ...], play: float, around: float) -> Iterator[_Room]:
    window = _window(item, around)
    best = (math.inf, math.inf)
    for slab in board:
        local = near(slab, window) if math.isfinite(around) else slab
        for room in _against_slab(item, local, play, best):
            best = min(best[0], room.room), min(best[1], room.worst)
            yield room


def _window(item: Item, around: float) -> Bounds:
    bounds = shapely.total_bounds([_shadow(part) for part in item.parts])
    return (*(bounds[:2] - around), *(bounds[2:] + around))


def _against_slab(item: Item, slab: Slab, play: float, best: tuple[float, float]) -> Iterator[_Room]:
    for part in item.parts if not slab.board.is_empty else ():
        if item.split not in ("both", slab.panel) and depths(part, slab.panel)[1] <= SAME:
            # Steel in one panel may lie against the glue plane of the other: nothing jams there.
            continue
        for room in _against(part, slab, play, best):
            best = min(best[0], room.room), min(best[1], room.worst)
            yield room


def _in_channels(item: Item, sign: Sign, play: float, least: _Room) -> Iterator[_Room]:
    """Room to the round walls of channels, where it may be less than is known already."""
    far = max(least.room, least.worst + play)
    for panel in sign.panels:
        for pocket in panel.pockets:
            channel = pocket.channel
            if channel is None or not pocket.as_cut.dwithin(_shadows(item), far):
                continue
            planned = {part: _as_planned(part, item, pocket, panel, play) for part in item.parts}
            yield from (room for room in planned.values() if room)
            deeper = union(
                each.as_cut for each in panel.pockets if each.depth > channel.depth and not each.channel
            )
            wall = pocket.as_cut.difference(deeper)
            near_wall = tuple(p for p, room in planned.items() if not room and wall.dwithin(_shadow(p), far))
            if near_wall:
                yield from _beside_channel(replace(item, parts=near_wall), channel, panel, play, far)


def _shadows(item: Item) -> MultiPolygon:
    return union(_shadow(part) for part in item.parts)


def _as_planned(part: Solid, item: Item, pocket: Pocket, panel: PanelPlan, play: float) -> _Room | None:
    """Room of a rod that lies in its channel with all the room that was asked for; None of any other part.

    Over another channel, a washer on the same axis say, its own pocket may have taken the wall away.
    """
    axis = lies_in(part, pocket, panel.outline)
    if axis is None or pocket.channel is None:
        return None
    _, deepest, middle = depths(part, panel.id)
    room, worst = (wall_room(pocket.channel, middle, off) - (deepest - middle) for off in (0.0, play))
    if room < min(item.clearance, item.depth_clearance) - SAME:
        return None
    spot = axis.interpolate(0.5, normalized=True)
    return _Room(room=room, worst=worst, spot=(spot.x, spot.y, height(deepest, panel.id)), panel=panel.id)


def _beside_channel(
    item: Item, channel: Channel, panel: PanelPlan, play: float, far: float
) -> Iterator[_Room]:
    """Anything else over a channel: ever closer to the depth at which there is least room to its wall."""
    window = _window(item, far + TOUCH)
    start, end = 0.0, 1.0
    for steps in CLOSER:
        tightest = []
        for depth in channel.depths(start, end, steps=steps):
            slab = slab_at(panel, depth, window)
            rooms = list(_against_slab(item, slab, play, (math.inf, math.inf)))
            tightest.append(min((room.room for room in rooms), default=math.inf))
            yield from rooms
        step, k = (end - start) / steps, int(np.argmin(tightest))
        start, end = max(0.0, start + (k - 1) * step), min(1.0, start + (k + 1) * step)


def _shadow(part: Solid) -> Polygon | MultiPolygon:
    return section(part, "A", part.z)


def _against(part: Solid, slab: Slab, play: float, best: tuple[float, float]) -> Iterator[_Room]:
    """Room of a part beside or in a slab, and over it where that could be the least.

    Beside it the widest section below the floor is the nearest. Over it a wider section may be.
    """
    below = widest(part, slab.panel, slab.floor)
    if below is not None:
        yield _beside(part, slab, play, below)
    _, high, middle = depths(part, slab.panel)
    if middle >= slab.floor:
        return
    gap = max(0.0, slab.floor - high)
    side = float(shapely.distance(_shadow(part), slab.board))
    if math.hypot(side, gap) < best[0] or math.hypot(max(0.0, side - play), gap) < best[1]:
        yield _over(part, slab, play)


def _beside(part: Solid, slab: Slab, play: float, depth: float) -> _Room:
    """A part that reaches below the floor of a slab: room sideways, or how far it is in the board."""
    shape = section(part, slab.panel, depth)
    _, high, _ = depths(part, slab.panel)
    buried = high - slab.floor
    inside = area_of(shape.intersection(slab.board), least=SAME)
    if inside.is_empty:
        point = _first_end(shapely.shortest_line(shape, slab.board))
        side = float(shapely.distance(shape, slab.board))
    else:
        side, point = _overlap_beside(inside, slab)
    spot = *point, height(depth, slab.panel)
    return _Room(room=max(side, -buried), worst=max(side - play, -buried), spot=spot, panel=slab.panel)


def _first_end(line: LineString) -> tuple[float, float]:
    x, y, *_ = line.coords[0]
    return x, y


def _overlap_beside(inside: MultiPolygon, slab: Slab) -> tuple[float, tuple[float, float]]:
    """How far steel must move sideways to leave the board that it is in, as a negative room; and where."""
    corners = shapely.get_coordinates(inside.segmentize(EVERY))
    free = shapely.box(*slab.board.bounds).difference(slab.board)
    if free.is_empty:
        return -math.inf, (float(corners[0, 0]), float(corners[0, 1]))
    away = np.asarray(shapely.distance(shapely.points(corners), free))
    k = int(np.argmax(away))
    return -float(away[k]), (float(corners[k, 0]), float(corners[k, 1]))


def _over(part: Solid, slab: Slab, play: float) -> _Room:
    """What of a part lies above the floor of a slab: least distance in space to it."""
    _, deepest, lowest = depths(part, slab.panel)
    high = min(deepest, slab.floor)
    if not isinstance(part, Bar):
        return _nearest(part, slab, play, np.array([high]))
    found = _nearest(part, slab, play, np.linspace(lowest, high, SAMPLES))
    step = (high - lowest) / (SAMPLES - 1)
    depth = found.spot[2] if slab.panel == "A" else -found.spot[2]
    close_up = np.linspace(max(lowest, depth - step), min(high, depth + step), SAMPLES)
    return min(found, _nearest(part, slab, play, close_up), key=lambda room: room.room)


def _nearest(part: Solid, slab: Slab, play: float, at: np.ndarray) -> _Room:
    shapes = sections(part, slab.panel, at)
    side, gap = shapely.distance(shapes, slab.board), slab.floor - at
    room, worst = np.hypot(side, gap), np.hypot(np.maximum(0.0, side - play), gap)
    k = int(np.argmin(room))
    point = _first_end(shapely.shortest_line(shapes[k], slab.board))
    spot = *point, height(float(at[k]), slab.panel)
    return _Room(room=float(room[k]), worst=float(worst.min()), spot=spot, panel=slab.panel)


def overlaps(sign: Sign) -> tuple[Overlap, ...]:
    """Pairs of items that overlap each other by more than a touch."""
    found = (_deepest(first, second) for first, second in combinations(sign.items, 2))
    return tuple(overlap for overlap in found if overlap is not None)


def _deepest(first: Item, second: Item) -> Overlap | None:
    pairs = (
        _overlap(part, other)
        for part in first.parts
        for other in second.parts
        if _shadow(part).intersects(_shadow(other))
    )
    by, spot = max(pairs, default=(0.0, (0.0, 0.0, 0.0)))
    return Overlap(first=first.name, second=second.name, by=by, spot=spot) if by > TOUCH else None


def _overlap(part: Solid, other: Solid) -> tuple[float, Spot]:
    """How far two parts overlap: the least of their common height and the width of their common section."""
    low, high = max(part.span[0], other.span[0]), min(part.span[1], other.span[1])
    best: tuple[float, Spot] = (0.0, (0.0, 0.0, 0.0))
    if high - low <= TOUCH:
        return best
    for z in sorted({low, (low + high) / 2, high, *(min(max(p.z, low), high) for p in (part, other))}):
        common = area_of(part.section(z).intersection(other.section(z)), least=SAME)
        for piece in common.geoms:
            middle: Point = piece.representative_point()
            wide = 2 * float(shapely.maximum_inscribed_circle(piece, tolerance=TOUCH).length)
            best = max(best, (min(wide, high - low), (middle.x, middle.y, z)))
    return best
