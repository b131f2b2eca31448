"""How a sign hangs: shares, lean, slack, and what the wind may ask of it. Every figure here is a reminder.

Statics of one rigid body. Masses kg, lengths mm in the assembly frame, angles degrees. None of it designs or
approves anything: brackets, bolts, walls and wind are for a licensed engineer and the building official.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from signplan.geometry.precision import SAME
from signplan.job.model import Hanging
from signplan.sign.mass import Mass
from signplan.sign.model import Bar, Item, Sign
from signplan.units import KG_PER_POUND

STANDARD_GRAVITY = 9.80665
"""m/s2."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """What a point carries: `load` is the weight on it, `tension` the pull of its leg, kg; below 0 slack."""

    at: tuple[float, float]
    load: float
    tension: float


@dataclass(frozen=True, kw_only=True, slots=True)
class HangingLoads:
    """How a sign hangs at rest.

    Attributes:
        shares: of the left and the right point; one if it hangs from one.
        slack: the centre of gravity is outside the points, so that one of them carries nothing.
        lean: front to back, degrees, positive if the foot swings toward side A's reader.
        tilt: sideways, from one point only, degrees, positive counter-clockwise as seen from side A.
        working: what a hanger may carry, kg: breaking load over the design factor; None if not stated.
        bracket: pull between the bolts of a bracket by the weight alone, kg; None if not stated.
    """

    shares: tuple[Share, ...]
    slack: bool
    lean: float
    tilt: float
    working: float | None = None
    bracket: float | None = None


def hang(sign: Sign, mass: Mass, asked: Hanging) -> HangingLoads | None:
    """How the sign hangs from its points; None if it has none, as on a post.

    Of more than two the outermost carry all: what those between them take off, statics alone cannot say.
    """
    points, through = hanging_points(sign, asked)
    if not points:
        return None
    x, y, z = mass.centroid
    left, right = points[0], points[-1]
    if right[0] - left[0] > SAME:
        loads = two_point_share(mass.total, left[0], right[0], x)
        shares = tuple(
            Share(at=at, load=load, tension=leg_tension(load, asked.leg_angle))
            for at, load in zip((left, right), loads, strict=True)
        )
        tilt = 0.0
    else:
        tilt = lean(left[0] - x, left[1] - y)
        shares = (Share(at=left, load=mass.total, tension=mass.total),)
    return HangingLoads(
        shares=shares,
        slack=min(share.load for share in shares) < 0,
        lean=lean(through - z, (left[1] + right[1]) / 2 - y),
        tilt=tilt,
        working=_working(asked),
        bracket=couple(mass.total * asked.arm, asked.bolts) if asked.arm and asked.bolts else None,
    )


def hanging_points(sign: Sign, asked: Hanging) -> tuple[tuple[tuple[float, float], ...], float]:
    """Where it hangs from, left to right, and the z of its line.

    The points of the job, at the glue plane; else where the axes of bars leave the sign over its top.
    """
    if asked.points:
        return tuple(sorted(asked.points)), 0.0
    found = sorted(spot for item in sign.items for spot in _leaves_at_top(sign, item))
    points = tuple(dict.fromkeys((round(x, 6), round(y, 6)) for x, y, _ in found))
    return points, sum(z for *_, z in found) / len(found) if found else 0.0


def _leaves_at_top(sign: Sign, item: Item) -> Iterator[tuple[float, float, float]]:
    top = sign.outline.bounds[3]
    for part in item.parts:
        if not isinstance(part, Bar):
            continue
        low, high = sorted((part.start, part.end), key=lambda end: end[1])
        if low[1] < top < high[1]:
            along = (top - low[1]) / (high[1] - low[1])
            yield low[0] + along * (high[0] - low[0]), top, part.z


def two_point_share(weight: float, left: float, right: float, centre: float) -> tuple[float, float]:
    """What the left and the right of two points carry, by moments about the other; below 0 that one is slack.

    >>> two_point_share(30, 6, 30, 20)
    (12.5, 17.5)
    """
    on_left = weight * (right - centre) / (right - left)
    return on_left, weight - on_left


def lean(offset: float, drop: float) -> float:
    """How far a body hangs out of true, degrees: its centre of gravity comes to rest under the pivot.

    Args:
        offset: of the centre of gravity from the line through the pivot.
        drop: of the centre of gravity below the pivot.

    >>> round(lean(0.25, 12), 5)
    1.19349
    """
    return math.degrees(math.atan2(offset, drop))


def leg_tension(load: float, angle: float) -> float:
    """Pull in a leg that carries a load and stands at an angle from the horizontal: load / sin(angle)."""
    return load / math.sin(math.radians(angle))


def couple(moment: float, spacing: float) -> float:
    """Pull and push of two bolts that turn back a moment: moment / spacing."""
    return moment / spacing


def working_load(breaking: float, factor: float) -> float:
    """What a hanger may carry: least breaking load over the design factor, 5 for general hanging hardware.

    Common practice; some municipal codes ask for 4, others 5, and over the public an engineer for more.
    """
    return breaking / factor


def _working(asked: Hanging) -> float | None:
    breaking = asked.breaking_kg or (asked.breaking_lb or 0.0) * KG_PER_POUND
    return working_load(breaking, asked.design_factor) if breaking else None
