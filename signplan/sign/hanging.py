"""How a sign hangs: shares, lean, slack, and what the wind may ask of it. Every figure here is a reminder.

Statics of one rigid body. Masses kg, lengths mm in the assembly frame, angles degrees. None of it designs or
approves anything: brackets, bolts, walls and wind are for a licensed engineer and the building official.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon, line_merge

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import union
from signplan.job.model import Hanging
from signplan.sign.mass import Mass
from signplan.sign.model import Item, Sign
from signplan.units import KG_PER_POUND

STANDARD_GRAVITY = 9.80665
"""m/s2."""

_BESIDE = 0.01
"""Steel that leaves the sign is found this far inside and outside of the edge, mm."""

_STEEPEST = math.tan(math.radians(60))
"""Slope of an edge that still counts as top; through a steeper one steel leaves sideways."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Share:
    """What a point carries: `load` is the weight on it, `tension` the pull of its leg, kg; below 0 slack.

    `by` names the steel that carries there; it is empty at a point that the job states.
    """

    at: tuple[float, float]
    load: float
    tension: float
    by: str = ""


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
    carriers = {} if asked.points else {leaving.at: leaving.item for leaving in _leaving(sign)}
    if right[0] - left[0] > SAME:
        loads = two_point_share(mass.total, left[0], right[0], x)
        shares = tuple(
            Share(at=at, load=load, tension=leg_tension(load, asked.leg_angle), by=carriers.get(at, ""))
            for at, load in zip((left, right), loads, strict=True)
        )
        tilt = 0.0
    else:
        tilt = lean(left[0] - x, left[1] - y)
        shares = (Share(at=left, load=mass.total, tension=mass.total, by=carriers.get(left, "")),)
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

    The points of the job, at the glue plane; else where steel of any shape leaves the sign over its top.
    """
    if asked.points:
        return tuple(sorted(asked.points)), 0.0
    found = _leaving(sign)
    points = tuple(dict.fromkeys(leaving.at for leaving in found))
    return points, sum(leaving.z for leaving in found) / len(found) if found else 0.0


@dataclass(frozen=True, kw_only=True, slots=True, order=True)
class _Leaving:
    """Where an item leaves the sign upward: the middle of its steel at the edge, and its height there."""

    at: tuple[float, float]
    z: float
    item: str


def _leaving(sign: Sign) -> list[_Leaving]:
    """Every place where steel leaves upward, left to right."""
    return sorted(leaving for item in sign.items for leaving in _leaves_at_top(sign, item))


def _leaves_at_top(sign: Sign, item: Item) -> Iterator[_Leaving]:
    """The stretches of the sign's edge under an item's steel that are top: sign below, none above."""
    sections = [(part.section(part.z), part.z) for part in item.parts]
    steel = union([shape for shape, _ in sections])
    for edge in _edges_within(sign.outline, steel):
        (x0, y0), (x1, y1) = edge.coords[0], edge.coords[-1]
        middle = edge.interpolate(0.5, normalized=True)
        above, below = (Point(middle.x, middle.y + step) for step in (_BESIDE, -_BESIDE))
        upward = sign.outline.contains(below) and not sign.outline.contains(above)
        if (
            upward
            and abs(y1 - y0) < _STEEPEST * abs(x1 - x0)
            and steel.contains(above)
            and steel.contains(below)
        ):
            heights = [z for shape, z in sections if shape.intersects(middle.buffer(_BESIDE))]
            at = (round(middle.x, 6), round(middle.y, 6))
            yield _Leaving(at=at, z=sum(heights) / len(heights), item=item.name)


def _edges_within(outline: Polygon, steel: MultiPolygon) -> Iterator[LineString]:
    """The stretches of an outline that lie within steel."""
    shared = outline.exterior.intersection(steel)
    lines = [part for part in getattr(shared, "geoms", [shared]) if isinstance(part, LineString)]
    merged = line_merge(MultiLineString([line for line in lines if line.length > SAME]))
    yield from getattr(merged, "geoms", [merged] if not merged.is_empty else [])


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
