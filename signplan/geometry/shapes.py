"""Areas in the plane: growing, shrinking, and what a round cutter leaves of them.

Every area that the program passes on is a `MultiPolygon`, possibly empty, so that no stage asks which kind
it got. Lengths mm.
"""

from collections.abc import Iterable
from functools import lru_cache

import shapely
from shapely import LinearRing, LineString, MultiPolygon, Point, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import FEWER, SAME, SPECK, quarter_segments

EMPTY = MultiPolygon()

ABOUT = 0.2
"""How closely, mm, the parts of a shape are looked at to find the widest, which is then measured well."""


def area_of(shape: BaseGeometry, *, least: float = SPECK) -> MultiPolygon:
    """The polygons of any geometry, specks under `least` mm2 left out, in shapely's normal form.

    So the same area is the same object whichever way its rings were drawn.
    """
    parts = shapely.get_parts(shapely.get_parts(shape))
    polygons = parts[(shapely.get_dimensions(parts) == 2) & (shapely.area(parts) > least)]
    normal: MultiPolygon = shapely.normalize(shapely.multipolygons(polygons))
    return normal


def union(shapes: Iterable[BaseGeometry]) -> MultiPolygon:
    """All shapes together."""
    return area_of(shapely.union_all(list(shapes)))


@lru_cache(maxsize=32)
def grow(shape: BaseGeometry, by: float) -> MultiPolygon:
    """The shape with every point within `by` of it; negative shrinks. Corners come out round."""
    return area_of(shape.buffer(by, quad_segs=quarter_segments(abs(by))))


def simplified(shape: BaseGeometry, error: float = FEWER) -> MultiPolygon:
    """The shape with fewer corners, its boundary moved by no more than `error`."""
    return area_of(shape.simplify(error, preserve_topology=False))


def grow_square(shape: BaseGeometry, by: float) -> MultiPolygon:
    """The shape grown with square corners kept square; one sharper than about 84 degrees is cut blunt.

    It holds everything that `grow` holds.
    """
    return area_of(shape.buffer(by, join_style="mitre", mitre_limit=1.5))


def opened(shape: BaseGeometry, radius: float) -> MultiPolygon:
    """What a flat-ended cutter of `radius` really clears inside the shape: its opening by a disc.

    Chords make it up to `CHORD` smaller, and never larger, than it is.
    """
    return area_of(grow(grow(shape, -radius), radius).intersection(shape))


def lines_of(shape: BaseGeometry) -> tuple[LineString, ...]:
    """The lines of any geometry, in its own order."""
    parts = shapely.get_parts(shapely.get_parts(shape))
    return tuple(parts[(shapely.get_dimensions(parts) == 1) & (shapely.length(parts) > SAME)])


def rings_of(polygon: Polygon) -> tuple[LinearRing, ...]:
    """Shell first, then the holes."""
    return (polygon.exterior, *polygon.interiors)


def disc(x: float, y: float, diameter: float) -> Polygon:
    """A circle whose chords stay inside it."""
    return Point(x, y).buffer(diameter / 2, quad_segs=quarter_segments(diameter / 2))


@lru_cache(maxsize=256)
def widest_circle(shape: MultiPolygon) -> float:
    """Radius of the largest circle in any part of a shape, to a hundredth of a millimetre."""
    if shape.is_empty:
        return 0.0
    parts = shapely.get_parts(shape)
    about = shapely.length(shapely.maximum_inscribed_circle(parts, tolerance=ABOUT))
    widest = parts[about >= about.max() - ABOUT]
    return float(shapely.length(shapely.maximum_inscribed_circle(widest, tolerance=0.01)).max())
