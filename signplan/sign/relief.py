"""Corner relief: extra bites that let a sharp corner of steel into a corner that a round cutter leaves.

A cutter of radius r leaves a fillet in a square corner. Steel with corner radius Rp and clearance c goes in
without relief if c >= (1 - 1/sqrt(2)) (r - Rp); derived from the circles that just touch. A bite is one disc
of the cutter through the drawn corner: along the bisector, or along one wall.
"""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon

from signplan.geometry.precision import GRID, SAME
from signplan.geometry.shapes import area_of, grow, rings_of, union

Place = tuple[float, float]
Vector = NDArray[np.float64]

SHARP = math.radians(150)
"""A corner blunter than this loses so little to a cutter that no steel meets it."""


def corner_room_needed(radius: float, part_radius: float = 0.0) -> float:
    """Clearance with which a square corner goes into a corner cut with `radius`, without relief, mm.

    >>> round(corner_room_needed(0.125), 7)
    0.0366117
    """
    return max(0.0, (radius - part_radius) * (1 - 1 / math.sqrt(2)))


def bitten(relief: Sequence[Place], drawn: MultiPolygon, radius: float) -> MultiPolygon:
    """What the bites take away: the cutter goes from where it clears the pocket to the bite and back."""
    reached = grow(drawn, -radius)
    return union(grow(shapely.shortest_line(Point(place), reached), radius) for place in relief)


def reliefs(
    drawn: MultiPolygon,
    cleared: MultiPolygon,
    steel: MultiPolygon,
    *,
    radius: float,
    keep_within: MultiPolygon,
) -> tuple[Place, ...]:
    """Centres of the bites: one at each drawn corner in which the steel meets what the cutter leaves.

    A bite along the bisector is preferred; one along a wall is taken where only that stays `keep_within`,
    the area that leaves enough wall to the edge.
    """
    return tuple(_reliefs(drawn, cleared, steel, radius, keep_within))


def _reliefs(
    drawn: MultiPolygon, cleared: MultiPolygon, steel: MultiPolygon, radius: float, keep: MultiPolygon
) -> Iterator[Place]:
    left = area_of(drawn.difference(cleared.buffer(GRID)), least=SAME)
    met = [part for part in left.geoms if part.intersection(steel).area > SAME]
    if not met:
        return
    allowed = shapely.union(keep, cleared)
    sharp = list(_corners(drawn))
    for part in met:
        corners: list[tuple[Place, ...]] = [each for each in sharp if part.distance(Point(each[0])) < SAME]
        corners = corners or [_round(part, cleared)]
        for corner, *walls in corners:
            bites = list(_bites(np.array(corner), np.array(walls), radius))
            good = (b for b in bites if allowed.buffer(GRID).covers(bitten([b], drawn, radius)))
            yield next(good, bites[0])


def _round(left: Polygon, cleared: MultiPolygon) -> tuple[Place, Place]:
    """A rounded corner: its farthest point from what is cleared, and the direction from there back to it."""
    points = [Point(xy) for xy in shapely.get_coordinates(left.segmentize(0.05))]
    corner = max(points, key=cleared.distance)
    to = shapely.get_coordinates(shapely.shortest_line(corner, cleared))
    ahead = (to[1] - to[0]) / np.linalg.norm(to[1] - to[0])
    return (corner.x, corner.y), (float(ahead[0]), float(ahead[1]))


def _corners(drawn: MultiPolygon) -> Iterator[tuple[Place, Place, Place]]:
    """Corners that point out of the area, each with the unit directions of its two walls."""
    for ring in (ring for part in drawn.geoms for ring in rings_of(shapely.orient_polygons(part))):
        points = np.array(ring.coords)[:-1]
        back, ahead = np.roll(points, 1, axis=0) - points, np.roll(points, -1, axis=0) - points
        back /= np.linalg.norm(back, axis=1)[:, None]
        ahead /= np.linalg.norm(ahead, axis=1)[:, None]
        turn = ahead[:, 0] * back[:, 1] - ahead[:, 1] * back[:, 0]
        angle = np.arctan2(turn, (ahead * back).sum(axis=1))
        for k in np.flatnonzero((angle > 0) & (angle < SHARP)):
            yield tuple(points[k]), tuple(back[k]), tuple(ahead[k])


def _bites(corner: Vector, walls: Vector, radius: float) -> Iterator[Place]:
    """Along the bisector; then along each wall, if there are two."""
    bisector = walls.sum(axis=0)
    for direction in (bisector / np.linalg.norm(bisector), *walls[: 2 * (len(walls) - 1)]):
        x, y = corner + radius * direction
        yield float(x), float(y)
