"""How blanks are sawn out of a sheet of board, and what is left over.

Plain rows, all the same way round, as `blanks_per_sheet` counts them; of all ways the one that leaves the
largest piece whole. Sheet frame: the long side along x, the origin in the lower left corner, mm.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from signplan.cost.rates import SAW, blanks_per_sheet, in_rows

LEAST = 50.0
"""A strip narrower than this, mm, is waste and not worth a number."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Piece:
    """A rectangle of a sheet."""

    x: float
    y: float
    width: float
    height: float

    @property
    def area(self) -> float:
        """mm2."""
        return self.width * self.height


@dataclass(frozen=True, kw_only=True, slots=True)
class Sawn:
    """A sheet: its blanks in the order that they are sawn, and what is left of it, the largest first."""

    blanks: tuple[Piece, ...]
    left: tuple[Piece, ...]


def sawn(blank: tuple[float, float], count: int, sheet: tuple[float, float]) -> tuple[Sawn, ...]:
    """The sheets that `count` blanks take, all but the last full; nothing if no blank fits.

    >>> (first,) = sawn((600, 900), 3, (2440, 1220))
    >>> [(each.x, each.width, each.height) for each in first.blanks]
    [(0.0, 600, 900), (603.2, 600, 900), (1206.4, 600, 900)]
    >>> [(round(each.width, 1), round(each.height, 1)) for each in first.left]
    [(2440, 316.8), (630.4, 900.0)]
    """
    size = max(sheet), min(sheet)
    full = blanks_per_sheet(blank, size)
    if not full:
        return ()
    counts = [full] * (count // full) + ([count % full] if count % full else [])
    return tuple(
        max(_layouts(blank, many, size), key=lambda each: max((p.area for p in each.left), default=0.0))
        for many in counts
    )


def _layouts(blank: tuple[float, float], count: int, sheet: tuple[float, float]) -> Iterator[Sawn]:
    """Every way to place the blanks in rows, each with both ways to saw the rest."""
    for way, rest_runs_up in product((blank, blank[::-1]), (True, False)):
        across, up = in_rows(way, sheet)
        for columns in range(1, across + 1):
            rows = math.ceil(count / columns)
            if rows <= up and columns <= count:
                yield _layout(way, count, columns, sheet, rest_runs_up=rest_runs_up)


def _layout(
    blank: tuple[float, float], count: int, columns: int, sheet: tuple[float, float], *, rest_runs_up: bool
) -> Sawn:
    step_x, step_y = blank[0] + SAW, blank[1] + SAW
    blanks = tuple(
        Piece(x=k % columns * step_x, y=k // columns * step_y, width=blank[0], height=blank[1])
        for k in range(count)
    )
    wide, high, last = columns * step_x, math.ceil(count / columns) * step_y, count % columns
    rest = [
        Piece(x=wide, y=0, width=sheet[0] - wide, height=sheet[1] if rest_runs_up else high - SAW),
        Piece(x=0, y=high, width=wide - SAW if rest_runs_up else sheet[0], height=sheet[1] - high),
    ]
    if last:
        gap = last * step_x
        rest.append(Piece(x=gap, y=high - step_y, width=wide - SAW - gap, height=blank[1]))
    left = (each for each in rest if min(each.width, each.height) >= LEAST)
    return Sawn(blanks=blanks, left=tuple(sorted(left, key=lambda each: -each.area)))
