"""The removal check: sweep the paths of a feature and compare what is left with what was asked for.

What comes in: the operations of one feature with their cutters and paths. What goes out: how far anything
was cut below its floor or outside its region, what still stands, and whether a rapid struck board. All in
the view of the feature's face.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from signplan.geometry.heightfield import Grid
from signplan.geometry.precision import CHORD
from signplan.job.shop import Tool
from signplan.operations.cutters import point_length
from signplan.operations.detail import board_heights
from signplan.operations.model import (
    Channelling,
    Clearing,
    CuttingOut,
    Drilling,
    Following,
    Grooving,
    Operation,
    Rounding,
    Sculpting,
    Walls,
)
from signplan.operations.practice import BREAKTHROUGH
from signplan.sign.forms import edge_inset
from signplan.toolpaths.cut import missed
from signplan.toolpaths.model import Toolpath
from signplan.toolpaths.removal import BoardField, Floats

Run = tuple[Operation, Tool, Toolpath]

MARGIN = 2.0
"""Board looked at beyond the cutter's reach round a feature, mm."""

SLIGHT = 2 * CHORD
"""Curves are chords: as far outside a region as this nothing counts as cut."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Removal:
    """What the paths of one feature did.

    Attributes:
        feature: its operations' common id, such as `A/outer/raise-1`.
        struck: how deep a rapid went into board, mm.
        below: how far board was cut below what was asked for, mm.
        outside: area outside the region that was cut deeper than the tolerance, mm2.
        left: area of the region that still stands higher than asked for, mm2.
        missed: of that, what the operations say that their cutters do not reach, mm2.
    """

    feature: str
    struck: float
    below: float
    outside: float
    left: float
    missed: float


def removal(runs: Sequence[Run], *, cell: float, tolerance: float = 0.1) -> Removal:
    """Sweep the operations of one feature, in the order in which they run.

    Args:
        cell: width of a cell of the height field, mm.
        tolerance: what may stand above a floor or a groove, or be skimmed off the face beside it, mm.
    """
    last, tool, _ = runs[-1]
    region = _region(runs)
    reach = max(each.diameter for _, each, _ in runs) + MARGIN
    x0, y0, x1, y1 = shapely.bounds(region)
    board = BoardField.over((x0 - reach, y0 - reach, x1 + reach, y1 + reach), cell)
    board.heights[:] = -getattr(last.work, "top", 0.0)
    whole = board.heights.copy()
    for _, each_tool, each_path in runs:
        board.cut(each_path, each_tool)
    wanted = np.minimum(_wanted(last, tool, board), whole)
    inside = board.inside(region)
    may_cut = board.inside(shapely.union_all([shapely.buffer(region, SLIGHT), *map(_beyond, runs)]))
    return Removal(
        feature=last.id.rpartition("/")[0],
        struck=board.struck,
        below=float(np.max((wanted - board.heights)[may_cut], initial=0.0)),
        outside=board.area(~may_cut & (board.heights < whole - tolerance)),
        left=board.area(inside & (board.heights > wanted + tolerance)),
        missed=missed(last, tool),
    )


def _region(runs: Sequence[Run]) -> BaseGeometry:
    """What the feature is to remove, in plan."""
    work = runs[-1][0].work
    match work:
        case (
            Clearing(region=region)
            | Walls(region=region)
            | Grooving(region=region)
            | Sculpting(region=region)
            | Channelling(region=region)
        ):
            return region
        case Drilling(points=points, diameter=diameter):
            return shapely.MultiPoint(points).buffer(diameter / 2, quad_segs=64)
        case Following(lines=lines):
            return shapely.MultiLineString(lines).buffer(0.05)
        case Rounding(outline=outline):
            return outline.buffer(0.1).difference(outline)
        case CuttingOut(outline=outline):
            return outline.buffer(runs[-1][1].diameter / 2 + 0.05).boundary
    return shapely.MultiPolygon()


def _beyond(run: Run) -> BaseGeometry:
    """Where else the cutter may cut: past open sides, into relieved corners, the waste round the panel."""
    operation, tool, _ = run
    match operation.work:
        case Clearing(within=within):
            return within.buffer(SLIGHT)
        case Walls(open_at=open_at, relief=relief):
            corners = shapely.MultiPoint(relief).buffer(tool.diameter / 2 + SLIGHT, quad_segs=32)
            return shapely.union(open_at.buffer(SLIGHT), corners)
        case Following(lines=lines):
            return shapely.MultiLineString(lines).buffer(tool.diameter / 2 + SLIGHT)
        case CuttingOut(outline=outline):
            return outline.buffer(tool.diameter + SLIGHT).difference(outline.buffer(-SLIGHT))
        case Rounding(outline=outline, depth=depth, top=top):
            inside = outline.buffer(-edge_inset(tool, depth - top) - SLIGHT)
            return outline.buffer(tool.diameter + SLIGHT).difference(inside)
    return shapely.MultiPolygon()


def _wanted(operation: Operation, tool: Tool, board: BoardField) -> Floats:
    """The lowest that the board may be over each cell."""
    work = operation.work
    match work:
        case Clearing(floor=floor) | Walls(floor=floor):
            return np.full_like(board.heights, -floor)
        case Drilling():
            return _holes(work, tool, board)
        case Grooving():
            return _groove(work, tool, board)
        case Sculpting():
            return _relief(work, board)
        case Channelling():
            return _channel(work, board)
        case CuttingOut(depth=depth, left=left, tabs=tabs):
            return np.full_like(board.heights, -(depth + BREAKTHROUGH if tabs else depth - left))
    return np.full_like(board.heights, -operation.depth)


def _holes(work: Drilling, tool: Tool, board: BoardField) -> Floats:
    """The floor, and below it the cone of a drill's point."""
    xx, yy = np.meshgrid(board.x, board.y)
    far: Floats = np.min([np.hypot(xx - x, yy - y) for x, y in work.points], axis=0)
    cone: Floats = point_length(tool) * np.maximum(1 - far / (tool.diameter / 2), 0)
    return -work.depth - cone


def _channel(work: Channelling, board: BoardField) -> Floats:
    """The sphere round the middle of the ball wherever that is nearest; board where it does not reach."""
    xx, yy = np.meshgrid(board.x, board.y)
    far = np.asarray(shapely.distance(shapely.points(xx, yy), shapely.MultiLineString(work.lines)))
    below = np.sqrt(np.maximum(work.radius**2 - far**2, 0.0))
    return np.where(far < work.radius, np.minimum(work.radius - below - work.depth, 0.0), 0.0)


def _groove(work: Grooving, tool: Tool, board: BoardField) -> Floats:
    """Over each cell inside the region: its distance to the wall over the tangent, not below the cap."""
    inside: NDArray[np.bool_] = board.inside(work.region)
    xx, yy = np.meshgrid(board.x, board.y)
    far = np.asarray(shapely.distance(shapely.points(xx[inside], yy[inside]), work.region.boundary))
    heights = np.full_like(board.heights, -work.top)
    heights[inside] = -np.minimum(work.cap, work.top + far / np.tan(tool.half_angle))
    return heights


def _relief(work: Sculpting, board: BoardField) -> Floats:
    cell = float(board.x[1] - board.x[0])
    grid = Grid(
        x0=float(board.x[0]), y0=float(board.y[0]), dx=cell, dy=cell, rows=len(board.y), columns=len(board.x)
    )
    return np.asarray(board_heights(work, grid), dtype=np.float64)
