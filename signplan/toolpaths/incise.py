"""Grooves by a vee cutter: along the medial axis, as deep as the groove is wide there.

The cutter touches both walls at the face where  depth = (r - tip / 2) / tan(half angle),  r being the
distance from the axis to the wall. Where that would be below the cap the bottom is flat: the cutter runs
round the bottom at the cap's depth, and over what of it no flat cutter has cleared.
"""

import heapq
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import LineString, MultiPolygon

from signplan.geometry.medial import Branch, medial_axis
from signplan.geometry.shapes import area_of, grow
from signplan.job.shop import Machine, Tool
from signplan.operations.model import Grooving
from signplan.toolpaths.lines import Floats, chained, cut_at, distances, is_closed, ring_from, ring_lines
from signplan.toolpaths.links import STAY_DOWN, Stroke, level

BOTTOM_RIDGE = 0.1
"""Height of the ridges that a vee may leave on a flat bottom, mm."""


RIM = 1e-6
"""A groove whose radius is this near to the widest one ends at the rim of a flat bottom, mm."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Piece:
    """A stretch of the axis between two nodes: (N, 3), x, y, r."""

    points: Floats
    start: int
    end: int

    def turned(self) -> "Piece":
        """The same stretch from its other end."""
        return Piece(points=self.points[::-1], start=self.end, end=self.start)


def widest_groove(work: Grooving, tool: Tool) -> float:
    """The r at which a groove reaches the cap."""
    return (work.cap - work.top) * math.tan(tool.half_angle) + tool.tip / 2


def incise(work: Grooving, tool: Tool, machine: Machine) -> tuple[Stroke, ...]:
    """Grooves along the axis and round the flat bottoms, in trails as long as can be; then the bottoms."""
    widest = widest_groove(work, tool)
    pieces = list(_between(medial_axis(work.region), tool.tip / 2, widest))
    room = bottom_of(work, widest)
    pieces += _bottom_rings(room, pieces, widest)
    back = STAY_DOWN * 2 * machine.clearance_z
    lines = chained([_sunk(trail, work, tool) for trail in trails(pieces, back)], keep_direction=False)
    strokes = [Stroke(points=line, top=-work.top, ramps=False) for line in lines]
    strokes += [
        Stroke(
            points=level(line, -work.cap),
            top=-work.top,
            closed=is_closed(line),
            ramps=False,
        )
        for line in _bottom_lines(work, tool, room)
    ]
    return tuple(strokes)


def _sunk(trail: Floats, work: Grooving, tool: Tool) -> Floats:
    """The trail with heights instead of radii."""
    depth = (trail[:, 2] - tool.tip / 2) / math.tan(tool.half_angle)
    return np.column_stack([trail[:, :2], -work.top - np.clip(depth, 0, work.cap - work.top)])


def _between(axis: Sequence[Branch], low: float, high: float) -> Iterator[Piece]:
    """The axis where its radius lies between two limits; where it is cut off, it gets nodes of its own."""
    fresh = 1 + max((max(each.start, each.end) for each in axis), default=0)
    for branch in axis:
        r = branch.points[:, 2].tolist()
        if min(r) >= low and max(r) <= high:
            yield Piece(points=branch.points, start=branch.start, end=branch.end)
            continue
        points = _with_crossings(branch.points, (low, high))
        middle = (points[1:, 2] + points[:-1, 2]) / 2
        kept = np.concatenate([[False], (middle >= low) & (middle <= high), [False]])
        for first, last in zip(
            np.flatnonzero(kept[1:] & ~kept[:-1]), np.flatnonzero(~kept[1:] & kept[:-1]), strict=True
        ):
            start = branch.start if first == 0 else fresh
            end = branch.end if last == len(points) - 1 else fresh + 1
            fresh += 2
            yield Piece(points=points[first : last + 1], start=start, end=end)


def _with_crossings(points: Floats, limits: tuple[float, ...]) -> Floats:
    """The points with one more wherever the radius passes a limit."""
    for limit in limits:
        r = points[:, 2]
        cross = np.flatnonzero((r[:-1] - limit) * (r[1:] - limit) < 0)
        if len(cross):
            share = (limit - r[cross]) / (r[cross + 1] - r[cross])
            more = points[cross] + share[:, None] * (points[cross + 1] - points[cross])
            points = np.insert(points, cross + 1, more, axis=0)
    return points


# Trails


def trails(pieces: Sequence[Piece], back: float) -> list[Floats]:
    """Long lines that together cover every piece, one or a few for each connected part.

    Args:
        back: way that is gone back over what is cut already rather than lifting, mm.
    """
    whole = _chains(pieces)
    net = _Net(whole)
    found: list[Floats] = []
    for node in net.starts():
        while net.free(node):
            found.append(_trail(node, net, back))
    return found


class _Net:
    """The chains as a graph, and which of them are cut."""

    def __init__(self, chains: Sequence[Piece]) -> None:
        self.chains = chains
        self.lengths = [float(distances(chain.points)[-1]) for chain in chains]
        self.used = [False] * len(chains)
        self.at: dict[int, list[int]] = {}
        for k, chain in enumerate(chains):
            self.at.setdefault(chain.start, []).append(k)
            if chain.end != chain.start:
                self.at.setdefault(chain.end, []).append(k)

    def starts(self) -> list[int]:
        """Nodes to begin at: loose ends first, then others where an odd number of chains meet."""
        return sorted(self.at, key=lambda node: (len(self.at[node]) % 2 == 0, len(self.at[node])))

    def free(self, node: int) -> list[int]:
        """Chains at a node that are not cut yet."""
        return [k for k in self.at[node] if not self.used[k]]

    def leaving(self, k: int, node: int) -> Piece:
        """A chain in the direction away from a node."""
        chain = self.chains[k]
        return chain if chain.start == node else chain.turned()

    def twig_length(self, k: int, node: int) -> tuple[bool, float]:
        """Twigs, after which nothing goes on, come first and short ones before long ones."""
        chain = self.leaving(k, node)
        twig = chain.end != node and len(self.at[chain.end]) == 1
        return not twig, round(self.lengths[k], 6) if twig else 0.0

    def back_to_work(self, node: int, most: float) -> list[Piece] | None:
        """The shortest way over cut chains to a node with work left; None if it is longer than `most`."""
        queue: list[tuple[float, int, int]] = [(0.0, 0, node)]
        came: dict[int, tuple[int, Piece] | None] = {}
        reached: dict[int, tuple[int, Piece] | None] = {node: None}
        best = {node: 0.0}
        while queue:
            far, _, here = heapq.heappop(queue)
            if here in came:
                continue
            came[here] = reached[here]
            if self.free(here):
                return _unwound(came, here)
            for k in self.at[here]:
                chain = self.leaving(k, here)
                total = far + self.lengths[k]
                if total <= most and total < best.get(chain.end, math.inf):
                    best[chain.end] = total
                    reached[chain.end] = (here, chain)
                    heapq.heappush(queue, (total, k, chain.end))
        return None


def _unwound(came: dict[int, tuple[int, Piece] | None], node: int) -> list[Piece]:
    legs: list[Piece] = []
    while (step := came[node]) is not None:
        node, piece = step
        legs.append(piece)
    return legs[::-1]


def _trail(node: int, net: _Net, back: float) -> Floats:
    """From a node on and on; where nothing is left to cut, back to the nearest node that has some."""
    legs: list[Floats] = []
    while True:
        free = net.free(node)
        if not free:
            way = net.back_to_work(node, back)
            if way is None:
                break
            legs += [piece.points for piece in way]
            node = way[-1].end
            continue
        k = min(
            free, key=lambda each: (*net.twig_length(each, node), _turn(legs, net.leaving(each, node)), each)
        )
        piece = net.leaving(k, node)
        net.used[k] = True
        legs.append(piece.points)
        node = piece.end
    line = np.concatenate(legs)
    same = np.concatenate([[False], np.all(np.abs(np.diff(line, axis=0)) < 1e-9, axis=1)])
    kept: Floats = line[~same]
    return kept


def _turn(legs: list[Floats], piece: Piece) -> float:
    """How sharply a piece goes on from what came before: -1 straight on, 1 back."""
    if not legs:
        return 0.0
    come, go = legs[-1][-1, :2] - legs[-1][-2, :2], piece.points[1, :2] - piece.points[0, :2]
    size = float(np.linalg.norm(come) * np.linalg.norm(go))
    return round(-float(come @ go) / size, 9) if size > 1e-12 else 0.0


def _chains(pieces: Sequence[Piece]) -> list[Piece]:
    """The pieces joined through every node where just two of them meet."""
    at: dict[int, list[int]] = {}
    for k, piece in enumerate(pieces):
        at.setdefault(piece.start, []).append(k)
        at.setdefault(piece.end, []).append(k)
    used = [False] * len(pieces)
    found: list[Piece] = []
    for node in [*(n for n, there in at.items() if len(there) != 2), *at]:
        for k in at[node]:
            if used[k]:
                continue
            used[k] = True
            piece = pieces[k] if pieces[k].start == node else pieces[k].turned()
            parts, end = [piece.points], piece.end
            while end != node and len(at[end]) == 2:
                following = [j for j in at[end] if not used[j]]
                if not following:
                    break
                j = following[0]
                used[j] = True
                following_piece = pieces[j] if pieces[j].start == end else pieces[j].turned()
                parts.append(following_piece.points[1:])
                end = following_piece.end
            found.append(Piece(points=np.concatenate(parts), start=node, end=end))
    return found


# Flat bottoms


def bottom_of(work: Grooving, widest: float) -> MultiPolygon:
    """Where the tip may go at the cap's depth."""
    return grow(work.region, -widest)


def _bottom_rings(room: MultiPolygon, grooves: Sequence[Piece], widest: float) -> Iterator[Piece]:
    """The rims of the flat bottoms, cut where grooves run into them, so that a trail goes on round them."""
    rims = [ring for part in room.geoms for ring in ring_lines(part)]
    if not rims:
        return
    tree = shapely.STRtree([LineString(rim) for rim in rims])
    mouths: dict[int, list[tuple[float, int]]] = {}
    for groove in grooves:
        for node, spot in ((groove.start, groove.points[0]), (groove.end, groove.points[-1])):
            if abs(spot[2] - widest) < RIM:
                point = shapely.Point(spot[:2])
                k = int(tree.nearest(point))
                mouths.setdefault(k, []).append((float(LineString(rims[k]).project(point)), node))
    fresh = 1 + max((max(each.start, each.end) for each in grooves), default=0)
    for k, rim in enumerate(rims):
        stops = sorted(mouths.get(k, [(0.0, fresh + k)]))
        for (far, node), (following, other) in zip(stops, [*stops[1:], stops[0]], strict=True):
            points = _stretch(rim, far, following)
            yield Piece(points=level(points, widest), start=node, end=other)


def _stretch(ring: Floats, start: float, end: float) -> Floats:
    """The part of a ring between two places on it, once round if they are the same."""
    line = LineString(ring)
    turned = ring_from(ring, shapely.get_coordinates(line.interpolate(start))[0])
    return cut_at(turned, distances(turned), (end - start) % line.length or line.length)


def _bottom_lines(work: Grooving, tool: Tool, room: MultiPolygon) -> list[Floats]:
    """Inward from the rims of the flat bottoms, ring by ring, over what is not cleared yet."""
    if room.is_empty:
        return []
    step = tool.tip + 2 * BOTTOM_RIDGE * math.tan(tool.half_angle)
    lines: list[Floats] = []
    left = area_of(room.difference(work.cleared.buffer(0.01))) if not work.cleared.is_empty else room
    near = left.buffer(step / 2, quad_segs=4)
    room = grow(room, -step)
    while not room.is_empty and not left.is_empty:
        rings = [LineString(ring) for part in room.geoms for ring in ring_lines(part)]
        inside = shapely.line_merge(shapely.multilinestrings(rings).intersection(near), directed=True)
        lines += [shapely.get_coordinates(part) for part in shapely.get_parts(inside) if part.length > step]
        room = grow(room, -step)
    return chained(lines, keep_direction=True)
