"""A path without the noise of rounding: the moves that matter for its time and its place.

The coordinates of a program are rounded. Where points lie close together that turns the path a little at
every one of them, and a motion model that takes each turn for real slows down for it; a control that rounds
corners by more than that does not. So of points closer than a machine can notice only some are kept, and no
point that is dropped lies off the path that stays by more than `allowed_by` the machine.
"""

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from signplan.job.shop import Machine
from signplan.programs.model import Bools, Floats, Moves, chosen, is_constant

EXACT_PATH, EXACT_STOP = (610,), (611, 600)
"""Path modes, codes times ten, that follow every point: G61 and G61.1 of RS274/NGC, G60 of ISO 6983."""

EXACT = EXACT_PATH + EXACT_STOP

_HALVINGS = 24
"""More than enough to come down to single points from any distance between kept ones."""


def allowed_by(machine: Machine, rounding: float) -> float:
    """mm that a dropped point may lie off the path: much less than the machine leaves its corners by."""
    return max(rounding, machine.corner_tolerance / 4)


def thinned(moves: Moves, machine: Machine, *, rounding: float) -> Moves:
    """The moves with some in a row made one, so that the path stays where it is.

    Moves are only joined that are alike in everything but their place. `rounding` is the step of the
    program's numbers, mm.
    """
    exact = machine.exact_stop or machine.corner_tolerance <= rounding or _is_exact(moves)
    if len(moves) < 3 or exact:
        return moves
    fixed = np.ones(len(moves) + 1, dtype=bool)
    fixed[1:-1] = (moves.feed[1:] != moves.feed[:-1]) | moves.rest[1:] | ~moves.known[1:] | ~moves.known[:-1]
    if not is_constant(moves.regime):
        fixed[1:-1] |= moves.regime[1:] != moves.regime[:-1]
    least = noticed(np.where(moves.feed < np.inf, moves.feed, 0.0), rounding, min(machine.accel[:2]))
    points = moves.points
    keep = kept(points, least, fixed, allowed_by(machine, rounding))
    if keep.all():
        return moves
    first, last = np.flatnonzero(keep[:-1]), np.flatnonzero(keep[1:])
    points = chosen(points, keep)
    some: dict[str, Any] = {name: _some(getattr(moves, name), last) for name in _ALIKE}
    return replace(
        moves,
        line=moves.line[first],
        last_line=moves.last_line[last],
        start=points[:, :-1],
        end=points[:, 1:],
        rest=moves.rest[first],
        **some,
    )


_ALIKE = ("known", "cutting", "feed", "regime", "tool", "change", "rpm", "path", "moved_zero", "measured")


def _some(values: NDArray[Any], at: NDArray[np.intp]) -> NDArray[Any]:
    return np.broadcast_to(values[0], len(at)) if is_constant(values) else values[at]


def _is_exact(moves: Moves) -> bool:
    if is_constant(moves.path):
        return bool(len(moves)) and int(moves.path[0]) in EXACT
    return bool(np.isin(moves.path, EXACT).any())


def noticed(feed: Floats, rounding: float, accel: float) -> Floats:
    """Distance, mm, over which a machine notices a turn that rounding may have made: 2 F sqrt(q / a).

    At a feed F a deviation q costs no more acceleration than a over that distance.
    """
    distance: Floats = 2 * feed * np.sqrt(rounding / accel)
    return distance


def kept(points: Floats, least: Floats, fixed: Bools, allowed: float) -> Bools:
    """Which points of a path to keep.

    Args:
        points: (3, n), mm.
        least: (n - 1,) mm, about how far apart points on each segment need to be.
        fixed: (n,) points to keep in any case; the first and last are.
        allowed: mm that a dropped point may lie off the path of the kept ones.
    """
    with np.errstate(invalid="ignore"):
        x, y, z = points[:, 1:] - points[:, :-1]
        length = np.sqrt(x * x + y * y + z * z)
        short = length < least
    keep = fixed.copy()
    if not short.any():
        keep[:] = True
        return keep
    with np.errstate(divide="ignore", invalid="ignore"):
        steps = np.floor(np.cumsum(np.where(short, length / least, 1.0)))
    keep[0] = keep[-1] = True
    keep[1:-1] |= steps[1:] > steps[:-1]
    for _ in range(_HALVINGS):
        stray = _strays(points, keep, allowed)
        if not stray.size:
            break
        keep[stray] = True
    return keep


def _strays(points: Floats, keep: Bools, allowed: float) -> NDArray[np.intp]:
    """The middle point of every gap that holds a point too far from the straight line across it."""
    dropped = np.flatnonzero(~keep)
    if not dropped.size:
        return dropped
    at = np.flatnonzero(keep)
    gap = np.cumsum(keep)[dropped] - 1
    begin, end = at[gap], at[gap + 1]
    base = chosen(points, begin)
    x, y, z = chosen(points, end) - base
    u, v, w = chosen(points, dropped) - base
    square = x * x + y * y + z * z
    share = np.clip((u * x + v * y + w * z) / np.where(square > 0, square, 1.0), 0, 1)
    off = (u - share * x) ** 2 + (v - share * y) ** 2 + (w - share * z) ** 2
    far = off > allowed**2
    middle: NDArray[np.intp] = (begin[far] + end[far]) // 2
    return middle
