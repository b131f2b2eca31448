"""Regions to clear, as a round cutter meets them: where it may go, what it reaches, what it leaves.

Everything is in the view of one face, mm. Knows nothing of tools but their radius.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import shapely
from shapely import MultiPolygon, Polygon

from signplan.geometry.shapes import EMPTY, area_of, grow, simplified
from signplan.operations.practice import OVERLAP, RUN_OUT

ROUGHLY = 0.05
"""What a boundary may move by, mm, while cutters are only compared."""

EDGE = 0.01
"""A wall closer than this to the panel's edge is no wall: the region is open there."""


@dataclass(frozen=True, kw_only=True)
class Room:
    """A region to clear, and where a cutter may go while it does: no wall where the region meets the edge.

    `outline` is the panel's edge in the same view, or None where the region cannot reach it. What was asked
    once is remembered.
    """

    region: MultiPolygon
    outline: Polygon | None = None
    _within: dict[tuple[float, float], MultiPolygon] = field(default_factory=dict, repr=False, compare=False)
    _reached: dict[tuple[float, float], MultiPolygon] = field(default_factory=dict, repr=False, compare=False)

    _tasks: dict[tuple[float, float, float], MultiPolygon] = field(
        default_factory=dict, repr=False, compare=False
    )

    @cached_property
    def roughly(self) -> "Room":
        """The same room with fewer corners, for comparing cutters; itself where its edge must stay exact."""
        return self if self.outline else Room(region=simplified(self.region, ROUGHLY))

    @cached_property
    def open_edge(self) -> shapely.geometry.base.BaseGeometry:
        """The part of the region's boundary that lies on the panel's edge."""
        if self.outline is None:
            return shapely.LineString()
        return self.region.boundary.intersection(self.outline.boundary.buffer(EDGE, quad_segs=2))

    @property
    def is_open(self) -> bool:
        """Whether it has an open side."""
        return bool(self.open_edge.length > EDGE)

    def open_at(self, past: float) -> MultiPolygon:
        """The waste outside the open edge, `past` wide."""
        if self.outline is None or not self.is_open:
            return EMPTY
        return area_of(self.open_edge.buffer(past, quad_segs=8).difference(self.outline))

    def within(self, radius: float, allowance: float = 0.0) -> MultiPolygon:
        """Where a cutter's edge may go: the region less `allowance` on its walls, and past its open side."""
        key = (radius, allowance)
        if key not in self._within:
            band = self.open_at(radius + allowance + RUN_OUT)
            room = self.region if band.is_empty else area_of(self.region.union(band.buffer(EDGE)))
            self._within[key] = grow(room, -allowance) if allowance else room
        return self._within[key]

    def reached(self, radius: float, allowance: float = 0.0) -> MultiPolygon:
        """What of the region a flat-ended cutter clears, less `allowance` on its walls."""
        key = (radius, allowance)
        if key not in self._reached:
            swept = grow(grow(self.within(radius, allowance), -radius), radius)
            self._reached[key] = area_of(swept.intersection(self.region)) if self.is_open else swept
        return self._reached[key]

    def task(self, radius: float, before: float, allowance: float = 0.0) -> MultiPolygon:
        """What is left for a cutter after a larger one of radius `before`; 0: all that it reaches."""
        mine = self.reached(radius, allowance)
        if not before:
            return mine
        key = (radius, before, allowance)
        if key not in self._tasks:
            done = self.reached(before, allowance)
            self._tasks[key] = area_of(mine.difference(grow(done, OVERLAP)))
        return self._tasks[key]


@lru_cache(maxsize=256)
def leftover(room: Room, radius: float) -> list[tuple[Polygon, float]]:
    """The pieces that a flat cutter leaves of a room, and how far each reaches past what it clears.

    A piece with nothing cleared beside it, a place that the cutter does not enter, reaches infinitely far.
    """
    done = room.reached(radius)
    left = area_of(room.region.difference(done.buffer(EDGE, quad_segs=4)), least=0.05)
    return [(piece, _reach(piece, done)) for piece in left.geoms]


def _reach(piece: Polygon, done: MultiPolygon) -> float:
    if done.is_empty or shapely.distance(piece, done) > 2 * EDGE:
        return math.inf
    corners = shapely.points(shapely.get_coordinates(piece))
    return float(shapely.distance(corners, done).max())


@lru_cache(maxsize=256)
def rest_of(room: Room, radius: float, done: MultiPolygon, allowance: float) -> MultiPolygon:
    """What a smaller cutter has to clear after `done`, with a little overlap; empty if there is nothing."""
    mine = room.reached(radius, allowance)
    left = area_of(mine.difference(done.buffer(EDGE, quad_segs=4)), least=0.2)
    return area_of(grow(left, OVERLAP).intersection(mine)) if not left.is_empty else EMPTY


def narrowest(pieces: Sequence[tuple[Polygon, float]]) -> float:
    """Diameter of the cutter that gets into every piece: the least of their widest circles."""
    widths = []
    for piece, _ in pieces:
        circle = shapely.maximum_inscribed_circle(piece, tolerance=0.01)
        widths.append(2 * circle.length)
    return math.floor(min(widths) * 100) / 100


@lru_cache(maxsize=256)
def room_of(region: MultiPolygon, outline: Polygon) -> Room:
    """The room of a region on a panel, the same one for the same artwork on both sides.

    Where the region stays clear of the outline, that is no part of it.
    """
    clear = shapely.distance(region, outline.boundary) > 2 * EDGE
    return Room(region=region, outline=None if clear else outline)
