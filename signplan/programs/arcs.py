"""Arcs to chords: circles and helices in all three planes, all of a piece at once.

In: where arcs start and end, and their centres or radii. Out: points within `CHORD` of the true arc, and why
an arc is none. Rules after RS274/NGC, section 3.5.3 (from memory).
"""

from dataclasses import dataclass

import numpy as np

from signplan.geometry.precision import CHORD
from signplan.programs.model import Bools, Floats, Ints, chosen

RADII_DIFFER_MM, RADII_DIFFER_INCH = 0.002, 0.0002 * 25.4
"""How much the radii at start and end may differ, mm: 0.002 mm, or 0.0002 inch, by the program's units."""

MOST_CHORDS = 20_000
"""Chords of one turn; a circle that would need more is larger than any machine."""

FRAME = {170: (0, 1, 2), 180: (2, 0, 1), 190: (1, 2, 0)}
"""By plane: its first and second axis, and the one across it, in right-handed order."""


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Arcs:
    """n arcs. Positions (3, n) are in the frame of their plane: first axis, second axis, across.

    Attributes:
        centre: (2, n) from the start; nan where the word is missing.
        radius: (n,) of the radius form, negative for more than half a turn; nan in the centre form.
        clockwise: (n,) G2.
        across: (n,) an offset was given that does not lie in the plane.
        tolerance: (n,) by which the two radii may differ, mm.
    """

    start: Floats
    end: Floats
    centre: Floats
    radius: Floats
    clockwise: Bools
    across: Bools
    tolerance: Floats

    def where(self, mask: Bools) -> "Arcs":
        """Some of them."""
        return Arcs(
            start=self.start[:, mask],
            end=self.end[:, mask],
            centre=self.centre[:, mask],
            radius=self.radius[mask],
            clockwise=self.clockwise[mask],
            across=self.across[mask],
            tolerance=self.tolerance[mask],
        )


def wrong(arcs: Arcs) -> dict[int, str]:
    """The arcs that are none, by number, and why."""
    by_radius = ~np.isnan(arcs.radius)
    by_centre = ~by_radius
    offset = ~np.isnan(arcs.centre).all(axis=0)
    chord = np.hypot(*(arcs.end[:2] - arcs.start[:2]))
    before, after = _radii(arcs)
    reasons: dict[int, str] = {}
    for mask, reason in (
        (by_centre & (np.abs(before - after) > arcs.tolerance), "radii"),
        (
            by_radius & (chord > 2 * np.abs(arcs.radius) + arcs.tolerance),
            "its ends are further apart than 2 R",
        ),
        (by_centre & offset & (before == 0), "its centre is its start"),
        (by_radius & (chord == 0), "a full circle cannot be given by its radius"),
        (by_centre & ~offset, "it has neither a centre in its plane nor a radius"),
        (by_radius & (offset | arcs.across), "it has both a centre and a radius"),
        (by_centre & arcs.across, "its centre offset does not lie in its plane"),
        (~np.isfinite(chord), "where it starts or ends is not known"),
    ):
        reasons |= dict.fromkeys(np.flatnonzero(mask).tolist(), reason)
    return {
        k: f"its radius is {before[k]:.4f} mm at the start and {after[k]:.4f} mm at the end"
        if reason == "radii"
        else reason
        for k, reason in sorted(reasons.items())
    }


def _radii(arcs: Arcs) -> tuple[Floats, Floats]:
    """Distance of the centre from the start and from the end."""
    centre = np.nan_to_num(arcs.centre)
    return np.hypot(*centre), np.hypot(*(arcs.end[:2] - arcs.start[:2] - centre))


def chords(arcs: Arcs) -> tuple[Floats, Ints]:
    """Ends of the chords of sound arcs, (3, m) in the frame of their planes, and the arc of each."""
    centre = np.where(np.isnan(arcs.radius), np.nan_to_num(arcs.centre), _centre_by_radius(arcs))
    spoke, last = -centre, arcs.end[:2] - arcs.start[:2] - centre
    sweep = _sweep(spoke, last, arcs)
    first_radius, last_radius = np.hypot(*spoke), np.hypot(*last)
    angle = 2 * np.arccos(np.clip(1 - CHORD / np.maximum(first_radius, 2 * CHORD), -1, 1))
    count = np.clip(np.ceil(np.abs(sweep) / angle), 1, MOST_CHORDS).astype(np.int64)
    owner = np.repeat(np.arange(len(count)), count)
    place = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count) + 1
    share = place / count[owner]
    turn = (np.arctan2(spoke[1], spoke[0]))[owner] + share * sweep[owner]
    radius = first_radius[owner] + share * (last_radius - first_radius)[owner]
    middle = chosen(arcs.start[:2] + centre, owner)
    points = np.empty((3, len(owner)))
    points[0] = middle[0] + radius * np.cos(turn)
    points[1] = middle[1] + radius * np.sin(turn)
    points[2] = arcs.start[2, owner] + share * (arcs.end[2] - arcs.start[2])[owner]
    ends = np.cumsum(count) - 1
    points[:, ends] = arcs.end
    return points, owner


def _sweep(spoke: Floats, last: Floats, arcs: Arcs) -> Floats:
    """Angle from the first spoke to the last, radians, negative clockwise; a whole turn if they are one."""
    cross = spoke[0] * last[1] - spoke[1] * last[0]
    angle = np.arctan2(cross, spoke[0] * last[0] + spoke[1] * last[1])
    whole = (arcs.start[:2] == arcs.end[:2]).all(axis=0)
    turn = 2 * np.pi
    return np.where(
        arcs.clockwise,
        np.where(whole, -turn, np.where(angle >= 0, angle - turn, angle)),
        np.where(whole, turn, np.where(angle <= 0, angle + turn, angle)),
    )


def _centre_by_radius(arcs: Arcs) -> Floats:
    """Centre from the start: on the middle line of the chord, to one side of it or the other.

    It lies to the left for an anticlockwise arc of half a turn or less,  sqrt(R^2 - c^2 / 4)  from the middle
    of a chord c.
    """
    step = arcs.end[:2] - arcs.start[:2]
    chord = np.hypot(*step)
    off = np.sqrt(np.maximum(arcs.radius**2 - chord**2 / 4, 0))
    side = np.where(arcs.clockwise, -1.0, 1.0) * np.where(arcs.radius < 0, -1.0, 1.0)
    with np.errstate(invalid="ignore", divide="ignore"):
        left: Floats = np.array((-step[1], step[0])) / chord
    centre: Floats = step / 2 + left * off * side
    return centre
