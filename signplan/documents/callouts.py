"""Puts dimensions and balloons round a drawing so that no two texts touch. Page millimetres, y down.

Ordinates stand along two edges, spread where they are crowded and led back to their true place; balloons
take the nearest free place. Where even that does not fit, the table beside the drawing has every number.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

Box = tuple[float, float, float, float]

ANGLES = tuple(
    math.radians(a) for a in (45, 135, -45, -135, 0, 180, 90, -90, 20, 160, -20, -160, 70, 110, -70, -110)
)
REACHES = (6.5, 9.0, 12.0, 16.0, 21.0, 27.0)


def spread(places: Sequence[float], gap: float, low: float, high: float) -> tuple[float, ...] | None:
    """Places for labels in the order of `places`, at least `gap` apart, as near to them as they can be.

    Isotonic regression: crowded neighbours pool into a block that stands at the mean of what they want.
    None if they do not fit between `low` and `high`.

    >>> spread([1.0, 1.5, 9.0], 2.0, 0.0, 10.0)
    (0.25, 2.25, 9.0)
    """
    if (len(places) - 1) * gap > high - low:
        return None
    blocks: list[tuple[float, int]] = []
    for k, wanted in enumerate(places):
        block = (wanted - k * gap, 1)
        while blocks and blocks[-1][0] >= block[0]:
            mean, many = blocks.pop()
            block = ((mean * many + block[0] * block[1]) / (many + block[1]), many + block[1])
        blocks.append(block)
    most = high - (len(places) - 1) * gap
    starts = [min(max(mean, low), most) for mean, many in blocks for _ in range(many)]
    return tuple(start + k * gap for k, start in enumerate(starts))


def merged(places: Iterable[float], nearer: float) -> tuple[float, ...]:
    """Sorted places with those dropped that lie closer than `nearer` to the one before."""
    kept: list[float] = []
    for place in sorted(places):
        if not kept or place - kept[-1] > nearer:
            kept.append(place)
    return tuple(kept)


@dataclass(slots=True)
class Crowd:
    """The boxes that are taken, within bounds; gives out free places one at a time."""

    bounds: Box
    taken: list[Box] = field(default_factory=list)
    avoided: list[Box] = field(default_factory=list)
    leads: list[tuple[float, float, float, float]] = field(default_factory=list)

    def free(self, x: float, y: float, radius: float) -> tuple[float, float] | None:
        """The best free middle for a balloon that belongs to (x, y), or None."""
        best, least = None, math.inf
        for rank, (reach, angle) in enumerate((r, a) for r in REACHES for a in ANGLES):
            if rank / len(ANGLES) >= least:
                break
            at = x + reach * math.cos(angle), y - reach * math.sin(angle)
            box = (at[0] - radius, at[1] - radius, at[0] + radius, at[1] + radius)
            if not _within(box, self.bounds) or any(meets(box, other) for other in self.taken):
                continue
            lead = (x, y, *at)
            if any(_crosses(lead, other) for other in self.taken):
                continue
            cost = rank / len(ANGLES) + 3 * sum(meets(box, other) for other in self.avoided)
            cost += 4 * sum(_cut(lead, other) for other in self.leads)
            if cost < least:
                best, least = at, cost
        if best:
            self.take((best[0] - radius, best[1] - radius, best[0] + radius, best[1] + radius))
            self.leads.append((x, y, *best))
        return best

    def take(self, box: Box) -> None:
        """Mark a box as taken."""
        self.taken.append(box)

    def avoid(self, box: Box) -> None:
        """Mark a box that is better left free."""
        self.avoided.append(box)


def _within(box: Box, bounds: Box) -> bool:
    return box[0] >= bounds[0] and box[1] >= bounds[1] and box[2] <= bounds[2] and box[3] <= bounds[3]


def meets(box: Box, other: Box) -> bool:
    """Whether two boxes overlap."""
    return box[0] < other[2] and other[0] < box[2] and box[1] < other[3] and other[1] < box[3]


def _crosses(lead: Box, box: Box) -> bool:
    """Whether a straight line passes through a box: its part between each pair of sides, cut down in turn."""
    x0, y0, x1, y1 = lead
    enters, leaves = 0.0, 1.0
    for start, step, low, high in ((x0, x1 - x0, box[0], box[2]), (y0, y1 - y0, box[1], box[3])):
        if not step:
            if not low < start < high:
                return False
            continue
        first, last = sorted(((low - start) / step, (high - start) / step))
        enters, leaves = max(enters, first), min(leaves, last)
    return enters < leaves


def _cut(lead: Box, other: Box) -> bool:
    """Whether two leads cross."""

    def side(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    p, q, r, s = lead[:2], lead[2:], other[:2], other[2:]
    return side(p, q, r) * side(p, q, s) < 0 and side(r, s, p) * side(r, s, q) < 0
