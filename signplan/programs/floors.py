"""How deep a blank is cut, place by place: a map of squares.

Two maps are made of them: how deep the plan cuts in a setup, and how deep a program has cut so far. A square
is `SQUARE` wide, so the maps answer for depths and for whole features, not for the last tenth of a wall.
"""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from signplan.job.shop import Tool
from signplan.programs.model import Floats, Ints, chosen
from signplan.schedule.model import PlannedOperation
from signplan.toolpaths.model import Move

Heights = NDArray[np.float32]

SQUARE = 2.0
"""mm: fine beside a cutter, and a whole sheet of board is still no more than a million of them."""

_MOST_SAMPLES = 512
"""Of one move; longer moves are sampled further apart than a square."""


class Squares:
    """A map of lowest Z over a rectangle from `low` to `high`, (X, Y) mm; 0 where nothing was cut."""

    def __init__(self, low: Floats, high: Floats) -> None:
        self._low = low
        self.z = np.zeros(np.ceil((high - low) / SQUARE).astype(int) + 1, dtype=np.float32)

    def like(self) -> "Squares":
        """An uncut map of the same rectangle."""
        return Squares(self._low, self._low + (np.array(self.z.shape) - 1) * SQUARE)

    def cut(self, start: Floats, end: Floats) -> None:
        """Let the tip of a cutter make straight moves, (3, n) mm; what lies off the map is left out.

        The start of a move counts as cut only where it is also the end of one, or on the way.
        """
        ways, _ = between(start, end)
        points = np.concatenate((end, ways), axis=1) if ways.size else end
        x, y = self._of(points)
        inside = (x >= 0) & (y >= 0) & (x < self.z.shape[0]) & (y < self.z.shape[1])
        z = points[2].astype(np.float32)
        if not inside.all():
            x, y, z = x[inside], y[inside], z[inside]
        np.minimum.at(self.z, (x, y), z)

    def at(self, points: Floats) -> Heights:
        """Lowest Z at points, (2, n) or (3, n) mm; off the map that of its edge, which nothing cuts."""
        x, y = self._of(points)
        return self.z[np.clip(x, 0, self.z.shape[0] - 1), np.clip(y, 0, self.z.shape[1] - 1)]

    def near(self, x: float, y: float, radius: float) -> float:
        """Lowest Z within about a radius of a place."""
        i, j = (int(each[0]) for each in self._of(np.array(((x,), (y,)))))
        reach = round(radius / SQUARE)
        part = self.z[max(i - reach, 0) : max(i + reach + 1, 0), max(j - reach, 0) : max(j + reach + 1, 0)]
        return float(part.min(initial=0.0))

    def _of(self, points: Floats) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
        """The squares of points; one that is off the map, however far, is -1 or past the last."""
        x, y = (
            np.clip((points[k] - self._low[k]) * (1 / SQUARE) + 1, 0, size + 1).astype(np.intp) - 1
            for k, size in enumerate(self.z.shape)
        )
        return x, y


def planned_floors(operations: Iterable[PlannedOperation], blank: tuple[float, float, float]) -> Squares:
    """The lowest Z to which the plan cuts at a place or within a square of it."""
    planned = [each for each in operations if len(each.path.points)]
    margin = max((each.tool.diameter for each in planned), default=0.0) + 3 * SQUARE
    low, high = np.zeros(2), np.array(blank[:2])
    for each in planned:
        x0, y0, _, x1, y1, _ = each.path.bounds
        low, high = np.minimum(low, (x0, y0)), np.maximum(high, (x1, y1))
    floors = Squares(low - margin, high + margin)
    for radius in sorted({flat_radius(each.tool) for each in planned}):
        tips = floors.like()
        for each in planned:
            if flat_radius(each.tool) == radius:
                cuts = np.flatnonzero(each.path.moves != Move.RAPID)
                points = each.path.points.T
                tips.cut(chosen(points, cuts), chosen(points, cuts + 1))
        np.minimum(floors.z, _covered(tips.z, radius), out=floors.z)
    return floors


def flat_radius(tool: Tool) -> float:
    """How far from its axis a cutter is as deep as at its tip, mm."""
    if tool.shape in ("vee", "round-over", "ogee"):
        return tool.tip / 2
    return 0.0 if tool.shape == "ball" else tool.diameter / 2


def _covered(tips: Heights, radius: float) -> Heights:
    """What a cutter covers whose tip has been in the squares of a map, and a square more.

    Spreading in turn along both axes at once and along one or the other makes an octagon: round enough.
    """
    low = _spread(_spread(tips, 0), 1)
    for step in range(int(np.ceil(radius / SQUARE))):
        along = _spread(low, 0)
        low = np.minimum(along, _spread(low, 1)) if step % 2 else _spread(along, 1)
    return low


def _spread(tips: Heights, axis: int) -> Heights:
    """Every square as low as the lowest of itself and its two neighbours along an axis."""
    low = tips.copy()
    here, there = (low, tips) if axis == 0 else (low.T, tips.T)
    np.minimum(here[1:], there[:-1], out=here[1:])
    np.minimum(here[:-1], there[1:], out=here[:-1])
    return low


def between(start: Floats, end: Floats) -> tuple[Floats, Ints]:
    """Points along straight moves, no further apart than a square, and which move each lies on.

    From (3, n) to (3, m): without the ends; none at all on moves shorter than a square.
    """
    steps = np.ceil(np.maximum(np.abs(end[0] - start[0]), np.abs(end[1] - start[1])) / SQUARE)
    long = np.flatnonzero(steps > 1)
    count = np.minimum(steps[long], _MOST_SAMPLES).astype(np.int64) - 1
    owner = np.repeat(long, count)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count) + 1
    share = place / (np.repeat(count, count) + 1)
    begin = chosen(start, owner)
    return begin + share * (chosen(end, owner) - begin), owner
