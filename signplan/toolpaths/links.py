"""From strokes to one path: how the cutter gets into the board, from one stroke to the next, and out again.

A stroke is a cut with the tool down. Between two strokes the cutter stays down where its middle may travel
at that depth, and where that is no longer way than lifting; otherwise it lifts to clearance height, above
everything that stands. It never moves sideways below the face anywhere else.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon

from signplan.errors import SignplanError
from signplan.job.shop import Machine, Tool
from signplan.operations.practice import APPROACH, RAMP
from signplan.toolpaths.model import Move, Toolpath

Floats = NDArray[np.float64]

STAY_DOWN = 3.0
"""A link at depth may be this many times as long as lifting and coming down again: it goes at the slower
feed, but without a plunge."""

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
    """Whether straight links stay inside a shape; every question is remembered by its answer's cost only."""

    def __init__(self, shape: MultiPolygon | None) -> None:
        self.shape = None if shape is None or shape.is_empty else shape.buffer(SLACK, quad_segs=1)
        if self.shape is not None:
            shapely.prepare(self.shape)

    def allows(self, start: Floats, end: Floats) -> bool:
        if self.shape is None:
            return False
        return bool(self.shape.covers(LineString([start[:2], end[:2]])))


class _Track:
    """The path as it grows."""

    def __init__(self, *, clearance: float, tool: Tool, room: _Room) -> None:
        self.clearance = clearance
        self.tool = tool
        self.room = room
        self.points: list[Floats] = []
        self.moves: list[NDArray[np.int8]] = []

    def add(self, stroke: Stroke) -> None:
        start = stroke.points[0]
        if not self.points:
            self.points.append(np.array([[start[0], start[1], self.clearance]]))
            self._down(stroke)
        elif self._stays(start):
            self._link(stroke)
        else:
            self._lift()
            self._go(np.array([[start[0], start[1], self.clearance]]), Move.RAPID)
            self._down(stroke)

    def path(self) -> Toolpath:
        if not self.points:
            raise SignplanError(f"'{self.tool.id}' has nothing to cut here")
        self._lift()
        return Toolpath(points=np.concatenate(self.points), moves=np.concatenate(self.moves))

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

    def _stays(self, start: Floats) -> bool:
        here = self._at
        way = math.dist(here[:2], start[:2])
        lift = 2 * (self.clearance - min(here[2], start[2]))
        return way <= STAY_DOWN * lift and self.room.allows(here, start)

    def _link(self, stroke: Stroke) -> None:
        """Along the floor just cut, and down from there if the next stroke is deeper."""
        start, z = stroke.points[0], self._at[2]
        if math.dist(self._at[:2], start[:2]) > 1e-9:
            self._go(np.array([[start[0], start[1], max(z, start[2])]]), Move.CUT)
        if start[2] < z - 1e-9:
            self._into(stroke, z)
        else:
            self._go(stroke.points if z > start[2] + 1e-9 else stroke.points[1:], Move.CUT)

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
        deep = top - stroke.points[0, 2]
        ramp = _ramp(stroke, deep, self.tool) if deep > 1e-9 else None
        if ramp is not None:
            self._go(ramp, Move.CUT)
        else:
            if deep > 1e-9:
                self._go(stroke.points[:1], Move.PLUNGE)
            self._go(stroke.points[1:], Move.CUT)


def _ramp(stroke: Stroke, deep: float, tool: Tool) -> Floats | None:
    """The stroke with a ramped entry in front of it, from its start at the surface; None to plunge.

    A closed stroke is spiralled down, as often round as the slope asks for, and then cut once all round. An
    open one is gone down along and back, so that it is cut from its start.
    """
    if not stroke.ramps or tool.shape not in ("flat", "ball") or len(stroke.points) < 2:
        return None
    way = _distances(stroke.points[:, :2])
    if way[-1] < tool.diameter / 4 and tool.plunges:
        return None
    if way[-1] <= 1e-6:
        return None
    need = deep / RAMP
    if stroke.closed:
        return _spiral(stroke.points, way, need, deep)
    half = min(need / 2, way[-1])
    turns = max(1, math.ceil(need / 2 / way[-1]))
    out = _cut_at(stroke.points, way, half)
    fall = deep / (2 * turns)
    legs: list[Floats] = []
    for turn in range(turns):
        share = _distances(out[:, :2]) / half
        z = deep - 2 * turn * fall
        there, back = out.copy(), out[::-1].copy()
        there[:, 2] += z - share * fall
        back[:, 2] += z - fall - share * fall
        legs += [there[1:], back[1:]]
    return np.concatenate([*legs, stroke.points[1:]])


def _spiral(ring: Floats, way: Floats, need: float, deep: float) -> Floats:
    """Round the ring and down, then once round it from wherever the bottom was reached."""
    rounds = int(need // way[-1])
    part = need - rounds * way[-1]
    legs = [ring] * rounds + [_cut_at(ring, way, part)]
    down = np.concatenate([leg if k == 0 else leg[1:] for k, leg in enumerate(legs)])
    far = np.minimum(_distances(down[:, :2]) / need, 1.0)
    down = down.copy()
    down[:, 2] += deep * (1 - far)
    rest = way > part + 1e-9
    after = np.concatenate([ring[rest], _cut_at(ring, way, part)[1:]])
    return np.concatenate([down[1:], after])


def _cut_at(line: Floats, way: Floats, far: float) -> Floats:
    """The first part of a line, `far` along it."""
    k = int(np.searchsorted(way, far, side="left"))
    if k == 0:
        return line[:1]
    share = (far - way[k - 1]) / max(way[k] - way[k - 1], 1e-12)
    end = line[k - 1] + min(share, 1.0) * (line[min(k, len(line) - 1)] - line[k - 1])
    return np.vstack([line[:k], end])


def _distances(line: Floats) -> Floats:
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    return np.concatenate([[0.0], np.cumsum(steps)])
