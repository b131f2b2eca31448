"""A tool path: where the cutter's tip goes, in order, and what kind of move takes it there."""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from signplan.sign.register import Placement


class Move(IntEnum):
    """Rapid through the air, down into the board, or cutting along it."""

    RAPID = 0
    PLUNGE = 1
    CUT = 2


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Toolpath:
    """The path of one operation.

    Attributes:
        points: (N, 3), mm: X, Y, and Z with 0 on top of the blank, down negative. It begins and ends above
            the work, at clearance height over its first and last cut.
        moves: (N - 1,), a `Move` for each segment.
    """

    points: NDArray[np.float64]
    moves: NDArray[np.int8]

    @property
    def entry(self) -> tuple[float, float]:
        """(X, Y) where it begins."""
        return float(self.points[0, 0]), float(self.points[0, 1])

    @property
    def exit(self) -> tuple[float, float]:
        """(X, Y) where it ends."""
        return float(self.points[-1, 0]), float(self.points[-1, 1])

    @property
    def cut_length(self) -> float:
        """Length of all moves but rapids, mm."""
        steps = np.linalg.norm(np.diff(self.points, axis=0), axis=1)
        return float(steps[self.moves != Move.RAPID].sum())

    @property
    def mean_depth(self) -> float:
        """Depth below the face of the moves that cut sideways, the mean over their length, mm."""
        way = np.linalg.norm(np.diff(self.points, axis=0), axis=1) * (self.moves == Move.CUT)
        depth = -(self.points[1:, 2] + self.points[:-1, 2]) / 2
        return float(depth @ way / max(way.sum(), 1e-9))

    @property
    def bounds(self) -> tuple[float, float, float, float, float, float]:
        """(minX, minY, minZ, maxX, maxY, maxZ) of the cutter's tip."""
        low, high = self.points.min(axis=0), self.points.max(axis=0)
        return (*map(float, low), *map(float, high))  # type: ignore[return-value]

    def placed(self, placement: Placement) -> "Toolpath":
        """The same path moved onto the table."""
        return Toolpath(points=placement.path(self.points), moves=self.moves)
