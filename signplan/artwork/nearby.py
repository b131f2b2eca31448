"""Which shapes touch which, in bounded time and memory."""

from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from signplan.artwork.flatten import ShapeError

Indices = NDArray[np.intp]
Shapes = NDArray[np.object_] | Sequence[BaseGeometry]

Predicate = Literal["intersects", "crosses", "dwithin"]

MOST_PAIRS = 1_000_000
"""No drawing of a sign has more of its pieces in one heap."""
_AT_ONCE = 1_000_000
_MOST_WORK = 20_000_000
"""Points to be looked at in all pairs whose boxes meet: a few seconds' work."""


def hits(
    tree: shapely.STRtree, shapes: Shapes, predicate: Predicate | None = None, distance: float = 0.0
) -> Iterator[Indices]:
    """Pairs (place in shapes, place in tree) that fulfil the predicate, (N, 2), a part at a time."""
    asked = np.asarray(shapes)
    step = max(1, _AT_ONCE // max(1, len(tree)))
    for start in range(0, len(asked), step):
        part = asked[start : start + step]
        if predicate == "dwithin":
            found = tree.query(part, predicate=predicate, distance=distance)
        else:
            found = tree.query(part, predicate=predicate)
        yield np.add(found.T, (start, 0))


def pairs(shapes: Shapes, predicate: Predicate, *, distance: float = 0.0, most: int = MOST_PAIRS) -> Indices:
    """Every pair of places a < b whose shapes fulfil the predicate, (N, 2), in order.

    Raises:
        ShapeError: there are more than `most`.
    """
    asked = np.asarray(shapes)
    tree = shapely.STRtree(asked)
    crowded = ShapeError(f"its pieces meet or cross each other more than {most:,} times; clean the drawing")
    size = shapely.get_num_coordinates(asked)
    work = 0
    for boxes in hits(tree, asked):
        work += int(np.minimum(size[boxes[:, 0]], size[boxes[:, 1]]).sum())
        if work > _MOST_WORK:
            raise crowded
    kept: list[Indices] = [np.empty((0, 2), dtype=np.intp)]
    count = 0
    for found in hits(tree, asked, predicate, distance):
        found = found[found[:, 0] < found[:, 1]]
        count += len(found)
        if count > most:
            raise crowded
        kept.append(found)
    every = np.concatenate(kept)
    return every[np.lexsort((every[:, 1], every[:, 0]))]
