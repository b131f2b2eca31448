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
        """Any other form: the lowest of its height over a cell at the places where that can be least.

        Those are both ends of the move, where the cell is nearest or under the edge of a flat tip, and where
        the form's flank is as steep as the move. That is exact for a cone, a sphere, and any level move.
        """
        box = self._box(start, end, tool.diameter / 2)
        px, py = np.meshgrid(self.x[box[1]] - start[0], self.y[box[0]] - start[1])
        (dx, dy, dz), length = end - start, float(np.hypot(*(end - start)[:2]))
        if length < 1e-9:
            self._lower(box, min(start[2], end[2]) + underside(tool, np.hypot(px, py)), rapid)
            return
        along, off = (px * dx + py * dy) / length, np.abs(px * dy - py * dx) / length
        steep = dz / length
        tip = np.full_like(along, np.inf)
        tip_edge = np.sqrt(np.maximum((tool.tip / 2) ** 2 - off**2, 0))
        for place in (0.0, length, along - tip_edge, along + tip_edge, along - _lag(tool, steep, off)):
            at = np.clip(place, 0, length)
            tip = np.minimum(tip, start[2] + steep * at + underside(tool, np.hypot(along - at, off)))
        self._lower(box, tip, rapid)

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


def _lag(tool: Tool, steep: float, off: Floats) -> Floats:
    """How far before the nearest place of a move, rising `steep`, its flank is lowest over cells beside."""
    if tool.shape == "ball":
        return np.asarray(steep * np.sqrt(np.maximum((tool.diameter / 2) ** 2 - off**2, 0) / (1 + steep**2)))
    if tool.shape == "vee" and abs(steep) * math.tan(tool.half_angle) < 1:
        flank = 1 / math.tan(tool.half_angle)
        return off * steep / math.sqrt(flank**2 - steep**2)
    return np.zeros_like(off)


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
        case "ogee":
            rise = _two_arcs(tool, np.clip(distance - (radius - tool.run), 0, tool.run))
        case _:
            rise = np.zeros_like(distance)
    return np.where(distance > radius, np.inf, rise)


def _two_arcs(tool: Tool, past: Floats) -> Floats:
    """Height of an ogee, `past` its narrow end: a hollow to half way, then a round, each the same arc."""
    curve, rise = tool.radius or 0.0, tool.rise or 0.0
    half = np.minimum(past, tool.run - past)
    arc = curve - np.sqrt(curve**2 - half**2)
    return np.asarray(np.where(2 * past <= tool.run, arc, rise - arc))
