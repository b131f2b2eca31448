"""Which cutter for what: by reach, by the narrowest place of the region, by time.

What comes in: a region in its room, a depth, the shop. What goes out: cutters, roughing first, or none where
the shop has none that will do. It knows nothing of paths; times are those of the length model
area / stepover + perimeter / 2, good to about one percent for clearing by offsets.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from shapely import Polygon

from signplan.errors import SignplanError
from signplan.geometry.shapes import area_of, grow
from signplan.job.shop import Board, Machine, Shop, Tool
from signplan.operations.detail import finest_needed
from signplan.operations.model import Sculpting
from signplan.operations.practice import BREAKTHROUGH, CORNER_LEFT, HOLE_FIT, STEPOVER, levels
from signplan.operations.room import EDGE, Room, leftover


@dataclass(frozen=True, kw_only=True)
class Bench:
    """The shop as the choice of cutters sees it. `in_use` are the tools that the face has already."""

    shop: Shop
    board: Board
    in_use: frozenset[str] = frozenset()

    def with_tools(self, tools: Iterable[Tool]) -> "Bench":
        """The bench after these were taken up."""
        more = frozenset(tool.id for tool in tools)
        return Bench(shop=self.shop, board=self.board, in_use=self.in_use | more)

    def of_shape(self, *shapes: str) -> list[Tool]:
        """The shop's cutters of these shapes, largest first, one a diameter (the longest reach of each)."""
        found: dict[tuple[str, float], Tool] = {}
        for tool in self.shop.tools:
            if tool.shape in shapes:
                key = (tool.shape, tool.diameter)
                if key not in found or tool.usable_depth > found[key].usable_depth:
                    found[key] = tool
        return sorted(found.values(), key=lambda tool: (-tool.diameter, tool.shape, tool.id))

    def change_cost(self, tool: Tool) -> float:
        """Seconds to bring the cutter in, if the face does not use it already."""
        return 0.0 if tool.id in self.in_use else self.shop.tool_change.each_s


def bench(shop: Shop, board_id: str) -> Bench:
    """The shop's cutters against one of its boards; raises SignplanError if it has no such board."""
    board = shop.board(board_id)
    if board is None:
        raise SignplanError(f"the shop has no board '{board_id}'")
    return Bench(shop=shop, board=board)


HELPS = 0.5
"""A smaller cutter that reaches no more than this, mm2, beyond a larger one is not worth taking."""


def quick_feed(tool: Tool, board: Board, machine: Machine) -> float:
    """Feed, mm/s, for comparing cutters: the middle of the chip range at full speed, within the machine's."""
    diameters = [0.0, *(d for d, _ in board.chip_load)]
    chips = [0.0, *((low + high) / 2 for _, (low, high) in board.chip_load)]
    chip = float(np.interp(tool.diameter, diameters, chips))
    return min(machine.feed_max, machine.rpm[1] / 60 * tool.flutes * chip)


def clearing_cutters(
    room: Room, depth: tuple[float, float], bench: Bench, *, last: Tool | None = None, allowance: float = 0.0
) -> tuple[Tool, ...]:
    """The quickest chain of flat cutters, roughing first, that does the room between two depths.

    The last one is given, or it is the largest that leaves no more than `CORNER_LEFT` in any corner, or the
    smallest that helps. Empty if no flat cutter of the shop reaches the floor or enters the room.
    """
    top, floor = depth
    room = room.roughly
    able = [tool for tool in bench.of_shape("flat") if tool.usable_depth >= floor]
    if last is None:
        last = _finest(room, able)
    if last is None:
        return ()
    larger = [tool for tool in able if tool.diameter > last.diameter]
    larger = [tool for tool in larger if not room.reached(tool.diameter / 2, allowance).is_empty]
    chains = [(*rough, last) for count in (0, 1, 2) for rough in combinations(larger, count)]
    return min(chains, key=lambda chain: _seconds(room, (top, floor), chain, bench, allowance))


def _finest(room: Room, able: Sequence[Tool]) -> Tool | None:
    """The largest cutter that gets into every corner far enough, or the smallest that gets farther."""
    chosen, most = None, 0.0
    for tool in able:
        reached = room.reached(tool.diameter / 2)
        if reached.area > most + HELPS:
            chosen, most = tool, reached.area
        if not reached.is_empty and grow(reached, CORNER_LEFT).covers(room.region):
            break
    return chosen


def _seconds(
    room: Room, depth: tuple[float, float], chain: Sequence[Tool], bench: Bench, allowance: float
) -> float:
    total, before = 0.0, 0.0
    for tool in chain:
        radius = tool.diameter / 2
        task = room.task(radius, before, allowance)
        length = task.area / (STEPOVER * tool.diameter) + task.length / 2
        total += length * len(levels(*depth, tool)) / quick_feed(tool, bench.board, bench.shop.machine)
        total += bench.change_cost(tool)
        before = radius
    return total


def hole_cutter(diameter: float, depth: float, bench: Bench, *, flat_bottom: bool) -> Tool | None:
    """A cutter for round holes: a flat one for a flat bottom, else a drill of their size, else what fits.

    Of flat cutters one that the face already uses comes first, then the largest.
    """
    flats, drills = fitting_holes(diameter, bench)
    order = flats + drills if flat_bottom else drills + flats
    return next((tool for tool in order if hole_depth(tool) >= depth), None)


def fitting_holes(diameter: float, bench: Bench) -> tuple[list[Tool], list[Tool]]:
    """Flat cutters that go into holes of a diameter and drills that make them, the best first."""
    flats = [tool for tool in bench.of_shape("flat") if fits_hole(tool, diameter)]
    drills = [tool for tool in bench.of_shape("drill") if fits_hole(tool, diameter)]
    flats.sort(key=lambda tool: (tool.id not in bench.in_use, -tool.diameter))
    drills.sort(key=lambda tool: (abs(tool.diameter - diameter), tool.id))
    return flats, drills


def fits_hole(tool: Tool, diameter: float) -> bool:
    """Whether a hole can be made with it: a drill makes its own size only, a flat cutter any larger one."""
    if tool.shape == "drill":
        return abs(tool.diameter - diameter) <= HOLE_FIT
    return tool.shape == "flat" and tool.diameter <= diameter + HOLE_FIT / 2


def point_length(tool: Tool) -> float:
    """Length of a drill's point, L = D / (2 tan(a / 2)); zero for a flat cutter. Source: geometry.

    >>> from signplan.job.shop import Tool
    >>> drill = Tool(number=1, id="d", shape="drill", diameter=6, flutes=2, cutting_length=60, reach=70)
    >>> round(point_length(drill), 5)
    1.80258
    """
    return tool.diameter / 2 / math.tan(tool.half_angle) if tool.shape == "drill" else 0.0


def hole_depth(tool: Tool) -> float:
    """How deep a hole it makes, to the end of the full diameter."""
    return tool.usable_depth - point_length(tool)


def vee_cutter(widest: float, cap: float, bench: Bench) -> Tool | None:
    """The sharpest vee that still makes the widest groove above the cap, or else the bluntest.

    `widest` is the greatest inscribed radius of the region, `cap` how deep a groove may be.
    """
    vees = [tool for tool in bench.of_shape("vee") if tool.reach > 0]
    vees.sort(key=lambda tool: (tool.half_angle, tool.diameter, tool.id))
    whole = [tool for tool in vees if _vee_depth(tool, widest) <= min(cap, vee_reach(tool)) + EDGE]
    return next(iter(whole), vees[-1] if vees else None)


def vee_reach(tool: Tool) -> float:
    """Deepest groove of a vee cutter: where it is as wide as its diameter, or as its flutes are long."""
    flank = (tool.diameter - tool.tip) / 2 / math.tan(tool.half_angle)
    return min(flank, tool.usable_depth)


def _vee_depth(tool: Tool, radius: float) -> float:
    return (radius - tool.tip / 2) / math.tan(tool.half_angle)


def line_cutter(depth: float, bench: Bench) -> Tool | None:
    """For a centre line: the smallest vee that reaches, else ball, else flat."""
    for shape in ("vee", "ball", "flat"):
        for tool in reversed(bench.of_shape(shape)):
            if (vee_reach(tool) if shape == "vee" else tool.usable_depth) >= depth:
                return tool
    return None


def relief_cutters(work: Sculpting, bench: Bench) -> tuple[Tool | None, Tool | None]:
    """A flat cutter to rough a relief, and a ball to finish it.

    The flat one is the largest no wider than a sixth of the relief, the ball the largest that reaches the
    detail of its map. Where none is or does, the smallest.
    """
    if work.region.is_empty:
        return None, None
    x0, y0, x1, y1 = work.region.bounds
    side = min(x1 - x0, y1 - y0)
    flats = [tool for tool in bench.of_shape("flat") if tool.usable_depth >= work.depth]
    balls = [tool for tool in bench.of_shape("ball") if tool.usable_depth >= work.depth]
    rough = next((tool for tool in flats if tool.diameter <= side / 6), flats[-1] if flats else None)
    return rough, finest_needed(work, balls)


def cutout_cutter(outline: Polygon, depth: float, border: float, bench: Bench) -> Tool | None:
    """For the outline: the largest that passes through the border and leaves its inside corners sharp enough.

    If none does both, the smallest that passes; None if no flat cutter goes `depth` deep.
    """
    able = [tool for tool in bench.of_shape("flat") if tool.usable_depth >= depth]
    passing = [tool for tool in able if tool.diameter <= border] or able[-1:]
    for tool in passing:
        around = area_of(outline.buffer(3 * tool.diameter).difference(outline))
        room = Room(region=around)
        inside = [
            (piece, far) for piece, far in leftover(room, tool.diameter / 2) if piece.distance(outline) < EDGE
        ]
        if max((far for _, far in inside), default=0.0) <= CORNER_LEFT:
            return tool
    return passing[-1] if passing else None


def through_depth(thickness: float) -> float:
    """How deep a cut through the board goes."""
    return thickness + BREAKTHROUGH
