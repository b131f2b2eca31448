"""From strokes to one path: how the cutter gets into the board, from one stroke to the next, and out again.

A stroke is a cut with the tool down. Between two strokes the cutter stays down where its middle may travel
at that depth, and where that is no longer way than lifting; otherwise it lifts to clearance height, above
everything that stands. It never moves sideways below the face anywhere else.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point

from signplan.errors import SignplanError
from signplan.job.shop import Machine, Tool
from signplan.operations.practice import APPROACH, RAMP
from signplan.toolpaths.lines import Floats, cut_at, distances, ring_from, ring_lines
from signplan.toolpaths.model import Move, Toolpath

STAY_DOWN = 3.0
"""A link at depth may be this many times as long as lifting and coming down again: it goes at the slower
feed, but without a plunge."""

TOGETHER = 1e-6
"""Places nearer than this are one, mm."""

SLACK = 1e-3
"""How far a link may leave the cutter's room: rounding, not a cut."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Stroke:
    """One cut.

    Attributes:
        points: (N, 3), at least one point.
        top: Z of the board that stands over its start, 0 or negative.
        closed: it ends where it begins, so that an entry may ramp along it.
        ramps: whether the entry goes down along the stroke, if the cutter is not driven straight in.
    """

    points: Floats
    top: float
    closed: bool = False
    ramps: bool = True


def joined(
    strokes: Iterable[Stroke], *, tool: Tool, machine: Machine, room: MultiPolygon | None = None
) -> Toolpath:
    """One path through the strokes in the order given.

    Args:
        room: where the middle of the cutter may be at the depth of any stroke; None: it always lifts.

    Raises:
        SignplanError: there is no stroke.
    """
    track = _Track(clearance=machine.clearance_z, tool=tool, room=_Room(room))
    for stroke in strokes:
        track.add(stroke)
    return track.path()


def level(line: Floats, z: float) -> Floats:
    """A line of the plane, (N, 2), at one height."""
    return np.column_stack([line, np.full(len(line), z)])


class _Room:
    """Where the middle of the cutter may travel at depth, and the ways through it."""

    def __init__(self, shape: MultiPolygon | None) -> None:
        self.shape = None if shape is None or shape.is_empty else shape.buffer(SLACK, quad_segs=1)
        self.rings: list[LineString] = []
        if self.shape is not None and shape is not None:
            shapely.prepare(self.shape)
            self.rings = [LineString(ring) for part in shape.geoms for ring in ring_lines(part)]
        self.nearest = shapely.STRtree(self.rings)

    def way(self, start: Floats, end: Floats, most: float) -> Floats | None:
        """The points after `start` of a way to `end`, (N, 2): straight, or along a wall; None if too long."""
        if self.shape is None or math.dist(start, end) > most:
            return None
        if self._clear(start, end):
            return end[None]
        along = self._along_wall(start, end, most)
        return along if along is not None and _length(start, along) <= most else None

    def _clear(self, start: Floats, end: Floats) -> bool:
        return self.shape is not None and bool(self.shape.covers(LineString([start, end])))

    def _along_wall(self, start: Floats, end: Floats, most: float) -> Floats | None:
        """To the nearest wall, along it the shorter way round, and off it, if one ring is nearest to both."""
        ends = (Point(start), Point(end))
        near, other = (int(self.nearest.nearest(spot)) for spot in ends)
        if near != other:
            return None
        ring = self.rings[near]
        first, last = (float(shapely.line_locate_point(ring, spot)) for spot in ends)
        total = ring.length
        forward = (last - first) % total
        if min(forward, total - forward) > most:
            return None
        points = shapely.get_coordinates(ring)
        turned = ring_from(points, shapely.get_coordinates(ring.interpolate(first))[0])
        if forward > total / 2:
            turned, forward = turned[::-1], total - forward
        along = cut_at(turned, distances(turned), forward)
        if not (self._clear(start, along[0]) and self._clear(along[-1], end)):
            return None
        return np.concatenate([along, end[None]])


def _length(start: Floats, points: Floats) -> float:
    return float(distances(np.concatenate([start[None], points]))[-1])


class _Track:
    """The path as it grows."""

    def __init__(self, *, clearance: float, tool: Tool, room: _Room) -> None:
        self.clearance = clearance
        self.tool = tool
        self.room = room
        self.points: list[Floats] = []
        self.moves: list[NDArray[np.int8]] = []

    def add(self, stroke: Stroke) -> None:
        """Go to a stroke and cut it; a closed one from its point nearest to where the cutter is."""
        if stroke.closed and self.points:
            stroke = replace(stroke, points=ring_from(stroke.points, self._at[:2]))
        start = stroke.points[0]
        if not self.points:
            self.points.append(np.array([[start[0], start[1], self.clearance]]))
            self._down(stroke)
            return
        lift = 2 * (self.clearance - min(self._at[2], start[2]))
        way = self._way(start[:2], STAY_DOWN * lift)
        if way is not None:
            self._link(stroke, way)
        else:
            self._lift()
            self._go(np.array([[start[0], start[1], self.clearance]]), Move.RAPID)
            self._down(stroke)

    def _way(self, end: Floats, most: float) -> Floats | None:
        here = self._at[:2]
        if math.dist(here, end) < TOGETHER:
            return np.empty((0, 2))
        return self.room.way(here, end, most)

    def path(self) -> Toolpath:
        """What was done, and up to clearance; moves that go nowhere left out."""
        if not self.points:
            raise SignplanError(f"'{self.tool.id}' has nothing to cut here")
        self._lift()
        points, moves = np.concatenate(self.points), np.concatenate(self.moves)
        goes = np.abs(np.diff(points, axis=0)).max(axis=1) > TOGETHER / 10
        return Toolpath(points=points[np.concatenate([[True], goes])], moves=moves[goes])

    @property
    def _at(self) -> Floats:
        last: Floats = self.points[-1][-1]
        return last

    def _go(self, points: Floats, move: Move) -> None:
        if len(points):
            self.points.append(points)
            self.moves.append(np.full(len(points), move, dtype=np.int8))

    def _lift(self) -> None:
        x, y, _ = self._at
        self._go(np.array([[x, y, self.clearance]]), Move.RAPID)

    def _link(self, stroke: Stroke, way: Floats) -> None:
        """Along the floor just cut, and down from there if the next stroke is deeper."""
        start, z = stroke.points[0], self._at[2]
        self._go(level(way, max(z, start[2])), Move.CUT)
        if start[2] < z - TOGETHER:
            self._into(stroke, z)
        else:
            here = math.dist(self._at, start) < TOGETHER
            self._go(stroke.points[1:] if here else stroke.points, Move.CUT)

    def _down(self, stroke: Stroke) -> None:
        x, y, z = stroke.points[0]
        near = min(self.clearance, stroke.top + APPROACH)
        if near < self.clearance:
            self._go(np.array([[x, y, near]]), Move.RAPID)
        top = max(stroke.top, z)
        self._go(np.array([[x, y, top]]), Move.PLUNGE)
        self._into(stroke, top)

    def _into(self, stroke: Stroke, top: float) -> None:
        """From the surface at `top` down to the stroke and along it."""
        deep = top - float(stroke.points[:, 2].min())
        ramp = _ramp(stroke, deep, self.tool) if deep > 1e-9 else None
        if ramp is not None:
            self._go(ramp, Move.CUT)
        else:
            if top - stroke.points[0, 2] > 1e-9:
                self._go(stroke.points[:1], Move.PLUNGE)
            self._go(stroke.points[1:], Move.CUT)


def _ramp(stroke: Stroke, deep: float, tool: Tool) -> Floats | None:
    """The stroke with a ramped entry in front of it, from its start at the surface; None to plunge.

    A closed stroke is spiralled down, as often round as the slope asks for, and then cut once all round. An
    open one is gone down along and back, so that it is cut from its start.
    """
    if not stroke.ramps or tool.shape not in ("flat", "ball") or len(stroke.points) < 2:
        return None
    way = distances(stroke.points)
    if way[-1] < (tool.diameter / 4 if tool.plunges else TOGETHER):
        return None
    down = _spiral if stroke.closed else _to_and_fro
    return down(stroke.points, way, deep)


def _to_and_fro(line: Floats, way: Floats, deep: float) -> Floats:
    """Along the line and back, falling evenly, as often as the slope asks for."""
    half = min(deep / RAMP / 2, way[-1])
    turns = max(1, math.ceil(deep / RAMP / 2 / way[-1]))
    out = cut_at(line, way, half)
    share = distances(out) / half
    legs = []
    for turn in range(turns):
        there, back = out.copy(), out[::-1].copy()
        there[:, 2] += deep * (1 - (2 * turn + share) / (2 * turns))
        back[:, 2] += deep * (1 - (2 * turn + 2 - share[::-1]) / (2 * turns))
        legs += [there[1:], back[1:]]
    return np.concatenate([*legs, line[1:]])


def _spiral(ring: Floats, way: Floats, deep: float) -> Floats:
    """Round the ring and down, then once round it from wherever the bottom was reached."""
    need = deep / RAMP
    rounds = int(need // way[-1])
    part = need - rounds * way[-1]
    last = cut_at(ring, way, part)
    down = np.concatenate([ring, *[ring[1:]] * (rounds - 1), last[1:]]) if rounds else last
    down = down.copy()
    down[:, 2] = np.minimum(
        down[:, 2] + deep * (1 - np.minimum(distances(down) / need, 1)), ring[0, 2] + deep
    )
    return np.concatenate([down[1:], ring[way > part + TOGETHER], last[1:]])
