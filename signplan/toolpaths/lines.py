"""Lines of the plane as tool paths need them: rings turned the right way, started anywhere, and chained.

Lines are (N, 2) arrays, mm. A closed one repeats its first point.
"""

import math
from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from signplan.geometry.precision import SAME
from signplan.job.shop import Machine

Floats = NDArray[np.float64]

USUAL_FEED = 100.0
"""Feed, mm/s, at which corners are compared with length; the real one depends on board and cutter."""


ROUNDS = 20
"""Times that a tour is gone over to undo its crossings; it seldom takes more than three."""


def ring_lines(shape: Polygon) -> list[Floats]:
    """The rings of an area, its boundary on the right of whoever walks them: shells counter-clockwise.

    With the spindle turning clockwise seen from above, that is climb cutting along every wall.
    """
    turned = shapely.orient_polygons(shape)
    return [shapely.get_coordinates(ring) for ring in (turned.exterior, *turned.interiors)]


def ring_from(ring: Floats, near: Floats | None) -> Floats:
    """The same ring, starting at its point nearest to a place; heights, if it has any, go along."""
    if near is None:
        return ring
    corners = ring[:, :2]
    steps = np.diff(corners, axis=0)
    squared = np.maximum(np.einsum("ij,ij->i", steps, steps), 1e-18)
    share = np.clip(np.einsum("ij,ij->i", near - corners[:-1], steps) / squared, 0, 1)
    gap = corners[:-1] + share[:, None] * steps - near
    k = int(np.argmin(np.einsum("ij,ij->i", gap, gap)))
    size = math.sqrt(squared[k])
    if (1 - share[k]) * size < 1e-9:
        return np.concatenate([ring[k + 1 :], ring[1 : k + 2]])
    if share[k] * size < 1e-9:
        return np.concatenate([ring[k:], ring[1 : k + 1]])
    start = ring[k] + share[k] * (ring[k + 1] - ring[k])
    return np.concatenate([[start], ring[k + 1 :], ring[1 : k + 1], [start]])


def is_closed(line: Floats) -> bool:
    """Whether a line ends where it begins."""
    return len(line) > 2 and math.dist(line[0], line[-1]) < SAME


def distances(line: Floats) -> Floats:
    """How far each point lies along the line, in the plane."""
    way = np.zeros(len(line))
    x, y = line[:, 0], line[:, 1]
    np.cumsum(np.hypot(x[1:] - x[:-1], y[1:] - y[:-1]), out=way[1:])
    return way


def cut_at(line: Floats, way: Floats, far: float) -> Floats:
    """The first part of a line, `far` along it; `way` are the distances of its points."""
    k = int(np.searchsorted(way, far, side="left"))
    if k == 0:
        return line[:1]
    k = min(k, len(line) - 1)
    share = min((far - way[k - 1]) / max(way[k] - way[k - 1], 1e-12), 1.0)
    end = line[k - 1] + share * (line[k] - line[k - 1])
    return np.vstack([line[:k], end])


def chained(lines: Sequence[Floats], *, keep_direction: bool, here: Floats | None = None) -> list[Floats]:
    """The lines in the order of the nearest next start; closed ones are started where that is nearest.

    With `keep_direction` no line is turned round, which would change climb into conventional cutting.
    """
    left = list(lines)
    starts = np.array([line[0, :2] for line in left]).reshape(-1, 2)
    ends = np.array([line[-1, :2] for line in left]).reshape(-1, 2)
    alive = np.ones(len(left), dtype=bool)
    order: list[Floats] = []
    for _ in range(len(left)):
        if here is None:
            k, turn = int(np.flatnonzero(alive)[0]), False
        else:
            to_start = np.where(alive, ((starts - here) ** 2).sum(axis=1), np.inf)
            to_end = np.where(alive, ((ends - here) ** 2).sum(axis=1), np.inf)
            k, turn = int(np.argmin(to_start)), False
            if not keep_direction and to_end.min() < to_start[k] - 1e-12:
                k, turn = int(np.argmin(to_end)), True
        alive[k] = False
        line = left[k][::-1] if turn else left[k]
        if here is not None and line.shape[1] == 2 and is_closed(line):
            line = ring_from(line, here)
        order.append(line)
        here = line[-1, :2]
    return order


def tour(places: Floats) -> list[int]:
    """An order of places, (N, 2), with a short way through them: the nearest next, then crossings undone.

    Crossings are undone by turning a stretch round wherever that shortens the way (2-opt: Croes, "A method
    for solving traveling-salesman problems", 1958, from memory). It begins at the first place.
    """
    gap = np.linalg.norm(places[:, None] - places[None], axis=2)
    order = [0]
    left = np.ones(len(places), dtype=bool)
    for _ in range(len(places) - 1):
        left[order[-1]] = False
        order.append(int(np.argmin(np.where(left, gap[order[-1]], np.inf))))
    for _ in range(ROUNDS):
        if not _untangled(order, gap):
            break
    return order


def _untangled(order: list[int], gap: Floats) -> bool:
    """Turn round every stretch whose turning shortens the way; whether there was one."""
    shorter = False
    for i in range(1, len(order) - 1):
        here = np.array(order)
        ends = here[i:]
        after = np.append(here[i + 1 :], -1)
        saved = gap[here[i - 1], here[i]] - gap[here[i - 1], ends]
        saved += np.where(after >= 0, gap[ends, after] - gap[here[i], after], 0.0)
        k = int(np.argmax(saved))
        if saved[k] > 1e-9:
            order[i : i + k + 1] = order[i : i + k + 1][::-1]
            shorter = True
    return shorter


def stop_length(line: Floats, machine: Machine) -> float:
    """What slowing down at corners costs along a line, as extra length at feed, mm.

    A full stop costs v2 / a: as long as going that far. A corner by an angle t costs (1 - cos t) / 2 of it.
    """
    steps = np.diff(line[:, :2], axis=0)
    size = np.linalg.norm(steps, axis=1)
    steps = steps[size > 1e-9] / size[size > 1e-9, None]
    cosine = (steps[1:] * steps[:-1]).sum(axis=1)
    speed = min(machine.feed_max, USUAL_FEED)
    return float(((1 - cosine) / 2).sum()) * speed**2 / min(machine.accel[:2])
