"""Holes: pecked by a drill or a cutter of their size, bored as a helix by a smaller flat one."""

import math

import numpy as np
from shapely import MultiPolygon, Point

from signplan.geometry.precision import quarter_segments
from signplan.geometry.shapes import union
from signplan.job.shop import Machine, Tool
from signplan.operations.cutters import point_length
from signplan.operations.model import Drilling
from signplan.operations.practice import APPROACH, HOLE_FIT, PECK, RAMP, STEPOVER, levels
from signplan.toolpaths.lines import Floats, tour
from signplan.toolpaths.links import TOGETHER, Stroke
from signplan.toolpaths.model import Move, Toolpath


def drill(work: Drilling, tool: Tool, machine: Machine) -> Toolpath:
    """Every hole, the nearest next, pecked: out to above the board after each peck, to clear the chips.

    The full diameter reaches `depth`; the point of a drill goes deeper by its length.
    """
    clear, near = machine.clearance_z, min(machine.clearance_z, -work.top + APPROACH)
    bottom = -(work.depth + point_length(tool))
    rows: list[tuple[float, float, float]] = []
    moves: list[int] = []
    for x, y in holes_in_order(work):
        rows.append((x, y, clear))
        moves.append(Move.RAPID)
        for z in _pecks(-work.top, bottom, tool):
            down = min(near, z + PECK * tool.diameter + APPROACH)
            if down < rows[-1][2]:
                rows.append((x, y, down))
                moves.append(Move.RAPID)
            rows.append((x, y, z))
            moves.append(Move.PLUNGE)
            rows.append((x, y, near))
            moves.append(Move.RAPID)
        rows.append((x, y, clear))
        moves.append(Move.RAPID)
    return Toolpath(points=np.array(rows), moves=np.array(moves[1:], dtype=np.int8))


def _pecks(top: float, bottom: float, tool: Tool) -> list[float]:
    """Heights at which pecks end; ceil(depth / (2 D)) of them, equally deep."""
    count = max(1, math.ceil((top - bottom) / (PECK * tool.diameter) - 1e-9))
    return [top + (bottom - top) * k / count for k in range(1, count + 1)]


def holes_in_order(work: Drilling) -> list[tuple[float, float]]:
    """The holes in the order of a short way through them."""
    return [work.points[k] for k in tour(np.array(work.points, dtype=float))]


def is_to_size(work: Drilling, tool: Tool) -> bool:
    """Whether the cutter makes the hole by going straight down."""
    return tool.shape == "drill" or abs(tool.diameter - work.diameter) <= HOLE_FIT / 2


def bore(work: Drilling, tool: Tool) -> tuple[Stroke, ...]:
    """Every hole by a helix, counter-clockwise: the wall on the right, climb cutting.

    A hole wider than twice the cutter is opened by rings from the inside out after each pass.
    """
    radius, wall = tool.diameter / 2, work.diameter / 2 - tool.diameter / 2
    count = max(1, math.ceil(max(0.0, wall - 0.9 * radius) / (2 * STEPOVER * radius) - 1e-9) + 1)
    radii = np.linspace(min(wall, 0.9 * radius), wall, count) if wall > 0.9 * radius else np.array([wall])
    strokes: list[Stroke] = []
    for x, y in holes_in_order(work):
        top = work.top
        for depth in levels(work.top, work.depth, tool):
            strokes.append(Stroke(points=_helix((x, y), radii[0], (-top, -depth)), top=-top, ramps=False))
            strokes += [Stroke(points=_circle((x, y), r, -depth), top=-top, ramps=False) for r in radii[1:]]
            top = depth
    return tuple(strokes)


def bore_room(work: Drilling, tool: Tool) -> MultiPolygon:
    """Where the middle of the cutter may travel at depth: within each hole."""
    wall = (work.diameter - tool.diameter) / 2
    return union(
        Point(point).buffer(wall + TOGETHER, quad_segs=quarter_segments(wall)) for point in work.points
    )


def _helix(centre: tuple[float, float], radius: float, heights: tuple[float, float]) -> Floats:
    """Round and down from the first height to the second at the slope of a ramp, then once round."""
    start, end = heights
    turns = max(1, math.ceil((start - end) / (RAMP * 2 * math.pi * radius)))
    chords = 4 * max(6, quarter_segments(radius))
    angle = np.linspace(0, 2 * math.pi * turns, turns * chords + 1)
    height = start + (end - start) * angle / angle[-1]
    down = np.column_stack([np.cos(angle) * radius, np.sin(angle) * radius, height])
    down[:, :2] += centre
    return np.concatenate([down, _circle(centre, radius, end)[1:]])


def _circle(centre: tuple[float, float], radius: float, z: float) -> Floats:
    angle = np.linspace(0, 2 * math.pi, 4 * max(6, quarter_segments(radius)) + 1)
    ring = np.column_stack([np.cos(angle) * radius, np.sin(angle) * radius, np.full_like(angle, z)])
    ring[:, :2] += centre
    ring[-1] = ring[0]
    return ring
