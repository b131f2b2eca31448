"""Along walls: the finishing pass of a region, the edge by a form cutter, and the cut-out.

Every contour keeps its wall on the cutter's right, which is climb cutting with the spindle turning clockwise
seen from above: counter-clockwise inside a pocket, clockwise round letters and round the panel.
"""

import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.errors import SignplanError
from signplan.geometry.shapes import area_of, grow, simplified
from signplan.job.shop import Tool
from signplan.operations.model import CuttingOut, Rounding, Walls
from signplan.operations.practice import ALLOWANCE, BREAKTHROUGH, levels
from signplan.toolpaths.lines import Floats, chained, distances, is_closed, ring_from, ring_lines
from signplan.toolpaths.links import Stroke, level

TOUCH = 0.05
"""A cutter this near to a wall is on it."""

TRIES = np.array(sorted(np.linspace(-0.3, 0.3, 25).tolist(), key=abs))
"""How far a tab may be moved along to stand where the outline is straight, in spacings, nearest first."""

NO_LEAD = np.empty((0, 2))

LEADS = (1.0, 0.5, 0.25)
"""Radii of a lead-in, in cutter radii, the first that has room is taken."""


def wall_room(work: Walls, tool: Tool) -> MultiPolygon:
    """Where the middle of the cutter may go."""
    space = (
        area_of(work.region.union(work.open_at.buffer(TOUCH / 5)))
        if not work.open_at.is_empty
        else work.region
    )
    return simplified(grow(space, -tool.diameter / 2))


def walls(work: Walls, tool: Tool) -> tuple[Stroke, ...]:
    """One pass along every wall at full depth, relief of the corners included, with a lead-in where it fits.

    Where no more than the finishing cutter itself fits between two walls, roughing left all of the board
    there, and that part goes down in passes.
    """
    radius = tool.diameter / 2
    room = wall_room(work, tool)
    lines = [
        line for part in room.geoms for ring in ring_lines(part) for line in _on_wall(ring, work, radius)
    ]
    roughed = grow(room, -ALLOWANCE)
    leads = room.buffer(1e-3, quad_segs=1)
    for shape in (roughed, leads):
        shapely.prepare(shape)
    strokes: list[Stroke] = []
    here: Floats | None = None
    for line in chained(lines, keep_direction=True):
        line = _from_straight(line, here)
        here = line[-1]
        reliefs = [point for point in work.relief if _belongs(point, line, lines)]
        slot = not _lies_near(line, roughed, radius + TOUCH)
        depths = levels(work.top, work.floor, tool) if slot else (work.floor,)
        top = work.top
        for depth in depths:
            path = _with_reliefs(line, reliefs) if depth == work.floor else line
            lead = NO_LEAD if slot else _lead(path, leads, radius)
            off = NO_LEAD if slot else _lead(path[::-1], leads, radius, side=-1)[::-1]
            full = np.concatenate([lead, path, off])
            closed = len(full) == len(path) and is_closed(line)
            strokes.append(Stroke(points=level(full, -depth), top=-top, closed=closed, ramps=slot))
            top = depth
    return tuple(strokes)


def _lies_near(line: Floats, roughed: MultiPolygon, far: float) -> bool:
    """Whether a line, looked at in steps of no more than `far`, keeps that near to where roughing went."""
    spots = shapely.points(shapely.get_coordinates(shapely.segmentize(LineString(line), far)))
    return bool(shapely.dwithin(roughed, spots, ALLOWANCE + far).all())


def _from_straight(line: Floats, here: Floats | None) -> Floats:
    """A ring started in the middle of a straight stretch, where a lead has room; an open line as it is."""
    if not is_closed(line):
        return line
    size = np.linalg.norm(np.diff(line, axis=0), axis=1)
    middles = ((line[1:] + line[:-1]) / 2)[size >= 0.5 * size.max()]
    near = 0 if here is None else int(np.argmin(((middles - here) ** 2).sum(axis=1)))
    return ring_from(line, middles[near])


def _on_wall(ring: Floats, work: Walls, radius: float) -> Iterator[Floats]:
    """The parts of a ring that really touch a wall; whole if there is no open side."""
    if work.open_at.is_empty:
        yield ring
        return
    wall = work.region.boundary.difference(work.open_at.buffer(TOUCH, quad_segs=2))
    near = LineString(ring).intersection(wall.buffer(radius + TOUCH, quad_segs=32))
    for part in shapely.get_parts(shapely.line_merge(near, directed=True)):
        if part.length > TOUCH:
            yield shapely.get_coordinates(part)


def _belongs(point: tuple[float, float], line: Floats, lines: list[Floats]) -> bool:
    spot = shapely.Point(point)
    far = [spot.distance(LineString(each)) for each in lines]
    return lines[int(np.argmin(far))] is line or spot.distance(LineString(line)) <= min(far) + 1e-9


def _with_reliefs(line: Floats, reliefs: list[tuple[float, float]]) -> Floats:
    """The line with a step aside to each relief point and back, from the nearest place on it."""
    track = LineString(line)
    way = distances(line)
    stops = sorted((float(shapely.line_locate_point(track, shapely.Point(p))), p) for p in reliefs)
    pieces: list[Floats] = []
    done = 0
    for far, point in stops:
        k = int(np.searchsorted(way, far - 1e-9, side="left"))
        spot = shapely.get_coordinates(track.interpolate(far))
        pieces += [line[done:k], spot, np.array([point]), spot]
        done = k
    return np.concatenate([*pieces, line[done:]])


def lead_room(room: MultiPolygon) -> MultiPolygon:
    """Where the cutter may travel at full depth: roughing has been there, but for the allowance."""
    cleared = grow(grow(room, -ALLOWANCE), ALLOWANCE + TOUCH)
    return area_of(cleared.intersection(room))


def _lead(line: Floats, room: BaseGeometry, radius: float, *, side: int = 1) -> Floats:
    """A quarter circle onto the start of a line from its left (side -1: right); empty if it has no room.

    The wall is on the right of a line, so the left is the cleared side. A line walked backward, its right
    being its left, gives the way off its end.
    """
    step = line[1] - line[0]
    size = float(np.linalg.norm(step))
    if size < 1e-9:
        return NO_LEAD
    along = step / size
    left = side * np.array([-along[1], along[0]])
    turn = np.linspace(math.pi / 2, 0, 7)[:-1]
    for share in LEADS:
        r = share * radius
        arc = line[0] + r * (1 - np.cos(turn))[:, None] * left - r * np.sin(turn)[:, None] * along
        if room.covers(LineString([*arc, line[0]])):
            return np.asarray(arc)
    return NO_LEAD


# Edge


def edge_offset(tool: Tool) -> float:
    """How far outside the outline the middle of a form cutter runs.

    A round-over and an ogee touch the outline with their narrow end, D / 2 less what their form reaches
    sideways; a vee with its tip; a ball with its middle, which leaves a cove.

    Raises:
        SignplanError: a cutter without a form.
    """
    match tool.shape:
        case "round-over":
            return tool.diameter / 2 - (tool.radius or 0.0)
        case "ogee":
            return tool.diameter / 2 - tool.run
        case "vee":
            return tool.tip / 2
        case "ball":
            return 0.0
    raise SignplanError(f"'{tool.id}' is a {tool.shape} cutter and shapes no edge")


def edge(work: Rounding, tool: Tool) -> tuple[Stroke, ...]:
    """Clockwise round the outline, counter-clockwise round its holes, in as many passes as the depth asks."""
    strokes: list[Stroke] = []
    here: Floats | None = None
    for ring in _round(work.outline, edge_offset(tool)):
        top = work.top
        for depth in levels(work.top, work.depth, tool):
            line = ring_from(ring, here)
            strokes.append(Stroke(points=level(line, -depth), top=-top, closed=True))
            here, top = line[-1], depth
    return tuple(strokes)


def _round(outline: Polygon, offset: float) -> list[Floats]:
    """The rings outside an outline and inside its holes, the panel on their right."""
    grown = grow(outline, offset) if offset > 0 else MultiPolygon([outline])
    return [ring[::-1] for part in grown.geoms for ring in ring_lines(part)]


# Cut-out


def cut_out(work: CuttingOut, tool: Tool) -> tuple[Stroke, ...]:
    """Holes of the outline first, then round it, in passes; tabs or a skin stay.

    With tabs the last passes go through the board and lift over each tab; with a skin they stop above it.
    """
    deepest = work.depth + BREAKTHROUGH if work.tabs else work.depth - work.left
    over = work.depth - work.left
    strokes: list[Stroke] = []
    for ring in reversed(_round(work.outline, tool.diameter / 2)):
        tabs = _tab_places(ring, work, tool) if work.tabs else []
        line = ring_from(ring, _away_from(ring, tabs))
        if work.tabs:
            tabs = _tab_places(line, work, tool)
        top = 0.0
        for depth in levels(0.0, deepest, tool):
            points = level(line, -depth)
            if work.tabs and depth > over + 1e-9:
                points = _over_tabs(points, tabs, work.tab_width + tool.diameter, -over)
            strokes.append(Stroke(points=points, top=-top, closed=True))
            top = depth
    return tuple(strokes)


def _tab_places(ring: Floats, work: CuttingOut, tool: Tool) -> list[float]:
    """Where tabs stand, as lengths along a ring: evenly, each moved to the straightest place near by."""
    total = distances(ring)[-1]
    count = min(work.tabs, int(total // (2 * (work.tab_width + tool.diameter))))
    if count < 1:
        return []
    step = total / count
    reach = (work.tab_width + tool.diameter) / 2
    places = []
    for k in range(count):
        middle = (k + 0.5) * step
        tries = middle + step * TRIES
        straightest = int(np.argmin(np.round(_bends(ring, tries, reach), 6)))
        places.append(float(tries[straightest]))
    return places


def _bends(ring: Floats, places: Floats, reach: float) -> Floats:
    """How much longer the ring is than the chord over a tab at each place: 0 where it is straight."""
    track = LineString(ring)
    before, after = shapely.line_interpolate_point(
        track, np.stack([places - reach, places + reach]) % track.length
    )
    return np.asarray(2 * reach - shapely.distance(before, after))


def _away_from(ring: Floats, tabs: list[float]) -> Floats | None:
    """A place to begin, half way between two tabs."""
    if not tabs:
        return None
    total = distances(ring)[-1]
    far = (tabs[0] + (tabs[1] if len(tabs) > 1 else tabs[0] + total)) / 2 % total
    spot: Floats = shapely.get_coordinates(LineString(ring).interpolate(far))[0]
    return spot


def _over_tabs(points: Floats, tabs: list[float], wide: float, z: float) -> Floats:
    """The ring lifted to z over every tab; `wide` is a tab and the cutter together."""
    way = distances(points)
    track = LineString(points[:, :2])
    cuts = sorted((far - wide / 2, far + wide / 2) for far in tabs)
    pieces: list[Floats] = []
    done = 0
    for start, end in cuts:
        first, last = np.searchsorted(way, [start, end])
        a, b = shapely.get_coordinates(shapely.line_interpolate_point(track, [start, end]))
        raised = points[first:last].copy()
        raised[:, 2] = z
        low = points[0, 2]
        pieces += [points[done:first], np.array([[*a, low], [*a, z]]), raised, np.array([[*b, z], [*b, low]])]
        done = int(last)
    return np.concatenate([*pieces, points[done:]])
