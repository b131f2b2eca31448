"""Where screws may stand: clear of every path at its real height, in the waste, well spread. Lengths mm."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Point

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import grow, union
from signplan.job.shop import OVER_HEAD, Holding
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.sign.model import Sign
from signplan.sign.setups import Setup
from signplan.toolpaths.model import Move

SCREW_CLEAR = 6.35
"""Board between a screw and the edge of any cutter, 1/4 in; common practice."""

SCREW_EDGE = 12.0
"""A screw stands at least this far inside the blank, or it splits out; common practice."""

SCREW_SPACING = 400.0
"""Screws are proposed until no good place is farther than this from one; common practice."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Obstacle:
    """A path that passes a screw too near: `room` from the cutter's edge to the screw, mm."""

    screw: tuple[float, float]
    operation: str
    room: float
    rapid: bool


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Low:
    """The moves of one operation that come below a height: (n, 2, 2) seen from above, and of what kind."""

    operation: str
    radius: float
    lines: NDArray[np.float64]
    moves: NDArray[np.int8]

    def room(self, spot: tuple[float, float]) -> tuple[float, bool] | None:
        """From the cutter's edge to a spot, and whether on a rapid; None if it is enough for a screw."""
        place, reach = np.array(spot), self.radius + SCREW_CLEAR
        close = ((self.lines.min(axis=1) - reach < place) & (place < self.lines.max(axis=1) + reach)).all(
            axis=1
        )
        if not close.any():
            return None
        away = np.asarray(shapely.distance(shapely.linestrings(self.lines[close]), Point(spot)))
        nearest = int(away.argmin())
        if away[nearest] > reach - SAME:
            return None
        return float(away[nearest]) - self.radius, bool(self.moves[close][nearest] == Move.RAPID)

    def comes_near(self, spots: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Which of the spots, (n, 2), are too near for a screw."""
        near = np.zeros(len(spots), dtype=bool)
        reach = self.radius + SCREW_CLEAR - SAME
        boxes = np.stack([self.lines.min(axis=1) - reach, self.lines.max(axis=1) + reach])
        columns, rows = np.unique(spots[:, 0]), np.unique(spots[:, 1])
        meets = [np.searchsorted(at, boxes[:, :, k]) for k, at in enumerate((columns, rows))]
        close = np.all([first != last for first, last in meets], axis=0)
        lines = shapely.linestrings(self.lines[close])
        near[
            shapely.STRtree(list(map(Point, spots))).query(lines, predicate="dwithin", distance=reach)[1]
        ] = True
        return near


def _below(each: PlannedOperation, top: float) -> _Low:
    """What of an operation comes below a height."""
    points = each.path.points
    below = np.minimum(points[:-1, 2], points[1:, 2]) < top
    lines = np.stack([points[:-1, :2], points[1:, :2]], axis=1)[below]
    return _Low(
        operation=each.operation.id,
        radius=each.tool.diameter / 2,
        lines=lines,
        moves=each.path.moves[below],
    )


def obstacles(planned: PlannedSetup, holding: Holding) -> Iterator[Obstacle]:
    """The nearest path to every screw of the shop, if it is too near."""
    top = holding.screw_head + OVER_HEAD
    low = [_below(each, top) for each in planned.operations] if holding.screws else []
    for screw in holding.screws:
        near = [
            Obstacle(screw=screw, operation=each.operation, room=room[0], rapid=room[1])
            for each in low
            if (room := each.room(screw))
        ]
        if near:
            yield min(near, key=lambda each: each.room)


def good_places(planned: PlannedSetup, sign: Sign, head: float) -> tuple[tuple[float, float], ...]:
    """Places for screws in the waste, clear of every path that comes near a head that stands `head` proud.

    The one nearest to each corner first, then wherever the next good place is farthest from all of them.
    """
    found = np.array(list(_waste(planned.setup, sign))).reshape(-1, 2)
    for each in planned.operations:
        found = found[~_below(each, head + OVER_HEAD).comes_near(found)]
    if not len(found):
        return ()
    wide, deep, _ = planned.setup.blank
    corners = ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))
    chosen = list(dict.fromkeys(int(np.hypot(*(found - corner).T).argmin()) for corner in corners))
    while True:
        far = np.min([np.hypot(*(found - found[k]).T) for k in chosen], axis=0)
        if far.max() <= SCREW_SPACING:
            return tuple((float(x), float(y)) for x, y in found[chosen])
        chosen.append(int(far.argmax()))


def _waste(setup: Setup, sign: Sign) -> Iterator[tuple[float, float]]:
    """Points along the edge of the blank, and between the panels of one blank, away from panels and pins."""
    wide, deep, _ = setup.blank
    panels = union([place.shape(sign.panel(panel).outline) for panel, place in setup.placements])
    panels = grow(panels, SCREW_CLEAR)
    shapely.prepare(panels)
    for x, y in _along_edges(wide, deep, between=len(setup.panels) > 1):
        pins = any(math.dist((x, y), (pin.x, pin.y)) < pin.diameter / 2 + SCREW_EDGE for pin in setup.pins)
        if not pins and not shapely.contains_xy(panels, x, y):
            yield x, y


def _along_edges(wide: float, deep: float, *, between: bool) -> Iterator[tuple[float, float]]:
    """Some 60 mm apart; with two panels also along the strip between them."""
    xs, ys = (
        np.linspace(SCREW_EDGE, size - SCREW_EDGE, max(2, math.ceil(size / 60))).tolist()
        for size in (wide, deep)
    )
    rows = [ys[0], ys[-1], *([deep / 2] if between and deep > wide else [])]
    columns = [xs[0], xs[-1], *([wide / 2] if between and wide >= deep else [])]
    yield from ((x, y) for y in rows for x in xs)
    yield from ((x, y) for x in columns for y in ys[1:-1])
