"""Reliefs: the height map roughed in levels by a flat cutter, then finished in rows by a ball.

Rows follow the surface of tool heights (see `signplan.geometry.heightfield`), so that nothing is cut below
the relief or beside its region however steep it is.
"""

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from signplan.geometry.heightfield import (
    STEEP,
    SUBSAMPLES,
    Field,
    Grid,
    guarded,
    inside,
    tool_heights,
)
from signplan.job.shop import Machine, Tool
from signplan.operations.detail import board_heights
from signplan.operations.model import Sculpting
from signplan.operations.practice import APPROACH, SCALLOP, STEPOVER, levels
from signplan.toolpaths.lines import Floats
from signplan.toolpaths.links import Stroke

NOTHING = 1e-3
"""Less depth than this, mm, is not worth a cut."""

ALONG = 2
"""Places along a finishing row for each step between rows: the path is straight between them, and where a
ball rounds an edge it should not be."""

ROUGH_SAMPLES = 8
"""Places along a roughing row for each radius of the cutter."""


def row_step(tool: Tool, scallop: float = SCALLOP) -> float:
    """Distance of rows that leaves ridges of a height between them: s = 2 sqrt(2 R h - h2), the sagitta.

    >>> from signplan.job.shop import Tool
    >>> ball = Tool(number=1, id="b", shape="ball", diameter=6, flutes=2, cutting_length=20, reach=30)
    >>> round(row_step(ball, 0.005), 6)
    0.346266
    """
    radius = tool.diameter / 2
    if tool.shape != "ball":
        return STEPOVER * tool.diameter / 2
    return 2 * math.sqrt(2 * radius * scallop - scallop**2)


def finish_relief(work: Sculpting, tool: Tool, machine: Machine) -> Iterator[Stroke]:
    """Rows over the whole relief, to and fro."""
    step = row_step(tool)
    grid = Grid.over(work.region.bounds, step / ALONG, step)
    lowest, within = lowest_heights(work, tool, grid)
    yield from _rows(lowest, grid, within & (lowest < -NOTHING), machine, top=0.0)


def rough_relief(work: Sculpting, tool: Tool, machine: Machine) -> Iterator[Stroke]:
    """Level by level, rows over all that stands between two levels, `allowance` left on the relief."""
    step = tool.diameter / 2 / ROUGH_SAMPLES
    every = max(1, int(STEPOVER * tool.diameter / step))
    grid = Grid.over(work.region.bounds, step, step)
    lowest, within = lowest_heights(work, tool, grid)
    lowest = np.minimum(lowest + np.float32(work.allowance), 0)
    rows = sorted({*range(0, grid.rows, every), grid.rows - 1})
    above = 0.0
    for depth in levels(0.0, work.depth - work.allowance, tool):
        heights = np.maximum(lowest, np.float32(-depth))
        deep = within & (lowest < -above - NOTHING)
        yield from _rows(heights, grid, deep, machine, top=-above, rows=rows)
        above = depth


def lowest_heights(work: Sculpting, tool: Tool, grid: Grid) -> tuple[Field, NDArray[np.bool_]]:
    """How low the tip may be over each place, and which places lie in the region."""
    radius = tool.diameter / 2
    margin = math.ceil(radius / min(grid.dx, grid.dy) * SUBSAMPLES)
    fine = grid.finer(SUBSAMPLES, margin)
    board = guarded(board_heights(work, fine), fine)
    shape = "ball" if tool.shape == "ball" else "flat"
    lowest = tool_heights(board, grid, shape=shape, radius=radius, margin=margin)
    return lowest, inside(work.region, grid)


def _rows(
    heights: Field,
    grid: Grid,
    deep: NDArray[np.bool_],
    machine: Machine,
    *,
    top: float,
    rows: list[int] | None = None,
) -> Iterator[Stroke]:
    """Strokes along rows, to and fro, over the places that are to be cut.

    From one run to the next the cutter passes over what lies between if that is near, just above the highest
    of it; otherwise the stroke ends.
    """
    near = 4 * machine.clearance_z
    legs: list[Floats] = []
    last: tuple[int, int] | None = None
    x, y = grid.x, grid.y
    for count, i in enumerate(range(grid.rows) if rows is None else rows):
        runs = _runs(deep[i])
        for first, stop in runs if count % 2 == 0 else [(b, a) for a, b in reversed(runs)]:
            columns = np.arange(first, stop + 1) if stop >= first else np.arange(first, stop - 1, -1)
            run = np.column_stack([x[columns], np.full(len(columns), y[i]), heights[i, columns]])
            if last is not None:
                if _way(grid, last, (i, first)) <= near:
                    legs.append(_over(heights, grid, last, (i, first)))
                else:
                    yield Stroke(points=np.concatenate(legs), top=top, ramps=False)
                    legs = []
            legs.append(_stepped(_thinned(run)))
            last = (i, stop)
    if legs:
        yield Stroke(points=np.concatenate(legs), top=top, ramps=False)


def _runs(deep: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First and last place of every run, one place wider on both sides so that it starts at its edge."""
    if not deep.any():
        return []
    wide = deep.copy()
    wide[:-1] |= deep[1:]
    wide[1:] |= deep[:-1]
    edges = np.diff(np.concatenate([[0], wide.astype(np.int8), [0]]))
    return list(
        zip(np.flatnonzero(edges == 1).tolist(), (np.flatnonzero(edges == -1) - 1).tolist(), strict=True)
    )


def _way(grid: Grid, a: tuple[int, int], b: tuple[int, int]) -> float:
    return math.hypot((a[0] - b[0]) * grid.dy, (a[1] - b[1]) * grid.dx)


def _over(heights: Field, grid: Grid, a: tuple[int, int], b: tuple[int, int]) -> Floats:
    """From one place to another above the highest place between: straight up, across and straight down."""
    i0, i1 = sorted((a[0], b[0]))
    j0, j1 = sorted((a[1], b[1]))
    z = float(heights[i0 : i1 + 1, j0 : j1 + 1].max())
    z = APPROACH if z > -NOTHING and max(i1 - i0, j1 - j0) > 1 else z
    x, y = grid.x, grid.y
    return np.array([[x[a[1]], y[a[0]], z], [x[b[1]], y[b[0]], z]])


def _stepped(run: Floats) -> Floats:
    """The run with a square step at each wall: up before going across, and down after it.

    The tool heights beside a wall bend down to it, so that a straight line between two would cut into it.
    """
    rise = np.diff(run[:, 2])
    wall = np.flatnonzero(np.abs(rise) > STEEP * np.linalg.norm(np.diff(run[:, :2], axis=0), axis=1))
    if not len(wall):
        return run
    corners = np.where((rise[wall] > 0)[:, None], run[wall], run[wall + 1])
    corners[:, 2] = np.maximum(run[wall, 2], run[wall + 1, 2])
    stepped: Floats = np.insert(run, wall + 1, corners, axis=0)
    return stepped


def _thinned(run: Floats) -> Floats:
    """The run without the points that lie on the straight line between their neighbours."""
    z = run[:, 2]
    bend = np.abs(z[2:] - 2 * z[1:-1] + z[:-2]) > 1e-6
    return run[np.concatenate([[True], bend, [True]])] if len(run) > 2 else run
