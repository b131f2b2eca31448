"""Can a piece of steel leave its cavity? Slides in the plane, straight or round one bend.

An item slides as one body, translated. Its sections are swept along a direction and held against the slabs of
board; a sweep that meets nothing and ends outside the sign is a way out. Turning in the cavity is not tried.
What the board alone does not hold may still be held by an item that is itself held.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME, TOUCH
from signplan.geometry.shapes import area_of, rings_of
from signplan.sign.cavity import Slab, section, widest
from signplan.sign.model import Bar, Item, Sign

Pieces = NDArray[np.float64]
"""Convex pieces of a shape, (n, 4, 2); a triangle has its last corner twice."""

Obstacles = Sequence[tuple[Pieces, BaseGeometry]]
"""Pieces of an item, and what they must not meet."""

Vector = NDArray[np.float64]

LONG_EDGE = 5.0
"""Shorter edges of a pocket, its arcs among them, give no direction to slide along; mm."""

ALL_ROUND = 15.0
"""Directions that are tried anyway, degrees apart."""

BENDS = 12
"""Places to which an item may have slid before it tries again."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Escape:
    """The direction in which an item slides farthest, degrees, and how far, mm; infinite if it leaves."""

    direction: float
    slides: float


def escapes(sign: Sign, board: tuple[Slab, ...], overlap: Mapping[str, float]) -> dict[str, Escape]:
    """How far every item can slide, by its key: against board, and against items that board holds.

    `overlap` is by how much each is in the board already (zero or negative); it is slimmed by that.
    """
    movers = {item.key: _Mover.of(item, sign, board, overlap.get(item.key, 0.0)) for item in sign.items}
    ways = {key: mover.escape(()) for key, mover in movers.items()}
    free = [item for item in sign.items if math.isinf(ways[item.key].slides)]
    held = [item for item in sign.items if item not in free or item.held_by]
    while free:
        again = {item.key: movers[item.key].escape(tuple(o for o in held if o != item)) for item in free}
        found = [item for item in free if not math.isinf(again[item.key].slides)]
        if not found:
            break
        ways |= {item.key: again[item.key] for item in found}
        held += found
        free = [item for item in free if item not in found]
    return ways


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Mover:
    """An item ready to slide: what of it meets what of the board, and the directions worth trying."""

    item: Item
    slim: float
    board: tuple[tuple[Pieces, MultiPolygon], ...]
    directions: NDArray[np.float64]
    far: float

    @classmethod
    def of(cls, item: Item, sign: Sign, board: tuple[Slab, ...], overlap: float) -> "_Mover":
        slim = TOUCH - overlap
        pairs: list[tuple[Pieces, MultiPolygon]] = []
        for slab in board:
            reaching = [(part, widest(part, slab.panel, slab.floor + slim)) for part in item.parts]
            shapes = [section(part, slab.panel, depth) for part, depth in reaching if depth is not None]
            pieces = _convex(shapes, slim)
            same = (np.array_equal(pieces, p) and b.equals_exact(slab.board, SAME) for p, b in pairs)
            if len(pieces) and not any(same):
                pairs.append((pieces, slab.board))
        corners = np.concatenate([p.reshape(-1, 2) for p, _ in pairs] or [np.zeros((1, 2))])
        far = float(np.ptp(corners, axis=0).sum()) + sign.width + sign.height
        return cls(item=item, slim=slim, board=tuple(pairs), directions=_directions(item, sign), far=far)

    def escape(self, held: tuple[Item, ...]) -> Escape:
        """The longest slide, straight or round bends, with board and some other items in the way."""
        obstacles = (*self.board, *(pair for other in held for pair in self._against(other)))
        loose = 1.0 + 3 * self.item.clearance
        best = Escape(direction=0.0, slides=0.0)
        places: list[tuple[Vector, float | None]] = [(np.zeros(2), None)]
        for start, first in places:
            for angle in self.directions.tolist():
                way = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
                matters = min(loose, best.slides) if first is None else loose
                slide = self._slide(obstacles, start, way, matters)
                if math.isinf(slide):
                    return Escape(direction=angle if first is None else first, slides=slide)
                if first is None and slide > best.slides:
                    best = Escape(direction=angle, slides=slide)
                end = start + slide * way
                if slide > loose and len(places) < BENDS and _far_from(places, end, loose):
                    places.append((end, angle if first is None else first))
        return best

    def _slide(self, obstacles: Obstacles, start: Vector, way: Vector, matters: float) -> float:
        """How far it moves before it meets something, by halving; 0 if not as far as `matters`."""
        if _meets(obstacles, start, way * matters):
            return 0.0
        if not _meets(obstacles, start, way * self.far):
            return math.inf
        free, blocked = matters, self.far
        while blocked - free > TOUCH:
            # Most slides are short: close in on them fast.
            middle = min((free + blocked) / 2, 4 * free + 1.0)
            if _meets(obstacles, start, way * middle):
                blocked = middle
            else:
                free = middle
        return free

    def _against(self, other: Item) -> list[tuple[Pieces, BaseGeometry]]:
        """Where this item can meet another: both cut at a few heights that they share."""
        pairs: list[tuple[Pieces, BaseGeometry]] = []
        for part in self.item.parts:
            for block in other.parts:
                low, high = max(part.span[0], block.span[0]), min(part.span[1], block.span[1])
                if high - low <= TOUCH:
                    continue
                for z in sorted({min(max(p.z, low), high) for p in (part, block)} | {(low + high) / 2}):
                    pieces = _convex([section(part, "A", z)], self.slim)
                    obstacle = section(block, "A", z)
                    if len(pieces) and not obstacle.is_empty:
                        shapely.prepare(obstacle)
                        pairs.append((pieces, obstacle))
        return pairs


def _far_from(places: Sequence[tuple[Vector, float | None]], end: Vector, loose: float) -> bool:
    """Whether a place is not one of those already, more or less."""
    return all(float(np.linalg.norm(place - end)) > loose for place, _ in places)


def _meets(obstacles: Obstacles, start: Vector, move: Vector) -> bool:
    """Whether the pieces, swept along a straight move, meet what each is held against."""
    for pieces, obstacle in obstacles:
        there = pieces + start
        swept = shapely.convex_hull(shapely.linestrings(np.concatenate([there, there + move], axis=1)))
        if shapely.intersects(obstacle, swept).any():
            return True
    return False


def _convex(shapes: list[Polygon | MultiPolygon], slim: float) -> Pieces:
    """Shapes slimmed a little, so that a touch does not hold them, as convex pieces."""
    pieces: list[NDArray[np.float64]] = []
    for shape in shapes:
        slimmed = area_of(shape.buffer(-slim, join_style="mitre"))
        for polygon in slimmed.geoms:
            corners = shapely.get_coordinates(polygon)[:-1]
            if len(corners) == 4 and len(polygon.interiors) == 0:
                pieces.append(corners)
            else:
                triangles = shapely.get_parts(shapely.constrained_delaunay_triangles(polygon))
                pieces += [shapely.get_coordinates(triangle) for triangle in triangles]
    return np.array(pieces) if pieces else np.zeros((0, 4, 2))


def _directions(item: Item, sign: Sign) -> NDArray[np.float64]:
    """Degrees: along its bars, along the long edges of its pockets, and all round."""
    axes = [np.subtract(part.end, part.start) for part in item.parts if isinstance(part, Bar)]
    pockets = [pocket for panel in sign.panels for pocket in panel.pockets if pocket.hardware == item.name]
    rings = [ring for pocket in pockets for part in pocket.drawn.geoms for ring in rings_of(part)]
    edges = [np.diff(shapely.get_coordinates(ring), axis=0) for ring in rings]
    ways = np.concatenate([*edges, np.array(axes).reshape(-1, 2)])
    ways = ways[np.linalg.norm(ways, axis=1) > LONG_EDGE]
    angles = np.degrees(np.arctan2(ways[:, 1], ways[:, 0]))
    every = np.concatenate([angles, angles + 180, np.arange(0, 360, ALL_ROUND)]) % 360
    return np.unique(np.round(every, 4) % 360)
