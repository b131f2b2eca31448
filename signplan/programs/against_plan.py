"""Rules that hold a program's moves against the plan of its setup: places, depths, obstacles.

A `Site` is what stands on the table: the blank, its pins and screws, and how deep the plan cuts where. Each
rule is a generator of one code over a batch of moves, as in `move_rules`.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import groupby

import numpy as np

from signplan.job.shop import Shop, Tool
from signplan.operations.model import CuttingOut
from signplan.programs.floors import Squares, between, flat_radius, planned_floors
from signplan.programs.model import Bools, Context, Floats, Moves, Sighting, chosen, is_constant
from signplan.programs.move_rules import bored, by_tool, seen
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.toolpaths.model import Move
from signplan.units import Units, decimal, to_units

DEEPER = 0.05
"""mm that a cut may be deeper, or further out, than planned: what a router repeats to."""

_OFF_THE_MAP = 1e6
"""mm: a place, and a height, where nothing is."""

SCREW_ROOM = 6.35
"""Board to leave between a screw and the cutter's edge: 1/4 in (common practice)."""


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """What the plan does with a tool between two changes, and the corners of the box of its cuts, mm."""

    tool: Tool
    operations: tuple[PlannedOperation, ...]
    low: Floats
    high: Floats


def blocks_of(planned: PlannedSetup) -> tuple[Block, ...]:
    """The operations of a setup in order, parted where the tool changes."""
    parted = groupby(planned.operations, key=lambda each: each.tool)
    return tuple(_block(tool, tuple(operations)) for tool, operations in parted)


def _block(tool: Tool, operations: tuple[PlannedOperation, ...]) -> Block:
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for each in operations:
        cuts = np.flatnonzero(each.path.moves != Move.RAPID)
        if cuts.size:
            points = each.path.points.T
            ends = np.concatenate((chosen(points, cuts), chosen(points, cuts + 1)), axis=1)
            low, high = np.minimum(low, ends.min(axis=1)), np.maximum(high, ends.max(axis=1))
    return Block(tool, operations, low, high)


class Site:
    """A setup as its programs meet it.

    Attributes:
        blocks: the plan's work, tool by tool.
        low, high: corners that the cutter's middle may go between while it cuts: the blank, or further out
            where the plan itself goes.
        bottom: lowest Z that anything may be cut to.
        floors: how deep the plan cuts where.
        pins: ((x, y), radius) of the pins that stand in the blank.
        screws: (x, y) of the screws.
    """

    def __init__(self, planned: PlannedSetup, shop: Shop) -> None:
        setup = planned.setup
        self._tools = shop.tools
        self.blocks = blocks_of(planned)
        low = np.min([block.low for block in self.blocks], axis=0, initial=0.0)
        high = np.max([block.high for block in self.blocks], axis=0, initial=0.0)
        self.low = low[:2] - DEEPER
        self.high = np.maximum(high[:2], setup.blank[:2]) + DEEPER
        self.bottom = min(-(setup.blank[2] - _skin(planned)), float(low[2])) - DEEPER
        self.floors = planned_floors(planned.operations, setup.blank)
        self._cleared: dict[float, Squares] = {}
        self.pins = [((pin.x, pin.y), pin.diameter / 2) for pin in setup.pins] if setup.turn else []
        self.screws = shop.holding.screws if shop.holding.kind != "vacuum" else ()

    def clear(self, moves: Moves) -> None:
        """Take moves as made."""
        low = moves.cutting & (np.minimum(moves.start[2], moves.end[2]) < 0) & moves.known
        for number, mine in by_tool(moves):
            cuts = mine & low
            if cuts.any():
                radius = self.radius(number)
                if radius not in self._cleared:
                    self._cleared[radius] = self.floors.like()
                whole = cuts.all()
                start, end = moves.start, moves.end
                self._cleared[radius].cut(
                    start if whole else chosen(start, cuts), end if whole else chosen(end, cuts)
                )

    def cleared(self, x: float, y: float) -> float:
        """How low the programs of this setup have cut at a place so far."""
        return min((tips.near(x, y, radius) for radius, tips in self._cleared.items()), default=0.0)

    def radius(self, number: int) -> float:
        """How far from its axis the tool of that number is as deep as at its tip, mm."""
        return next((flat_radius(tool) for tool in self._tools if tool.number == number), 0.0)


def _skin(planned: PlannedSetup) -> float:
    """What the cut-out leaves under the whole outline, mm."""
    works = [each.operation.work for each in planned.operations]
    return min((work.left for work in works if isinstance(work, CuttingOut) and not work.tabs), default=0.0)


PlanRule = Callable[[Moves, Context, Site], Iterator[Sighting]]


def cut_outside(moves: Moves, context: Context, site: Site) -> Iterator[Sighting]:
    """No cut is made with the cutter's middle off the blank, unless the plan goes there too."""
    if (moves.low[:2] >= site.low).all() and (moves.high[:2] <= site.high).all():
        return
    over = np.maximum(_over(moves.start, site), _over(moves.end, site))
    bad = moves.cutting & (over > 0) & np.isfinite(over)
    if bad.any():
        most, units = float(over[bad].max()) + DEEPER, context.units
        wide, deep = (to_units(size, units) for size in _planned(context).setup.blank[:2])
        yield seen(
            moves,
            bad,
            "cut-outside",
            f"cuts {decimal(most, units)} outside the blank, which is {wide:.3f} x {deep:.3f} {units}",
            worst=over,
            measured=to_units(most, units),
            wanted=0.0,
            unit=units,
            hint="zero at another corner, the wrong units, or the program of another setup?",
        )


def _over(places: Floats, site: Site) -> Floats:
    """How far places lie outside the corners of a site, mm; negative inside."""
    x = np.maximum(site.low[0] - places[0], places[0] - site.high[0])
    over: Floats = np.maximum(x, np.maximum(site.low[1] - places[1], places[1] - site.high[1]))
    return over


def board_through(moves: Moves, context: Context, site: Site) -> Iterator[Sighting]:
    """Nothing is cut through the bottom of the blank, nor through the skin that holds the panel."""
    if moves.low[2] >= site.bottom:
        return
    lowest = np.minimum(moves.start[2], moves.end[2])
    bad = moves.cutting & (lowest < site.bottom)
    if bad.any():
        depth, units = -float(lowest[bad].min()), context.units
        thickness = _planned(context).setup.blank[2]
        yield seen(
            moves,
            bad,
            "board-through",
            f"cuts {decimal(depth, units)} deep; in this setup nothing goes below "
            f"{decimal(-site.bottom - DEEPER, units)}; the blank is {decimal(thickness, units)} thick",
            worst=-lowest,
            measured=to_units(depth, units),
            wanted=to_units(-site.bottom - DEEPER, units),
            unit=units,
            hint="it would cut into the table, or free a panel that nothing holds",
        )


def floor_cut(moves: Moves, context: Context, site: Site) -> Iterator[Sighting]:
    """At every place the tool goes no deeper than the plan's floor there, at rapid or at a feed."""
    if moves.low[2] >= -DEEPER:
        return
    points = moves.points
    if not is_constant(moves.known):
        points = np.where(np.isfinite(points), points, _OFF_THE_MAP)
    below = site.floors.at(points) - points[2]
    excess = np.maximum(below[:-1], below[1:])
    ways, owner = between(points[:, :-1], points[:, 1:])
    if owner.size:
        np.maximum.at(excess, owner, site.floors.at(ways) - ways[2])
    deep = (excess > DEEPER) & moves.known
    if not deep.any():
        return
    for number, mine in by_tool(moves):
        if (deep & mine).any():
            yield _floor_sighting(moves, deep & mine, excess, number, context.units)


def _floor_sighting(moves: Moves, bad: Bools, excess: Floats, number: int, units: Units) -> Sighting:
    at = np.flatnonzero(bad)
    k = int(at[np.argmax(excess[at])])
    lowest = min(float(moves.start[2, k]), float(moves.end[2, k]))
    x, y = (to_units(float(value), units) for value in moves.end[:2, k])
    floor = max(0.0, -lowest - float(excess[k]))
    there = f"the plan's floor is {decimal(floor, units)}" if floor > DEEPER else "the plan cuts nothing"
    return seen(
        moves,
        bad,
        "floor-cut",
        f"T{number} goes {decimal(-lowest, units)} deep near X {x:.3f} Y {y:.3f}, where {there}",
        subject=f"T{number}",
        worst=excess,
        measured=to_units(-lowest, units),
        wanted=to_units(floor, units),
        unit=units,
        hint="the wrong depth, the wrong zero, the other face, or another tool's work?",
    )


def rapid_into_board(moves: Moves, context: Context, site: Site | None) -> Iterator[Sighting]:
    """Nothing goes down into the board at rapid, but where the programs of this setup have cut before.

    A drill may go back down its own hole. Where the setup is not known, nor is what was cut before.
    """
    if moves.cutting.all():
        return
    end, start = moves.end[2], moves.start[2]
    down = ~moves.cutting & (end < -DEEPER) & (end < start) & np.isfinite(end)
    if not down.any():
        return
    bad = down & (end < bored(moves) - DEEPER)
    if site is not None:
        for k in np.flatnonzero(bad).tolist():
            bad[k] = not _cleared(moves, k, site)
    if bad.any():
        deepest, units = -float(end[bad].min()), context.units
        yield seen(
            moves,
            bad,
            "rapid-into-board",
            f"goes down to {decimal(deepest, units)} at rapid, where nothing was cut before",
            worst=-end,
            measured=to_units(deepest, units),
            wanted=0.0,
            unit=units,
            hint="go down at a feed",
        )


def _cleared(moves: Moves, k: int, site: Site) -> bool:
    """Whether the place where move k ends was cut as deep before, by these moves or by earlier ones."""
    x, y, z = (float(value) for value in moves.end[:, k])
    if site.cleared(x, y) <= z + DEEPER:
        return True
    at = np.flatnonzero(moves.cutting[:k] & (moves.end[2, :k] <= z + DEEPER) & moves.known[:k])
    distance = _distances(moves.start[:2, at], moves.end[:2, at], (x, y))
    radius = np.array([site.radius(number) for number in moves.tool[at].tolist()])
    return bool((distance <= radius + DEEPER).any())


@dataclass(frozen=True, kw_only=True, slots=True)
class _Obstacle:
    """Something round that stands in or on the blank, from its top up to a height; mm."""

    what: str
    place: tuple[float, float]
    radius: float
    top: float


def clamp_in_path(moves: Moves, context: Context, site: Site) -> Iterator[Sighting]:
    """No move below the clearance height comes nearer to a screw than the cutter's radius and 1/4 in."""
    top = context.shop.machine.clearance_z
    for place in site.screws:
        screw = _Obstacle(what="screw", place=place, radius=SCREW_ROOM, top=top)
        for bad, distance, message in _too_near(moves, context, screw):
            yield seen(
                moves,
                bad,
                "clamp-in-path",
                message,
                subject=f"{place}",
                worst=-distance,
                hint="move the screw, or go over it at the clearance height",
            )


def pin_in_path(moves: Moves, context: Context, site: Site) -> Iterator[Sighting]:
    """Once a blank is turned onto its pins, no cut comes nearer to a pin than the cutter's radius."""
    for place, radius in site.pins:
        pin = _Obstacle(what="index pin", place=place, radius=radius, top=0.0)
        for bad, distance, message in _too_near(moves, context, pin):
            yield seen(
                moves,
                bad,
                "pin-in-path",
                message,
                subject=f"{place}",
                worst=-distance,
                hint="the pins stand in the blank in this setup; keep cuts away from them",
            )


def _too_near(moves: Moves, context: Context, it: _Obstacle) -> Iterator[tuple[Bools, Floats, str]]:
    """For each tool the moves that come too near to an obstacle, how near all come, and that in words."""
    widest = it.radius + max((tool.diameter for tool in context.shop.tools), default=0.0) / 2
    past = (moves.low[:2] > np.add(it.place, widest)) | (moves.high[:2] < np.subtract(it.place, widest))
    if past.any() or moves.low[2] >= it.top - DEEPER:
        return
    for number, mine in by_tool(moves):
        tool = context.tool(number)
        reach = it.radius + (tool.diameter / 2 if tool else 0.0)
        at = np.flatnonzero(mine & _within(moves, it, reach))
        distance = np.full(len(moves), np.inf)
        distance[at] = _distances(chosen(moves.start[:2], at), chosen(moves.end[:2], at), it.place)
        bad = distance < reach - DEEPER
        if bad.any():
            units = context.units
            x, y = (to_units(value, units) for value in it.place)
            yield (
                bad,
                distance,
                f"T{number} passes {decimal(float(distance.min()), units)} from the {it.what} at "
                f"X {x:.3f} Y {y:.3f}; its middle has to stay {decimal(reach, units)} away",
            )


def _within(moves: Moves, it: _Obstacle, reach: float) -> Bools:
    """Moves that are below the top of an obstacle and whose box comes within reach of it."""
    near: Bools = moves.known & (np.minimum(moves.start[2], moves.end[2]) < it.top - DEEPER)
    for axis, value in enumerate(it.place):
        near &= np.minimum(moves.start[axis], moves.end[axis]) < value + reach
        near &= np.maximum(moves.start[axis], moves.end[axis]) > value - reach
    return near


def _distances(start: Floats, end: Floats, centre: tuple[float, float]) -> Floats:
    """Distance of a place from straight moves, (2, n)."""
    along, out = end - start, np.array(centre)[:, None] - start
    square = (along**2).sum(axis=0)
    share = np.clip((out * along).sum(axis=0) / np.where(square > 0, square, 1.0), 0, 1)
    off = out - share * along
    distance: Floats = np.hypot(off[0], off[1])
    return distance


def _planned(context: Context) -> PlannedSetup:
    assert context.planned is not None, "rules against the plan run only where the setup is known"
    return context.planned


PLAN_RULES: tuple[PlanRule, ...] = (cut_outside, board_through, floor_cut, clamp_in_path, pin_in_path)
"""Rules that need to know the setup; `rapid_into_board` runs without it too."""
