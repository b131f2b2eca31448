"""Along centre lines, to and fro, deeper each time."""

import shapely

from signplan.job.shop import Tool
from signplan.operations.model import Channelling, Following
from signplan.operations.practice import levels
from signplan.toolpaths.lines import chained, is_closed
from signplan.toolpaths.links import Stroke, level


def follow(work: Following | Channelling, tool: Tool) -> tuple[Stroke, ...]:
    """Every line at its depth, in passes: a closed one round and round, an open one there and back."""
    strokes: list[Stroke] = []
    ground = work.top if isinstance(work, Following) else 0.0
    for drawn in chained([shapely.get_coordinates(each) for each in work.lines], keep_direction=False):
        line, top = drawn, ground
        closed = is_closed(line)
        for depth in levels(ground, work.depth, tool):
            strokes.append(Stroke(points=level(line, -depth), top=-top, closed=closed))
            line, top = line if closed else line[::-1], depth
    return tuple(strokes)
