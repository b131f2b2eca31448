"""Round-bottomed channels: a rod in the path of one ball-nosed cutter along its axis.

The board left beside a rod is thickest where the pocket is round like it. A channel is what a ball sweeps
whose middle follows a line: at every depth the line grown by half a chord of the ball.
"""

import math
from collections.abc import Sequence

from shapely import LineString, MultiLineString, Polygon

from signplan.geometry.precision import GRID, SAME
from signplan.geometry.shapes import area_of, lines_of, union
from signplan.job.shop import Tool
from signplan.sign.cavity import reach
from signplan.sign.model import Bar, Channel, Item, Pocket, Solid
from signplan.sign.register import Panel

MARGIN = 1.0
"""How far past the edge the middle of the ball runs at least, so that no burr stays in a mouth; mm."""


def wants_channel(part: Solid) -> bool:
    """Whether a part is a rod: round, and longer than it is thick. A washer stands in a flat pocket."""
    return isinstance(part, Bar) and part.profile == "round" and math.dist(part.start, part.end) >= part.width


def rods_of(item: Item) -> tuple[Bar, ...]:
    """The parts of an item that lie in channels if a cutter for them is there."""
    if item.bottom != "round":
        return ()
    return tuple(part for part in item.parts if isinstance(part, Bar) and wants_channel(part))


def ball_needed(bar: Bar, item: Item) -> float:
    """Radius of the smallest ball whose channel leaves a rod its room at both sides and at the floor, mm.

    With as much room at the floor as at the sides, or more, it is the rod's own radius and the clearance.
    With less it is the circle through both sides and the floor: r = h / 2 + w^2 / 8 h of a circular segment
    with chord w and height h (any handbook of mathematics).
    """
    side, floor = bar.width / 2 + item.clearance, bar.width / 2 + item.depth_clearance
    return side if floor >= side else floor / 2 + side**2 / (2 * floor)


def channel_depth(bar: Bar, item: Item, panel: Panel) -> float:
    """How deep the tip of the ball must go into a panel, mm; none if the rod does not reach into it."""
    deep = reach(bar, panel)
    return deep + item.depth_clearance if deep > SAME else 0.0


def ball_for(bar: Bar, item: Item, panel: Panel, balls: Sequence[Tool]) -> Tool | None:
    """The smallest ball-nosed cutter that is large and long enough for a rod's channel in a panel."""
    least, deep = ball_needed(bar, item), channel_depth(bar, item, panel)
    fit = (t for t in balls if t.diameter / 2 >= least - SAME and t.usable_depth >= deep - SAME)
    return min(fit, key=lambda tool: (tool.diameter, tool.number), default=None)


def along_axis(axis: LineString, radius: float, depth: float, outline: Polygon) -> Channel:
    """The channel along an axis, which is cut off where the whole of the channel has passed the edge.

    At an end inside the board the ball stops over the end of the rod, where its own roundness leaves room.
    """
    half = Channel(lines=(axis,), radius=radius, depth=depth).half_width(0.0)
    wanted = axis.buffer(half, cap_style="flat").intersection(outline)
    lines: tuple[LineString, ...] = (axis,)
    for past in (MARGIN, half + MARGIN, 2 * half + MARGIN):
        lines = lines_of(axis.intersection(outline.buffer(past, join_style="mitre")))
        cut = union(line.buffer(half + GRID, cap_style="flat") for line in lines)
        if area_of(wanted.difference(cut)).is_empty:
            break
    return Channel(lines=lines, radius=radius, depth=depth)


def wall_room(channel: Channel, depth: float, off: float) -> float:
    """Least distance, mm, from a line along a channel, `depth` deep and `off` its middle, to the wall.

    Beside the straight part of the wall it is what is left of the radius; beside the round part the distance
    from the middle of the ball is taken from the radius. A wall begins at the glue plane.
    """
    below = depth - channel.middle
    far = math.hypot(off, below)
    if below <= 0 <= depth:
        return channel.radius - off
    if below > 0 and channel.middle + channel.radius * below / far >= 0:
        return channel.radius - far
    return math.hypot(channel.half_width(0.0) - off, depth)


def lies_in(part: Solid, pocket: Pocket, outline: Polygon) -> LineString | None:
    """The axis of a rod inside the panel, if it lies over a line that the ball of a channel follows."""
    if pocket.channel is None or not isinstance(part, Bar) or part.profile != "round":
        return None
    axis = LineString([part.start, part.end])
    if not axis.dwithin(pocket.as_cut, GRID):
        return None
    inside = lines_of(outline.intersection(axis))
    lines = MultiLineString(pocket.channel.lines).buffer(GRID)
    return max(inside, key=lambda line: line.length) if inside and all(map(lines.covers, inside)) else None
