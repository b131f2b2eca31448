"""Pegs and pins: lamination dowels between the panels, index pins under a blank."""

import math
from collections.abc import Iterator, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import area_of, grow, lines_of, union
from signplan.job.model import Dowels
from signplan.job.shop import IndexPins
from signplan.sign.model import Dowel, IndexPin, Sign
from signplan.sign.register import Turn, half_turn, is_ambiguous
from signplan.sign.terraces import terraces

Points = NDArray[np.float64]

PIN_CLEAR = 2.0
"""Least board left between a cutter and an index pin, mm; common practice."""

CUT_PATH = 7.0
"""Waste that is kept between an index pin and the outline: a 6 mm or 1/4 in cut-out cutter and a little."""

TO_SPARE = 0.1
"""Dowels are placed to a tenth of a millimetre, and so much clear of everything."""

CANDIDATES = 40
"""Places tried along the longer side of the sign."""


def place_dowels(sign: Sign, wanted: Dowels) -> tuple[Dowel, ...]:
    """Dowels as far apart as the sign allows; fewer than `wanted.count` where there is no room.

    They must not map onto each other under a half turn, or panel B could be glued upside down.
    """
    if wanted.at:
        places: Sequence[tuple[float, float]] = wanted.at
    else:
        places = _spread(_candidates(free_for_dowels(sign, wanted)), wanted.count, sign, wanted.diameter)
    size = {"diameter": wanted.diameter, "depth": wanted.depth, "clearance": wanted.clearance}
    return tuple(Dowel(x=x, y=y, **size) for x, y in places)


def free_for_dowels(sign: Sign, wanted: Dowels) -> MultiPolygon:
    """Where the middle of a dowel may be: clear of edge, pockets and deep carving in both panels."""
    radius = wanted.diameter / 2 + TO_SPARE
    free = area_of(shapely.intersection_all([grow(p.outline, -(sign.wall + radius)) for p in sign.panels]))
    blocked = [grow(shape, by + radius) for shape, by in _in_the_way(sign, wanted.depth)]
    return area_of(free.difference(union(blocked)))


def _in_the_way(sign: Sign, depth: float) -> Iterator[tuple[MultiPolygon, float]]:
    """What a dowel hole must stay away from, and how far in the plane."""
    for panel in sign.panels:
        for pocket in panel.pockets:
            yield pocket.as_cut, sign.web
        for carving in panel.carvings:
            left = sign.thickness - carving.depth - depth
            if left < sign.web:
                for step in terraces(carving):
                    left = sign.thickness - step.depth - depth
                    if left < sign.web:
                        yield step.shape, math.sqrt(sign.web**2 - max(0.0, left) ** 2)


def _candidates(free: MultiPolygon) -> Points:
    """Places to choose from: corners of the free region, and a grid over it."""
    if free.is_empty:
        return np.empty((0, 2))
    x0, y0, x1, y1 = free.bounds
    pitch = max(x1 - x0, y1 - y0) / CANDIDATES
    across, up = (math.ceil(size / pitch) for size in (x1 - x0, y1 - y0))
    x = x0 + (np.arange(across) + 0.5) * (x1 - x0) / across
    y = y0 + (np.arange(up) + 0.5) * (y1 - y0) / up
    grid = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    inside = grid[shapely.contains_xy(free, grid)]
    corners = shapely.get_coordinates(free.simplify(0.5))
    corners = corners[shapely.dwithin(shapely.points(corners), free, SAME)]
    return np.unique(np.round(np.concatenate([corners, inside]), 1), axis=0)


def _spread(places: Points, count: int, sign: Sign, least: float) -> list[tuple[float, float]]:
    """The farthest pair, then far from all before and near none; never a set that is symmetric."""
    if not len(places) or not count:
        return []
    hull = shapely.get_coordinates(shapely.convex_hull(shapely.multipoints(places)))
    gaps = np.linalg.norm(hull[:, None] - hull[None], axis=2)
    chosen = [hull[np.unravel_index(int(np.argmax(gaps)), gaps.shape)[0]]]
    while len(chosen) < count:
        gaps = np.linalg.norm(places[:, None] - np.array(chosen)[None], axis=2)
        nearest = gaps.min(axis=1)
        apart = nearest >= max(nearest.max() / 2, 2 * least)
        ranked = np.argsort(np.where(apart, -gaps.sum(axis=1), 0.0), kind="stable")[: np.count_nonzero(apart)]
        last = len(chosen) == count - 1
        good = (k for k in ranked if not (last and upside_down_fits([*chosen, places[k]], sign, least)))
        best = next(good, None)
        if best is None:
            break
        chosen.append(places[best])
    return [(round(float(x), 1), round(float(y), 1)) for x, y in chosen]


def upside_down_fits(places: Sequence[Sequence[float]], sign: Sign, miss: float) -> bool:
    """Whether every dowel finds a hole, to within `miss` mm, after a half turn of one panel in its plane."""
    turned = half_turn(sign.width, sign.height)
    return bool(places) and all(
        any(math.dist(turned.point(place[0], place[1]), other) < miss for other in places) for place in places
    )


def place_pins(
    blank: tuple[float, float],
    turn: Turn,
    keep_out: MultiPolygon,
    pins: IndexPins,
    *,
    path: float = CUT_PATH,
) -> tuple[IndexPin, ...]:
    """Two index pins on the turning axis in the waste, as far apart as the blank allows.

    Args:
        blank: (wide, deep), mm.
        turn: turning like a page puts the axis half way across, end over end half way up.
        keep_out: what is cut on the blank, setup frame: the outlines, and mouths that run past them.
        pins: the shop's pins.
        path: waste to keep between a pin and that, mm: the cut-out cutter and a little.

    Returns:
        The pins; none where there is no room for two, or for none that only one turn fits.
    """
    wide, deep = blank
    axis = LineString(
        [(wide / 2, 0), (wide / 2, deep)] if turn == "side" else [(0, deep / 2), (wide, deep / 2)]
    )
    inset = pins.diameter
    board = Polygon([(0, 0), (wide, 0), (wide, deep), (0, deep)]).buffer(-inset, join_style="mitre")
    waste = axis.intersection(board).difference(grow(keep_out, pins.diameter / 2 + path))
    spans = sorted(tuple(sorted(axis.project(Point(p)) for p in part.coords)) for part in lines_of(waste))
    pair = _farthest_uneven(spans, axis.length, miss=pins.diameter + SAME)
    if pair is None:
        return ()
    placed = tuple(axis.interpolate(along) for along in pair)
    found = tuple(IndexPin(x=p.x, y=p.y, diameter=pins.diameter) for p in placed)
    return () if is_ambiguous(tuple((p.x, p.y, p.diameter) for p in found), blank, turn) else found


def _farthest_uneven(
    spans: Sequence[tuple[float, ...]], length: float, *, miss: float
) -> tuple[float, float] | None:
    """Two places along the axis, farthest apart, whose distances from their own ends differ by `miss`."""
    if not spans:
        return None
    low, high = spans[0][0], spans[-1][1]
    pairs = [(low, high)] if abs(low - (length - high)) >= miss else []
    pairs += [(max(a, length - high + miss), high) for a, b in spans if b >= length - high + miss]
    pairs += [(low, min(b, length - low - miss)) for a, b in spans if a <= length - low - miss]
    apart = [(b - a, -a, (a, b)) for a, b in pairs if b - a > 2 * miss]
    return max(apart)[2] if apart else None
