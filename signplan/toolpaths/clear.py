"""Clearing: every place of a region, pass beside pass, level by level.

By rings, each an offset of the one outside it, or by parallel rows and once round the wall; whichever is
quicker. Rings run so that the wall is on the cutter's right: climb cutting with the spindle turning
clockwise seen from above. Rest clearing follows the same rings, but only where board was left.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon, affinity
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME, quarter_segments
from signplan.geometry.shapes import EMPTY, area_of, grow, rings_of, simplified
from signplan.job.shop import Machine, Tool
from signplan.operations.model import Clearing
from signplan.operations.practice import STEPOVER, levels
from signplan.toolpaths.lines import Floats, chained, is_closed, ring_from, ring_lines, stop_length
from signplan.toolpaths.links import Stroke, level

RING_CHORD = 0.02
"""Chord error of inner rings; the outermost one, which makes the wall, keeps that of the geometry."""


@dataclass(kw_only=True, eq=False)
class Node:
    """A piece of the cutter's room at one offset; the pieces inside it are cut before it."""

    shape: Polygon
    around: "Node | None" = None
    waits_for: int = 0


def centres_of(work: Clearing, tool: Tool) -> MultiPolygon:
    """Where the middle of the cutter may go."""
    return simplified(grow(work.within, -tool.diameter / 2))


def clear(work: Clearing, tool: Tool, machine: Machine) -> tuple[Stroke, ...]:
    """The strokes that clear a region whole, piece by piece and level by level."""
    centres = centres_of(work, tool)
    step = STEPOVER * tool.diameter
    strokes: list[Stroke] = []
    here: Floats | None = None
    left = list(centres.geoms)
    while left:
        piece = left.pop(_nearest(left, here))
        top = work.top
        for depth in levels(work.top, work.floor, tool):
            lines = quickest_passes(piece, step, here, machine)
            strokes += [_stroke(line, depth, top) for line in lines]
            here, top = lines[-1][-1], depth
    return tuple(strokes)


def _stroke(line: Floats, depth: float, top: float) -> Stroke:
    return Stroke(points=level(line, -depth), top=-top, closed=is_closed(line))


def _nearest(pieces: Sequence[BaseGeometry], here: Floats | None) -> int:
    if here is None:
        return 0
    return int(np.argmin(np.asarray(shapely.distance(shapely.Point(here), pieces))))


def quickest_passes(piece: Polygon, step: float, here: Floats | None, machine: Machine) -> list[Floats]:
    """Rings or rows, (N, 2) each: the set that takes less, length and stops in corners counted.

    Rows and the walls after them are at least  area / step + perimeter  long; where rings take less they are
    not even made.
    """
    rings = ring_passes(piece, step, here)
    cost = _cost(rings, machine)
    if piece.area / step + piece.length > cost:
        return rings
    rows = row_passes(piece, step, here)
    return rows if rows and _cost(rows, machine) < cost else rings


def _cost(lines: list[Floats], machine: Machine) -> float:
    """Length, mm, with links, and with what is lost by slowing down at corners."""
    whole = np.concatenate(lines)
    return float(np.linalg.norm(np.diff(whole, axis=0), axis=1).sum()) + stop_length(whole, machine)


# Rings


def offsets(piece: Polygon, step: float) -> list[Node]:
    """The room and its offsets inward, `step` apart, from the outside in."""
    front = [Node(shape=piece)]
    found = list(front)
    segments = quarter_segments(step, RING_CHORD)
    while front:
        inner: list[Node] = []
        for node in front:
            parts = simplified(node.shape.buffer(-step, quad_segs=segments), RING_CHORD / 4).geoms
            node.waits_for = len(parts)
            inner += [Node(shape=part, around=node) for part in parts]
        found += inner
        front = inner
    return found


def ring_passes(piece: Polygon, step: float, here: Floats | None = None) -> list[Floats]:
    """Rings from the inside outward, so that the cutter widens a place that it has opened.

    Whenever a place is as wide as it can get before the next one meets it, the nearest such place follows.
    """
    ready = [node for node in offsets(piece, step) if not node.waits_for]
    found: list[Floats] = []
    while ready:
        node: Node | None = ready.pop(_nearest([each.shape for each in ready], here))
        while node is not None:
            rings = _rings_of(node.shape, here)
            found += rings
            here = rings[-1][-1]
            node = node.around
            if node is not None:
                node.waits_for -= 1
                node = None if node.waits_for else node
    return found


def _rings_of(shape: Polygon, here: Floats | None) -> list[Floats]:
    """The rings of a piece, the nearest next, each from its nearest point."""
    left = ring_lines(shape)
    found: list[Floats] = []
    while left:
        near = 0 if here is None else _nearest([LineString(ring) for ring in left], here)
        found.append(ring_from(left.pop(near), here))
        here = found[-1][-1]
    return found


# Rows


def row_passes(piece: Polygon, step: float, here: Floats | None = None) -> list[Floats]:
    """Rows along the longer side, to and fro, then once round every wall. Both outer rows are cut.

    n = ceil(W / step) + 1 rows, W / (n - 1) apart.
    """
    angle = _long_side(piece)
    turned = affinity.rotate(piece, -angle, origin=(0, 0), use_radians=True)
    _, y0, _, y1 = turned.bounds
    if y1 - y0 <= step / 2:
        return []
    count = math.ceil((y1 - y0) / step) + 1
    ys = np.linspace(y0, y1, count)[1:-1]
    if not len(ys):
        return []
    rows = _rows_across(turned, ys)
    back = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
    lines = [row @ back for row in _to_and_fro(rows, turned)]
    if not lines:
        return []
    return lines + _rings_of(piece, lines[-1][-1])


def _rows_across(room: Polygon, ys: Floats) -> list[tuple[int, Floats]]:
    """The stretches at heights ys that lie in the room, (2, 2) each, from left to right, with their row.

    A side crosses every row from its lower end up to, but not at, its upper one, so that crossings pair.
    """
    rings = [shapely.get_coordinates(ring) for ring in rings_of(room)]
    start, end = (np.concatenate([ring[part] for ring in rings]) for part in (np.s_[:-1], np.s_[1:]))
    first, last = np.sort(np.searchsorted(ys, np.stack([start[:, 1], end[:, 1]])), axis=0)
    side = np.repeat(np.arange(len(start)), last - first)
    row = np.arange(len(side)) - np.repeat(np.cumsum(last - first) - last, last - first)
    (x, y), (dx, dy) = start[side].T, (end - start)[side].T
    across = x + (ys[row] - y) / dy * dx
    order = np.lexsort([across, row])
    row, ends = row[order][::2], across[order].reshape(-1, 2)
    long = ends[:, 1] - ends[:, 0] > SAME
    spots = np.stack([ends, np.repeat(ys[row][:, None], 2, axis=1)], axis=2)
    return list(zip(row[long].tolist(), spots[long], strict=True))


def _long_side(piece: Polygon) -> float:
    box = shapely.oriented_envelope(piece)
    corners = shapely.get_coordinates(box)
    if len(corners) < 4:
        return 0.0
    sides = np.diff(corners[:3], axis=0)
    long = sides[int(np.argmax(np.linalg.norm(sides, axis=1)))]
    return math.atan2(long[1], long[0]) % math.pi


def _to_and_fro(rows: list[tuple[int, Floats]], room: Polygon) -> Iterator[Floats]:
    """Row after row, each entered at its nearer end; rows that can be reached without lifting come first."""
    ends = np.array([row for _, row in rows])
    numbers = np.array([number for number, _ in rows])
    left = np.ones(len(rows), dtype=bool)
    open_room = room.buffer(1e-3, quad_segs=1)
    shapely.prepare(open_room)
    k, end = 0, 0
    while True:
        left[k] = False
        yield ends[k] if end == 0 else ends[k, ::-1]
        if not left.any():
            return
        at, row = ends[k, 1 - end], numbers[k]
        gaps = np.where(left[:, None], np.linalg.norm(ends - at, axis=2), np.inf)
        beside = np.where((np.abs(numbers - row) == 1)[:, None], gaps, np.inf)
        k, end = divmod(int(np.argmin(beside)), 2)
        if not np.isfinite(beside[k, end]) or not open_room.covers(LineString([at, ends[k, end]])):
            k, end = divmod(int(np.argmin(gaps)), 2)


# Rest


def clear_rest(work: Clearing, tool: Tool) -> tuple[Stroke, ...]:
    """The strokes that clear what a larger cutter left: the rings of the room where they touch it.

    A ring takes away what it sweeps, so that the next one inward is followed only where board still stands.
    """
    radius, step = tool.diameter / 2, STEPOVER * tool.diameter
    segments = quarter_segments(step, RING_CHORD)
    centres, left = centres_of(work, tool), work.region
    lines: list[Floats] = []
    while not centres.is_empty and not left.is_empty:
        near = left.buffer(radius - 1e-3, quad_segs=quarter_segments(radius, RING_CHORD))
        rings = shapely.multilinestrings([LineString(r) for part in centres.geoms for r in ring_lines(part)])
        touching = shapely.line_merge(rings.intersection(near), directed=True)
        parts = [part for part in shapely.get_parts(touching) if part.length > 1e-3]
        if parts:
            lines += [shapely.get_coordinates(part) for part in parts]
            swept = shapely.multilinestrings(parts).buffer(radius, quad_segs=16)
            left = area_of(left.difference(swept), least=0.02)
        centres = simplified(centres.buffer(-step, quad_segs=segments), RING_CHORD / 4)
    strokes: list[Stroke] = []
    here: Floats | None = None
    for spot in _by_place(lines, work.region):
        top = work.top
        for depth in levels(work.top, work.floor, tool):
            order = chained(spot, keep_direction=True, here=here)
            strokes += [_stroke(line, depth, top) for line in order]
            here, top = order[-1][-1], depth
    return tuple(strokes)


def _by_place(lines: list[Floats], region: MultiPolygon) -> Iterator[list[Floats]]:
    """The lines of each separate place, the nearest place next; each is finished before it is left."""
    places: dict[int, list[Floats]] = {}
    parts = shapely.STRtree(list(region.geoms))
    for line in lines:
        places.setdefault(int(parts.nearest(LineString(line))), []).append(line)
    left = [places[k] for k in sorted(places)]
    here: Floats | None = None
    while left:
        starts = np.array([lines[0][0] for lines in left])
        near = 0 if here is None else int(np.argmin(((starts - here) ** 2).sum(axis=1)))
        here = left[near][-1][-1]
        yield left.pop(near)


def swept(strokes: tuple[Stroke, ...], radius: float) -> MultiPolygon:
    """What a flat cutter clears in plan along strokes."""
    if not strokes:
        return EMPTY
    lines = [
        LineString(s.points[:, :2]) if len(s.points) > 1 else shapely.Point(s.points[0, :2]) for s in strokes
    ]
    return area_of(
        shapely.union_all([line.buffer(radius, quad_segs=quarter_segments(radius)) for line in lines])
    )
