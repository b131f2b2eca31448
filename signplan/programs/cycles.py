"""Canned drilling cycles to moves: G81, G82, G83, G85 and G89, after RS274/NGC, section 3.5.16 (from memory).

A cycle goes over the hole, down to R at rapid, down to Z at the feed, and out again; G83 clears the chips
every Q. What it does at the bottom (a dwell) is not a move.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

CYCLES = frozenset((810, 820, 830, 850, 890))
"""The cycles that are followed, by code times ten; the others are named as not checked."""

_FEEDS_OUT = frozenset((850, 890))
_PECK_ROOM = 0.25
"""mm above the bottom of the last peck to which the drill goes back at rapid."""

MOST_PECKS = 1000


@dataclass(frozen=True, kw_only=True, slots=True)
class Hole:
    """What a cycle says of one hole, mm: where the drill starts, its bottom, and its peck (0 without)."""

    code: int
    clear: float
    bottom: float
    peck: float
    to_start: bool

    @property
    def pecks(self) -> int:
        """How often it goes down."""
        depth = self.clear - self.bottom
        if self.code != 830 or not self.peck > 0 or not math.isfinite(depth):
            return 1
        return max(1, min(math.ceil(depth / self.peck - 1e-6), MOST_PECKS))


def drill(
    hole: Hole, place: tuple[float, float], *, above: float
) -> Iterator[tuple[float, float, float, bool]]:
    """(x, y, z, cutting) of the end of each move, from wherever the tool was, `above` high."""
    x, y = place
    over = max(above, hole.clear)
    yield x, y, over, False
    yield x, y, hole.clear, False
    for number in range(1, hole.pecks):
        depth = hole.clear - number * hole.peck
        yield x, y, depth, True
        yield x, y, hole.clear, False
        yield x, y, min(depth + _PECK_ROOM, hole.clear), False
    yield x, y, hole.bottom, True
    yield x, y, hole.clear, hole.code in _FEEDS_OUT
    if hole.to_start and over > hole.clear:
        yield x, y, over, False
