"""Where steel leaves the sign: a mouth is where it crosses the edge, not where it runs along it."""

from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME, TOUCH
from signplan.geometry.shapes import area_of, lines_of, union
from signplan.sign.model import Bar, Item

ALONG = 4.0
"""Steel whose way out is longer than so many times its mean depth behind it runs along the edge."""


JOINED = 10.0
"""Parts of an item no farther apart than this may be joined by something that the job does not tell, mm."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Sideways:
    """Steel that is partly outside along the edge: over what length of the edge, mm, and where."""

    length: float
    spot: tuple[float, float]


def meets_sign(item: Item, outline: Polygon) -> bool:
    """Whether any of an item lies over the sign at all."""
    return area_of(_shape(item).intersection(outline), least=SAME).area > 0


def astray(item: Item, outline: Polygon) -> tuple[float, float] | None:
    """Where a piece of an item lies that neither meets the sign nor joins one that does; None if none."""
    pieces = area_of(_shape(item).buffer(JOINED / 2, join_style="mitre")).geoms
    stray = next((piece for piece in pieces if not piece.buffer(-JOINED / 2).intersects(outline)), None)
    return None if stray is None else (stray.centroid.x, stray.centroid.y)


def runs_along_edge(item: Item, outline: Polygon) -> Sideways | None:
    """The longest place at which an item leaves the sign along the edge; None if it only crosses it."""
    found = [*_shallow(item, outline), *_beside_axis(item, outline)]
    longest = max(found, key=lambda mouth: mouth.length, default=None)
    if longest is None:
        return None
    spot = longest.interpolate(0.5, normalized=True)
    return Sideways(length=longest.length, spot=(spot.x, spot.y))


def _shape(item: Item) -> BaseGeometry:
    return union(area_of(part.section(part.z)) for part in item.parts)


def _mouths(shape: BaseGeometry, outline: Polygon) -> tuple[LineString, ...]:
    """Pieces of the edge that lie in a shape, longer than a touch."""
    pieces = lines_of(shapely.line_merge(outline.boundary.intersection(shape.buffer(-SAME))))
    return tuple(piece for piece in pieces if piece.length > TOUCH)


def _shallow(item: Item, outline: Polygon) -> Iterator[LineString]:
    """Mouths that are long for the steel behind them."""
    shape = _shape(item)
    mouths = _mouths(shape, outline)
    for inside in area_of(shape.intersection(outline), least=SAME).geoms:
        for mouth in mouths:
            if mouth.dwithin(inside, TOUCH) and mouth.length > ALONG * inside.area / mouth.length:
                yield mouth


def _beside_axis(item: Item, outline: Polygon) -> Iterator[LineString]:
    """Mouths of bars that their axis does not go through, nor any other part of the item."""
    for part in item.parts:
        if not isinstance(part, Bar):
            continue
        others = union(area_of(other.section(other.z)) for other in item.parts if other is not part)
        reached = _carried_on(part)
        for mouth in _mouths(part.section(part.z), outline):
            if not mouth.dwithin(reached, TOUCH) and mouth.difference(others).length > TOUCH:
                yield mouth


def _carried_on(bar: Bar) -> LineString:
    """The axis of a bar, carried on by half its width at both ends."""
    (x0, y0), (x1, y1) = bar.start, bar.end
    along = bar.width / 2 / LineString([bar.start, bar.end]).length
    dx, dy = along * (x1 - x0), along * (y1 - y0)
    return LineString([(x0 - dx, y0 - dy), (x1 + dx, y1 + dy)])
