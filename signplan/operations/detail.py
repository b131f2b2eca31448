"""How much of a relief a ball-nosed cutter reaches, and with that which ball it takes.

What comes in: a relief and balls. What goes out: the share of its surface that a ball of a size leaves
standing, and where. A ball reaches what is no sharper than itself; the rest it bridges. Nothing here knows of
paths: a ball that goes as low as it may everywhere leaves the closing of the surface by it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from signplan.errors import SignplanError
from signplan.geometry.heightfield import Field, Grid, ball_left, inside, lowest_near, sampled
from signplan.geometry.shapes import grow
from signplan.job.shop import Tool
from signplan.operations.model import Sculpting

TOLERANCE = 0.1
"""What a ball may leave standing over a relief, mm, and still count as having reached it: less than sanding
takes. Common practice."""

LEFT = 0.03
"""Share of a relief that a ball may leave standing higher than that, before a smaller one is taken."""

LOST = 0.005
"""Share of a relief that may be lost in places too narrow for a ball, before it is said."""

SAMPLES = 4
"""Places for each radius of a ball at least, where the map itself is coarser."""

CELLS = 2_000_000
"""Places that a relief is looked at in, at most."""

LOOKS = 200_000_000
"""Places times samples under the ball at each, at most: some tenths of a second."""

FINER = 0.8
"""From one size of ball to the next that is tried; makers' series have about this ratio."""

SMALLEST = 0.4
"""Diameter of the smallest ball that is named, mm: carving cutters are hardly made finer."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Missed:
    """What a ball leaves of a relief.

    Attributes:
        share: of the surface, what it leaves standing by more than the tolerance.
        lost: area of that, mm2, in which there is no floor that it reaches: not the rounded foot of a wall.
        worst, deep: the place where it bridges most, in the view of the face, and by how much, mm.
    """

    share: float
    lost: float
    worst: tuple[float, float]
    deep: float


def board_heights(work: Sculpting, grid: Grid) -> Field:
    """The finished board: the relief inside its region, the face outside.

    Raises:
        SignplanError: a height is no number.
    """
    heights = work.heights
    if not np.isfinite(heights.values).all():
        raise SignplanError("a relief has heights that are no numbers")
    values = sampled(heights.values, heights.box, grid, mirrored=heights.mirrored)
    board = (values - 1) * np.float32(work.depth)
    board[~inside(work.region, grid)] = 0
    clipped: Field = np.clip(board, -work.depth, 0)
    return clipped


def missed_by(work: Sculpting, diameter: float) -> Missed:
    """What a ball leaves of a relief; a radius inside its region, for the wall round that is no detail."""
    radius = diameter / 2
    grid = _grid(work, radius)
    board = board_heights(work, grid)
    core = grow(work.region, -radius)
    look = inside(core if not core.is_empty else work.region, grid)
    over = ball_left(board, grid, radius) - board
    stands = look & (over > TOLERANCE)
    reached = np.where(over > TOLERANCE, np.float32(np.inf), board)
    lost = stands & (lowest_near(reached, grid, radius) > board + np.float32(radius / 4))
    i, j = np.unravel_index(int(np.where(lost, over, -1).argmax()), over.shape)
    return Missed(
        share=float(stands.sum()) / max(int(look.sum()), 1),
        lost=float(lost.sum()) * grid.dx * grid.dy,
        worst=(float(grid.x[j]), float(grid.y[i])),
        deep=float(over[i, j]),
    )


def finest_needed(work: Sculpting, balls: Sequence[Tool]) -> Tool | None:
    """The largest of the balls, given largest first, that reaches all but `LEFT`; else the smallest."""
    enough = (ball for ball in balls if missed_by(work, ball.diameter).share <= LEFT)
    return next(enough, balls[-1] if balls else None)


def loses(missed: Missed, work: Sculpting) -> bool:
    """Whether so much of a relief is lost that a person should know."""
    return missed.lost > LOST * work.region.area


def would_do(work: Sculpting, diameter: float) -> float | None:
    """Diameter of the largest smaller ball that loses nothing worth saying; None if no cutter is so fine."""
    while (diameter := FINER * diameter) >= SMALLEST and 2 * _least_step(work, diameter / 2) < diameter:
        if not loses(missed_by(work, diameter), work):
            return math.floor(diameter * 100) / 100
    return None


def _grid(work: Sculpting, radius: float) -> Grid:
    """As fine as the map, or as the ball needs where the map is coarser, but no finer than `_least_step`."""
    x0, y0, x1, y1 = work.heights.box
    rows, columns = work.heights.values.shape
    pixels = (x1 - x0) / columns, (y1 - y0) / rows
    dx, dy = (max(min(size, radius / SAMPLES), _least_step(work, radius)) for size in pixels)
    return Grid.over(work.region.bounds, dx, dy)


def _least_step(work: Sculpting, radius: float) -> float:
    """Between places, mm, so that neither they nor the looks at each are too many."""
    x0, y0, x1, y1 = work.region.bounds
    area = (x1 - x0) * (y1 - y0)
    return max(math.sqrt(area / CELLS), math.sqrt(radius * math.sqrt(math.pi * area / LOOKS)))
