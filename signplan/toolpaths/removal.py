"""What a path really removes: a height field of the board, swept by the cutter move by move.

What comes in: paths and the cutters that run along them. What goes out: the height of the board over every
cell of a grid, how deep each path bit, and whether a rapid struck board. It is the independent check of all
other modules here and uses none of them: no offsets, only distances from cells to moves.
"""

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from signplan.job.shop import Tool
from signplan.toolpaths.model import Move, Toolpath

Floats = NDArray[np.float64]


@dataclass(kw_only=True)
class BoardField:
    """A piece of board under the cutter.

    Attributes:
        x, y: middles of the cells, mm.
        heights: (len(y), len(x)), mm; 0 is the face.
        struck: how deep a rapid went into the board at worst, mm.
        bite: the deepest that a cut or plunge took at one place, mm.
    """

    x: Floats
    y: Floats
    heights: Floats
    struck: float = 0.0
    bite: float = 0.0

    @classmethod
    def over(cls, bounds: tuple[float, float, float, float], cell: float) -> "BoardField":
        """Uncut board over a box, in square cells."""
        x0, y0, x1, y1 = bounds
        x, y = np.arange(x0 + cell / 2, x1, cell), np.arange(y0 + cell / 2, y1, cell)
        return cls(x=x, y=y, heights=np.zeros((len(y), len(x))))

    @property
    def cell_area(self) -> float:
        """mm2."""
        return float((self.x[1] - self.x[0]) * (self.y[1] - self.y[0]))

    def inside(self, shape: BaseGeometry) -> NDArray[np.bool_]:
        """The cells whose middle lies in a shape."""
        shapely.prepare(shape)
        return np.asarray(shapely.contains_xy(shape, *np.meshgrid(self.x, self.y)))

    def area(self, cells: NDArray[np.bool_]) -> float:
        """Area of cells, mm2."""
        return float(cells.sum()) * self.cell_area

    def cut(self, path: Toolpath, tool: Tool) -> "BoardField":
        """Sweep a cutter along a path; the field itself is changed and returned."""
        for start, end, move in zip(path.points[:-1], path.points[1:], path.moves, strict=True):
            if min(start[2], end[2]) < 0:
                sweep = self._flat if tool.shape == "flat" else self._formed
                sweep(start, end, tool, bool(move == Move.RAPID))
        return self

    def _flat(self, start: Floats, end: Floats, tool: Tool, rapid: bool) -> None:
        """Exact: when the disc covers a cell, and the lower end of the tip's height in that time."""
        radius = tool.diameter / 2
        box = self._box(start, end, radius)
        px, py = np.meshgrid(self.x[box[1]] - start[0], self.y[box[0]] - start[1])
        (dx, dy, dz), squared = end - start, float(((end - start)[:2] ** 2).sum())
        if squared < 1e-18:
            tip = np.where(px * px + py * py <= radius * radius, min(start[2], end[2]), np.inf)
        else:
            middle = (px * dx + py * dy) / squared
            off = (px * dy - py * dx) ** 2 / squared
            half = np.sqrt(np.maximum(radius * radius - off, 0) / squared)
            first, last = np.maximum(middle - half, 0), np.minimum(middle + half, 1)
            covered = (off <= radius * radius) & (first <= last)
            tip = np.where(covered, start[2] + np.minimum(first * dz, last * dz), np.inf)
        self._lower(box, tip, rapid)

    def _formed(self, start: Floats, end: Floats, tool: Tool, rapid: bool) -> None:
        """Any other form, at places along the move that lie half a cell apart."""
        cell = float(self.x[1] - self.x[0])
        count = max(1, math.ceil(float(np.linalg.norm(end - start)) / (cell / 2)))
        for at in np.linspace(start, end, count + 1):
            box = self._box(at, at, tool.diameter / 2)
            px, py = np.meshgrid(self.x[box[1]] - at[0], self.y[box[0]] - at[1])
            self._lower(box, at[2] + underside(tool, np.hypot(px, py)), rapid)

    def _box(self, start: Floats, end: Floats, radius: float) -> tuple[slice, slice]:
        """The cells that a cutter of that radius may touch on a move."""
        low, high = np.minimum(start, end) - radius, np.maximum(start, end) + radius
        columns = np.searchsorted(self.x, (low[0], high[0]))
        rows = np.searchsorted(self.y, (low[1], high[1]))
        return slice(int(rows[0]), int(rows[1])), slice(int(columns[0]), int(columns[1]))

    def _lower(self, box: tuple[slice, slice], tip: Floats, rapid: bool) -> None:
        before = self.heights[box]
        taken = float(np.max(before - tip, initial=0.0))
        if rapid:
            self.struck = max(self.struck, taken)
        else:
            self.bite = max(self.bite, taken)
        np.minimum(before, tip, out=before)


def underside(tool: Tool, distance: Floats) -> Floats:
    """Height of a cutter's underside above its tip at distances from its axis; infinite beyond its radius."""
    radius = tool.diameter / 2
    match tool.shape:
        case "ball":
            rise = radius - np.sqrt(np.maximum(radius**2 - distance**2, 0))
        case "vee":
            rise = np.maximum(distance - tool.tip / 2, 0) / math.tan(tool.half_angle)
        case "drill":
            rise = distance / math.tan(tool.half_angle)
        case "round-over":
            curve = tool.radius or 0.0
            past = np.clip(distance - (radius - curve), 0, curve)
            rise = np.sqrt(curve**2 - (curve - past) ** 2)
        case _:
            rise = np.zeros_like(distance)
    return np.where(distance > radius, np.inf, rise)
