"""Pockets from hardware: grown, run out at mouths, in levels, and as a round cutter leaves them.

A recess is nested levels. A level reaches some depth; its region is that of every part that reaches as deep
or deeper, each at its widest in this panel and grown by the clearance. So the deeper levels always lie inside
the shallower ones, and the item can be laid in from above.
"""

import math
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import GRID, SAME
from signplan.geometry.shapes import EMPTY, area_of, grow, grow_square, lines_of, opened, rings_of, union
from signplan.job.shop import Tool
from signplan.sign.cavity import reach
from signplan.sign.channels import along_axis, ball_for, channel_depth, rods_of
from signplan.sign.model import Bar, Channel, Item, Pocket, Solid
from signplan.sign.register import Panel
from signplan.sign.relief import bitten, reliefs

ONE_LEVEL = 0.25
"""Floors closer than this are cut as one, the deeper; mm."""

MOUTH_MARGIN = 1.0
"""How much farther than the cutter's radius a mouth runs past the edge, so that no corner stays in it; mm."""

RUNOUT = 100.0
"""How far a plate's mouth is carried past the edge before it is cut off by the rule above; mm."""

CORNERS_ONLY = 0.45
"""A cutter of radius r leaves (sqrt(2) - 1) r = 0.414 r in a square corner. More than this share of r is not
a corner any more: the cutter does not get in."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Bench:
    """What pockets are cut from and with: outline and thickness of the panel, wall to leave, the cutters."""

    outline: Polygon
    wall: float
    cutters: tuple[Tool, ...]
    thickness: float = math.inf
    balls: tuple[Tool, ...] = ()


def slugs(names: Sequence[str]) -> tuple[str, ...]:
    """What pockets are called after hardware names: each its own, though two names may differ by a sign only.

    >>> slugs(["Left hanger", "left-hanger", "!"])
    ('left-hanger', 'left-hanger-2', 'item')
    """
    plain = [re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "item" for name in names]
    found: list[str] = []
    for k, slug in enumerate(plain):
        numbered = (f"{slug}-{n}" for n in count(2))
        free = (each for each in numbered if each not in plain and each not in found)
        found.append(next(free) if slug in plain[:k] else slug)
    return tuple(found)


def pockets_of(item: Item, panel: Panel, bench: Bench, *, slug: str = "") -> tuple[Pocket, ...]:
    """The levels of one item's recess in one panel, shallow first, then its channels; `slug` begins the ids.

    No level is deeper than the panel is thick, however far the steel reaches.
    """
    if item.split not in ("both", panel):
        return ()
    name = slug or slugs([item.name])[0]
    balls = {rod: ball_for(rod, item, panel, bench.balls) for rod in rods_of(item)}
    laid = {rod: ball for rod, ball in balls.items() if ball and _is_blind(rod, item, panel, bench)}
    flat = replace(item, parts=tuple(part for part in item.parts if part not in laid))
    levels = _nested([_pocket(level, bench, name) for level in _levels(flat, panel, bench)])
    channels = enumerate(_channels(laid, item, panel, bench), len(levels) + 1)
    return (*levels, *(replace(each, id=f"{panel}/{name}-{number}") for number, each in channels))


def _is_blind(rod: Bar, item: Item, panel: Panel, bench: Bench) -> bool:
    """Whether a rod reaches into a panel and its channel does not come out through the face."""
    return 0 < channel_depth(rod, item, panel) < bench.thickness - SAME


def _channels(laid: Mapping[Bar, Tool], item: Item, panel: Panel, bench: Bench) -> Iterator[Pocket]:
    """The channels of rods, those of one cutter and one depth together; their ids are given later."""
    groups: dict[tuple[str, float, float], list[Bar]] = {}
    for rod, ball in laid.items():
        depth = channel_depth(rod, item, panel)
        groups.setdefault((ball.id, ball.diameter / 2, depth), []).append(rod)
    for (tool, radius, depth), rods in groups.items():
        axes = [_axis(rod, item.clearance, bench.outline) for rod in rods]
        runs = [along_axis(axis, radius, depth, bench.outline) for axis in axes]
        lines = tuple(line for each in runs for line in each.lines)
        channel = Channel(lines=lines, radius=radius, depth=depth)
        opening = channel.open_at(0.0)
        yield Pocket(
            id="",
            hardware=item.name,
            panel=panel,
            depth=depth,
            above=0.0,
            drawn=opening,
            as_cut=opening,
            tool=tool,
            mouth=not bench.outline.covers(union(foot(rod, panel) for rod in rods)),
            channel=channel,
        )


def _axis(rod: Bar, clearance: float, outline: Polygon) -> LineString:
    """The axis of a rod, carried on past the edge where it leaves the panel."""
    leaves = not outline.covers(LineString([rod.start, rod.end]).buffer(rod.width / 2 + clearance))
    bar = _carried_on(rod, clearance, outline) if leaves else rod
    return LineString([bar.start, bar.end])


def wanted_depth(item: Item, part: Solid, panel: Panel) -> float:
    """How deep a recess must be to take a part of an item with its room, mm."""
    return reach(part, panel) + item.depth_clearance


def foot(part: Solid, panel: Panel) -> MultiPolygon:
    """A part's section where it is widest in this panel."""
    return area_of(part.section(_widest(part, panel)))


def _widest(part: Solid, panel: Panel) -> float:
    """The height in this panel at which a part is widest."""
    return max(part.z, 0.0) if panel == "A" else min(part.z, 0.0)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Level:
    """A level before its cutter is chosen: from `above` to `depth`, what is wanted, and the parts in it."""

    item: Item
    panel: Panel
    number: int
    above: float
    depth: float
    region: MultiPolygon
    parts: tuple[Solid, ...]


def _levels(item: Item, panel: Panel, bench: Bench) -> Iterator[_Level]:
    """The levels of an item, shallow first; one that would add no floor is left out."""
    inside = [part for part in item.parts if reach(part, panel) > SAME]
    floors = [(min(wanted_depth(item, part, panel), bench.thickness), part) for part in inside]
    channels = [(floor, part, _channel(part, panel, item.clearance, bench.outline)) for floor, part in floors]
    found: list[tuple[float, MultiPolygon, tuple[Solid, ...]]] = []
    for depth in _apart(floor for floor, _ in floors):
        reaching = [(part, channel) for floor, part, channel in channels if floor > depth - ONE_LEVEL]
        region = union(channel for _, channel in reaching)
        if not found or not area_of(region.difference(found[-1][1])).is_empty:
            found.append((depth, region, tuple(part for part, _ in reaching)))
    above = 0.0
    for number, (depth, region, parts) in enumerate(reversed(found), 1):
        yield _Level(
            item=item, panel=panel, number=number, above=above, depth=depth, region=region, parts=parts
        )
        above = depth


def _apart(floors: Iterable[float]) -> list[float]:
    """Floors that differ, deepest first; those that hardly differ are one, the deepest."""
    depths: list[float] = []
    for floor in sorted(floors, reverse=True):
        if not depths or depths[-1] - floor > ONE_LEVEL:
            depths.append(floor)
    return depths


def _pocket(level: _Level, bench: Bench, slug: str) -> Pocket:
    """A level with its cutter: drawn, run out, cleared, and relieved where its steel would meet a corner."""
    steel = union(foot(part, level.panel) for part in level.parts)
    cutter, drawn, cleared = _cut(level.region, level.depth, bench)
    relief: tuple[tuple[float, float], ...] = ()
    as_cut = cleared
    if cutter and gets_in(drawn, cleared, cutter.diameter / 2, bench.outline):
        inside = area_of(steel.intersection(bench.outline))
        keep = grow(bench.outline, -bench.wall)
        relief = reliefs(drawn, cleared, inside, radius=cutter.diameter / 2, keep_within=keep)
        as_cut = union([cleared, bitten(relief, drawn, cutter.diameter / 2)])
    return Pocket(
        id=f"{level.panel}/{slug}-{level.number}",
        hardware=level.item.name,
        panel=level.panel,
        depth=level.depth,
        above=level.above,
        drawn=drawn,
        as_cut=as_cut,
        tool=cutter.id if cutter else "",
        mouth=not bench.outline.covers(steel),
        relief=relief,
    )


def _channel(part: Solid, panel: Panel, clearance: float, outline: Polygon) -> MultiPolygon:
    """The part grown by its clearance, and carried on through the edge where it leaves the panel."""
    grown = grow_square(foot(part, panel), clearance)
    if outline.covers(grown):
        return grown
    if isinstance(part, Bar):
        return grow_square(foot(_carried_on(part, clearance, outline), panel), clearance)
    return union([grown, *_square_to_edge(grown, outline)])


def _carried_on(bar: Bar, clearance: float, outline: Polygon) -> Bar:
    """A bar that leaves the panel, made long enough to pass the edge wherever it is cut off."""
    inside = outline.buffer(-clearance)
    ends = np.array([bar.start, bar.end])
    far = np.ptp(np.reshape(outline.bounds, (2, 2)), axis=0).sum() + np.abs(ends).max()
    ahead = (ends[1] - ends[0]) / np.linalg.norm(ends[1] - ends[0]) * far
    start, end = ends
    start = start if shapely.contains_xy(inside, *start) else start - ahead
    end = end if shapely.contains_xy(inside, *end) else end + ahead
    return replace(bar, start=(float(start[0]), float(start[1])), end=(float(end[0]), float(end[1])))


def _square_to_edge(grown: MultiPolygon, outline: Polygon) -> Iterator[BaseGeometry]:
    """Strips that carry a plate's mouths on past the edge, square to it."""
    for ring in rings_of(shapely.orient_polygons(outline)):
        for mouth in lines_of(shapely.line_merge(ring.intersection(grown))):
            yield mouth.buffer(-RUNOUT, single_sided=True, join_style="mitre")


def _cut(region: MultiPolygon, depth: float, bench: Bench) -> tuple[Tool | None, MultiPolygon, MultiPolygon]:
    """The largest flat cutter that gets in and loses only corners, what it is given, and what it clears."""
    reaching = [tool for tool in bench.cutters if tool.usable_depth >= depth - SAME]
    candidates = sorted(reaching or bench.cutters, key=lambda tool: (-tool.diameter, tool.number))
    drawn, cleared = region, region
    for tool in candidates:
        radius = tool.diameter / 2
        drawn, cleared = _run_out(region, radius, bench.outline)
        if gets_in(drawn, cleared, radius, bench.outline):
            return tool, drawn, cleared
    return (candidates[-1] if candidates else None), drawn, cleared


def _run_out(region: MultiPolygon, radius: float, outline: Polygon) -> tuple[MultiPolygon, MultiPolygon]:
    """The region cut off past the edge, and what the cutter clears of it.

    Square to the edge a mouth needs the cutter's radius; the sharper the angle the more, at most twice that.
    """
    drawn, cleared = region, region
    for run in (radius + MOUTH_MARGIN, 2 * radius + MOUTH_MARGIN):
        drawn = area_of(region.intersection(outline.buffer(run, join_style="mitre")))
        cleared = opened(drawn, radius)
        edge = outline.boundary.intersection(drawn)
        if edge.difference(cleared.buffer(GRID)).is_empty:
            break
    return drawn, cleared


def gets_in(drawn: MultiPolygon, cleared: MultiPolygon, radius: float, outline: Polygon) -> bool:
    """Whether a cutter leaves no more of a pocket than its corners; past the edge nothing counts."""
    left = drawn.intersection(outline).difference(grow(cleared, CORNERS_ONLY * radius))
    return area_of(left).is_empty


def _nested(pockets: list[Pocket]) -> list[Pocket]:
    """A deeper level is cut through the shallower ones, whose corners it may reach into."""
    deeper = EMPTY
    nested: list[Pocket] = []
    for pocket in reversed(pockets):
        deeper = union([pocket.as_cut, deeper])
        nested.append(replace(pocket, as_cut=deeper))
    return nested[::-1]
