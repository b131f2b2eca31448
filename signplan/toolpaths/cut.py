"""From an operation to its tool path: the one function that the rest of the program calls."""

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from signplan.geometry.shapes import area_of, grow
from signplan.job.shop import Machine, Tool
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
from signplan.toolpaths.clear import centres_of, clear, clear_rest
from signplan.toolpaths.contour import cut_out, edge, lead_room, wall_room, walls
from signplan.toolpaths.drill import bore, bore_room, drill, is_to_size
from signplan.toolpaths.follow import follow
from signplan.toolpaths.incise import bottom_of, incise, widest_groove
from signplan.toolpaths.links import Stroke, joined
from signplan.toolpaths.model import Move, Toolpath
from signplan.toolpaths.relief import finish_relief, rough_relief


def cut(operation: Operation, tool: Tool, machine: Machine) -> Toolpath:
    """The path of an operation, in the view of its face: Z = 0 on the face, down negative.

    It begins and ends at the machine's clearance height. The spindle turns clockwise seen from above, and
    walls are on the cutter's right: climb cutting.

    A cutter that finds no way in waits there, and all of the work is `missed`.

    Raises:
        SignplanError: an edge asked of a cutter without a form.
    """
    work = operation.work
    match work:
        case Clearing():
            rest = operation.kind == "rest"
            strokes = clear_rest(work, tool) if rest else clear(work, tool, machine)
            return _joined(operation, strokes, tool, machine, centres_of(work, tool))
        case Walls():
            return _joined(operation, walls(work, tool), tool, machine, lead_room(wall_room(work, tool)))
        case Grooving():
            room = bottom_of(work, widest_groove(work, tool))
            return _joined(operation, incise(work, tool, machine), tool, machine, room)
        case Following() | Channelling():
            return _joined(operation, follow(work, tool), tool, machine)
        case Drilling():
            if is_to_size(work, tool):
                return drill(work, tool, machine)
            return _joined(operation, bore(work, tool), tool, machine, bore_room(work, tool))
        case Sculpting():
            made = finish_relief if operation.kind == "relief-finish" else rough_relief
            return _joined(operation, tuple(made(work, tool, machine)), tool, machine)
        case Rounding():
            return _joined(operation, edge(work, tool), tool, machine)
        case CuttingOut():
            return _joined(operation, cut_out(work, tool), tool, machine)


def _joined(
    operation: Operation,
    strokes: tuple[Stroke, ...],
    tool: Tool,
    machine: Machine,
    room: shapely.MultiPolygon | None = None,
) -> Toolpath:
    if not strokes:
        return _nothing(operation, machine)
    return joined(strokes, tool=tool, machine=machine, room=room)


def _nothing(operation: Operation, machine: Machine) -> Toolpath:
    """The path of a cutter that finds no way in: it waits above the work."""
    work = operation.work
    shape = getattr(work, "region", None) or getattr(work, "outline", None) or shapely.Point(0, 0)
    here = (*shapely.get_coordinates(shape)[0], machine.clearance_z)
    return Toolpath(points=np.array([here, here]), moves=np.array([Move.RAPID], dtype=np.int8))


def missed(operation: Operation, tool: Tool) -> float:
    """Area, mm2, that the work asks for and no place of the cutter covers."""
    work = operation.work
    match work:
        case Clearing():
            return _uncovered(work.region, grow(centres_of(work, tool), tool.diameter / 2 + 0.01))
        case Walls():
            reliefs = shapely.MultiPoint(work.relief).buffer(tool.diameter / 2)
            reached = grow(wall_room(work, tool), tool.diameter / 2 + 0.01)
            return _uncovered(work.region, reached.union(reliefs))
        case Grooving() if tool.tip:
            return _uncovered(work.region, grow(grow(work.region, -tool.tip / 2), tool.tip / 2 + 0.01))
    return 0.0


def _uncovered(region: shapely.MultiPolygon, reached: BaseGeometry) -> float:
    return float(area_of(region.difference(reached)).area)
