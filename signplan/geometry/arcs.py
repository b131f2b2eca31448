"""Circular arcs found again in chords: what was drawn, grown or rounded as an arc can be written as one.

Every stage works on straight chords. The chords of an arc keep their corners on its circle to the last digit,
so corners that share a circle tell it. Nothing is fitted to a look: corners stay where they are, and an arc
lies no farther than `BOW` from the chords that it stands for.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from signplan.geometry.precision import CHORD, FEWER, SAME

Points = NDArray[np.float64]

FEWEST = 4
"""Chords that tell an arc. The four corners of three lie on a circle for any symmetric curve."""

BOW = CHORD + FEWER + SAME
"""What an arc may rise above a chord, mm: no more than our own curves do, so that an octagon stays one."""

TURN = 1e-3
"""Least turn at a corner, radians. Our chords turn less only on radii over 40 m, which are straight to us."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Circle:
    """A circle, mm."""

    x: float
    y: float
    radius: float


def bulged(points: Points, *, closed: bool) -> Points:
    """The line with every run of chords on one circle made one arc: rows (x, y, bulge).

    A bulge is the tangent of a quarter of the sweep from its row to the next, positive counter-clockwise, as
    the DXF reference defines group code 42; 0 is straight. `points` is (N, 2), mm; a closed
    line does not repeat its first one. A whole circle comes out as two half circles.

    >>> quarter = np.linspace(0, np.pi / 2, 33)
    >>> bulged(10 * np.column_stack((np.cos(quarter), np.sin(quarter))), closed=False).round(6).tolist()
    [[10.0, 0.0, 0.414214], [0.0, 10.0, 0.0]]
    """
    bulges, inside = np.zeros(len(points)), np.zeros(len(points), dtype=bool)
    for run in _runs(points, closed=closed):
        for part in np.array_split(run, 2) if len(run) == len(points) else (run,):
            corners = points[np.append(part, part[-1] + 1) % len(points)]
            circle = _circle_of(corners)
            if circle:
                bulges[part[0]] = np.tan(_sweep(corners, circle) / 4)
                inside[part[1:]] = True
    return np.column_stack((points, bulges))[~inside]


def circle_through(points: Points) -> Circle | None:
    """The circle that a closed line is nothing but the chords of, or None."""
    whole = any(len(run) == len(points) for run in _runs(points, closed=True))
    return _circle_of(points) if whole else None


def _runs(points: Points, *, closed: bool) -> list[NDArray[np.int64]]:
    """The chords of every run that may be an arc, each by the number of the corner that it starts at.

    A chord belongs to a run if the corners at its two ends bend alike; so do the one before such chords and
    the one after, as a corner says nothing about what lies beyond its neighbours.
    """
    if len(points) <= FEWEST:
        return []
    curvature, noise, lengths = _bends(points)
    if not closed:
        curvature[[0, -1]] = np.nan
    at_end, end_noise = np.roll(curvature, -1), np.roll(noise, -1)
    fits_start, fits_end = _rises_little(lengths, curvature), _rises_little(lengths, at_end)
    alike = fits_start & fits_end & (np.abs(at_end - curvature) <= noise + end_noise)
    if alike.all():
        return [np.arange(len(points))]
    before = ~alike & np.roll(alike, -1) & fits_end
    after = ~alike & ~before & np.roll(alike, 1) & fits_start
    starts = before | (alike & ~np.roll(alike, 1) & ~np.roll(before, 1))
    member = alike | before | after
    places = np.flatnonzero(starts)
    if not len(places):
        return []
    turned = np.roll(np.arange(len(points)), -places[0])
    runs = (part[member[part]] for part in np.split(turned, places[1:] - places[0]))
    return [run for run in runs if len(run) >= FEWEST]


def _bends(points: Points) -> tuple[Points, Points, Points]:
    """At every corner of a closed line: curvature, 1/mm, + to the left, nan where it runs straight; how far
    that may be off where corners are off by `SAME`; the length, mm, of the chord that starts there.

    Twice the sine of the turn over the distance of the neighbours: the circle through three points.
    """
    along = np.roll(points, -1, axis=0) - points
    back = np.roll(along, 1, axis=0)
    lengths = np.maximum(np.hypot(*along.T), SAME)
    apart = np.maximum(np.hypot(*(along + back).T), SAME)
    product = lengths * np.roll(lengths, 1)
    sine = (back[:, 0] * along[:, 1] - back[:, 1] * along[:, 0]) / product
    ahead = (back * along).sum(axis=1) > 0
    curvature = np.where(ahead & (np.abs(sine) >= TURN), 2 * sine / apart, np.nan)
    return curvature, 2 * SAME / product, lengths


def _rises_little(lengths: Points, curvature: Points) -> NDArray[np.bool_]:
    """Whether the arc over a chord stays within `BOW`: from the sagitta, (chord / 2)^2 <= BOW (2 r - BOW)."""
    fits: NDArray[np.bool_] = (lengths / 2) ** 2 <= BOW * (2 / np.abs(curvature) - BOW)
    return fits


def _circle_of(corners: Points) -> Circle | None:
    """The circle through all the corners, or None; the least squares of |p|^2 = 2 p . c + k are linear."""
    middle = corners.mean(axis=0)
    p = corners - middle
    (x, y, k), *_ = np.linalg.lstsq(np.column_stack((2 * p, np.ones(len(p)))), (p**2).sum(axis=1))
    radius = float(np.sqrt(k + x * x + y * y))
    off = np.abs(np.hypot(*(p - (x, y)).T) - radius).max()
    return Circle(x=float(x + middle[0]), y=float(y + middle[1]), radius=radius) if off <= SAME else None


def _sweep(corners: Points, circle: Circle) -> float:
    """The angle from the first corner to the last, radians, + counter-clockwise."""
    spokes = (corners - (circle.x, circle.y)) @ np.array((1, 1j))
    return float(np.angle(spokes[1:] / spokes[:-1]).sum())
