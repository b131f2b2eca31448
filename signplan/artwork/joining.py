"""Pieces of one layer, in any order and direction, joined end to end into closed outlines and open lines.

Ends at the same point are joined first; then free ends within the stated gap, and only where there is no
choice. Where there is one, nothing is guessed: the drawing is refused with the place.

Ends are numbered: stroke k starts at end 2 k and stops at end 2 k + 1. `mate` says which end each end is
joined to; negative for none.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from signplan.artwork.flatten import Points, ShapeError
from signplan.artwork.nearby import pairs
from signplan.artwork.remarks import Remarks, counted, named
from signplan.findings import Severity

SAME_POINT = 1e-4
"""Ends this near, mm, are one point: it covers files that round to six decimals, and no cutter sees it."""

NEARLY = 1.0
"""Ends this near, mm, were probably meant to meet."""

_GRID = 1e-6
_MOST_REPORTED = 20
_FREE, _REFUSED = -1, -2

Ends = NDArray[np.intp]


class Stroke(NamedTuple):
    """One drawn piece.

    Attributes:
        points: (N, 2), mm; a closed piece repeats its first point.
        source: the handle or id that it was drawn with.
        closed: drawn as a closed outline, so that its ends meet nothing else.
    """

    points: Points
    source: str
    closed: bool = False


class Chain(NamedTuple):
    """Strokes joined end to end; a closed chain repeats its first point."""

    points: Points
    sources: tuple[str, ...]
    closed: bool


def join(strokes: Sequence[Stroke], remarks: Remarks, *, layer: str, gap: float = 0.0) -> list[Chain]:
    """Every stroke in exactly one chain, in drawing order, repeated and empty ones left out.

    Args:
        strokes: the layer's pieces in drawing order.
        remarks: takes notes of repeats, bridges and ends that nearly meet; refuses branching ends.
        layer: its name, for messages.
        gap: the largest distance, mm, between open ends that may be bridged.
    """
    kept = _without_repeats(strokes, remarks, layer) if strokes else []
    if not kept:
        return []
    table = _Table(kept, remarks, layer)
    table.join_exactly()
    table.join_within(SAME_POINT)
    table.join_within(gap)
    table.report_near_misses()
    return table.chains()


class _Table:
    """The strokes of one layer as flat arrays."""

    def __init__(self, strokes: Sequence[Stroke], remarks: Remarks, layer: str) -> None:
        self.strokes, self.remarks, self.layer = strokes, remarks, layer
        counts = np.fromiter((len(stroke.points) for stroke in strokes), np.intp, len(strokes))
        self.xy = np.concatenate([stroke.points for stroke in strokes])
        self.last = np.cumsum(counts) - 1
        self.first = self.last - counts + 1
        self.ends = np.column_stack((self.xy[self.first], self.xy[self.last])).reshape(-1, 2)
        closed = np.fromiter((stroke.closed for stroke in strokes), bool, len(strokes))
        self.closed = np.repeat(closed, 2)
        own = 2 * np.flatnonzero(closed)
        self.mate = np.full(2 * len(strokes), _FREE)
        self.mate[own], self.mate[own + 1] = own + 1, own
        self.bridged: set[int] = set()

    def join_exactly(self) -> None:
        """Join ends that are bit for bit, or nearly so, at one point."""
        loose = np.flatnonzero(~self.closed)
        node, count = np.unique(_nodes(self.ends[loose]), return_inverse=True, return_counts=True)[1:]
        order = loose[np.argsort(node, kind="stable")]
        start = np.cumsum(count) - count
        two = start[count == 2]
        self._marry(order[two], order[two + 1])
        for k in np.flatnonzero(count > 2)[:_MOST_REPORTED]:
            self._branch(order[start[k] : start[k] + count[k]])

    def join_within(self, gap: float) -> None:
        """Join free ends no farther apart than the gap, where each has one neighbour only."""
        free, near = self._near_each_other(gap)
        if not len(near):
            return
        both = np.concatenate((near, near[:, ::-1]))
        choices = np.bincount(both[:, 0], minlength=len(free))
        for k in np.flatnonzero(choices > 1)[:_MOST_REPORTED]:
            ends = free[[k, *np.sort(both[both[:, 0] == k, 1])]]
            if (self.mate[ends] == _FREE).all():
                self._branch(ends, gap)
        a, b = free[near[(choices[near] == 1).all(axis=1)]].T
        self._marry(a, b)
        if gap > SAME_POINT:
            for one, other in zip(a.tolist(), b.tolist(), strict=True):
                self._bridge(one, other)

    def _near_each_other(self, distance: float) -> tuple[Ends, Ends]:
        """The free ends, and pairs of places in that list no farther apart than the distance."""
        free = np.flatnonzero(self.mate == _FREE)
        if len(free) < 2 or distance <= 0:
            return free, np.empty((0, 2), dtype=np.intp)
        return free, pairs(np.asarray(shapely.points(self.ends[free])), "dwithin", distance=distance)

    def _marry(self, a: Ends, b: Ends) -> None:
        self.mate[a], self.mate[b] = b, a

    def _sources(self, ends: Ends) -> str:
        return named([self.strokes[end // 2].source for end in ends.tolist()])

    def _branch(self, ends: Ends, gap: float = 0.0) -> None:
        self.mate[ends] = _REFUSED
        place, sources = self.remarks.at(self.ends[ends[0]]), self._sources(ends)
        if gap > SAME_POINT:
            what = f"an open end has {len(ends) - 1} others within the gap of {self.remarks.length(gap)}"
            way_out = "state a smaller gap or join the right ones in the drawing"
        else:
            what, way_out = (
                f"{len(ends)} ends meet in one point",
                "an outline or a line cannot branch: draw it in one piece",
            )
        self.remarks.refuse(f"layer {self.layer}: {what} at {place}, {sources}; {way_out}")

    def _bridge(self, a: int, b: int) -> None:
        self.bridged.update((a, b))
        length = float(np.hypot(*(self.ends[a] - self.ends[b])))
        place = self.remarks.at(self.ends[a])
        self.remarks.find(
            "art-bridged",
            Severity.NOTE,
            f"a gap of {self.remarks.length(length)} was bridged at {place} on layer {self.layer}",
            where=f"layer {self.layer}, {self._sources(np.array((a, b)))}",
            mm=length,
        )

    def chains(self) -> list[Chain]:
        """Follow the mates: open chains from their first free end, then closed ones, in drawing order."""
        mate = self.mate.tolist()
        starts = [end for end, other in enumerate(mate) if other < 0]
        starts += range(0, len(mate), 2)
        seen = bytearray(len(self.strokes))
        found = []
        for start in starts:
            if not seen[start // 2]:
                way = _follow(start, mate, seen)
                found.append((min(way) // 2, self._chain(way, closed=mate[start] >= 0)))
        return [chain for _, chain in sorted(found, key=lambda item: item[0])]

    def _chain(self, way: list[int], *, closed: bool) -> Chain:
        """The chain that enters its strokes by the ends listed."""
        rows: list[int] = []
        first, last = self.first, self.last
        for entry in way:
            k, backward = divmod(entry, 2)
            piece = range(last[k], first[k] - 1, -1) if backward else range(first[k], last[k] + 1)
            joined = rows and entry not in self.bridged
            rows.extend(piece[1:] if joined else piece)
        points = self.xy[rows]
        if closed:
            if way[0] in self.bridged:
                points = np.concatenate((points, points[:1]))
            points[-1] = points[0]
        return Chain(points, tuple(dict.fromkeys(self.strokes[entry // 2].source for entry in way)), closed)

    def report_near_misses(self) -> None:
        """Free ends that were probably meant to meet."""
        try:
            free, near = self._near_each_other(NEARLY)
        except ShapeError:
            return  # a shading of short lines, where every end has neighbours
        for a, b in free[near][:_MOST_REPORTED]:
            distance = float(np.hypot(*(self.ends[a] - self.ends[b])))
            if a // 2 == b // 2 and self._length(a // 2) < 4 * distance:
                continue
            self.remarks.find(
                "art-open",
                Severity.WARNING,
                f"two open ends on layer {self.layer} are {self.remarks.length(distance)} apart "
                f"at {self.remarks.at(self.ends[a])}",
                where=f"layer {self.layer}, {self._sources(np.array((a, b)))}",
                hint="close the outline in the drawing, or state a gap that may be bridged",
                mm=distance,
            )

    def _length(self, k: int) -> float:
        return float(np.hypot(*np.diff(self.strokes[k].points, axis=0).T).sum())


def _nodes(ends: Points) -> NDArray[np.complex128]:
    """One number for every point; ends on one point share it."""
    grid: NDArray[np.complex128] = np.rint(ends / _GRID) @ np.array((1, 1j))
    return grid


def _follow(start: int, mate: list[int], seen: bytearray) -> list[int]:
    way, end = [], start
    while end >= 0 and not seen[end // 2]:
        seen[end // 2] = 1
        way.append(end)
        end = mate[end ^ 1]
    return way


def _without_repeats(strokes: Sequence[Stroke], remarks: Remarks, layer: str) -> list[Stroke]:
    """Leave out strokes of no length, and those that were drawn before, in either direction."""
    ends = np.array([stroke.points[[0, -1]] for stroke in strokes])
    node = np.unique(_nodes(ends.reshape(-1, 2)), return_inverse=True)[1].reshape(-1, 2)
    pair = node.min(axis=1) * 2 * len(strokes) + node.max(axis=1)
    _, group, size = np.unique(pair, return_inverse=True, return_counts=True)
    suspects = np.flatnonzero((size[group] > 1) | (node[:, 0] == node[:, 1])).tolist()
    drawn: dict[int, list[Points]] = {}
    empty, again = [], []
    for k in suspects:
        points, before = strokes[k].points, drawn.setdefault(int(group[k]), [])
        if np.ptp(points, axis=0).max() <= SAME_POINT:
            empty.append(k)
        elif any(_same(points, other) for other in before):
            again.append(k)
        else:
            before.append(points)
    for code, what, dropped in (
        ("art-speck", "of no length", empty),
        ("art-duplicate", "drawn twice", again),
    ):
        if dropped:
            sources = named([strokes[k].source for k in dropped])
            message = f"left out on layer {layer}: {counted(len(dropped), 'piece')} {what}"
            remarks.find(code, Severity.NOTE, message, where=f"layer {layer}, {sources}")
    left_out = {*empty, *again}
    return [stroke for k, stroke in enumerate(strokes) if k not in left_out]


def _same(one: Points, other: Points) -> bool:
    if one.shape != other.shape:
        return False
    return any(np.abs(one - way).max() <= SAME_POINT for way in (other, other[::-1]))
