"""Carvings whose depth cannot be meant: in ground that is deeper already, or deeper than the panel."""

from collections.abc import Iterator, Sequence

from shapely import Polygon

from signplan.findings import Finding, Severity
from signplan.geometry.precision import SAME
from signplan.geometry.shapes import union
from signplan.operations.shortfalls import Spot
from signplan.sign.carving import LOWERING
from signplan.sign.model import Carving
from signplan.units import decimal, fine, to_units

INSIDE = 0.99
"""A shape lies in lowered ground if this share of it does; the rest is what drawings are out by."""

FROM_THE_FACE = ("raise", "lower", "relief", "bore")
"""Treatments whose depth counts from the face whatever ground they lie in."""


def wrong_depths(
    carving: Carving, among: Sequence[Carving], *, thickness: float, spot: Spot
) -> Iterator[Finding]:
    """`carving-deep` for what would come out through the panel, `carving-lost` for what would cut only air.

    Args:
        among: all carvings of its face, each with the ground that it stands on.
    """
    deep = carving.ground + carving.depth
    if carving.treatment != "bore" and deep >= thickness - SAME:
        yield _through(carving, deep, thickness, spot)
    elif carving.treatment in FROM_THE_FACE:
        yield from _in_deeper_ground(carving, among, deep, spot)


def _through(carving: Carving, deep: float, thickness: float, spot: Spot) -> Finding:
    units = spot.units
    counted = f", counted from ground {decimal(carving.ground, units)} low" if carving.ground else ""
    return Finding(
        code="carving-deep",
        severity=Severity.ERROR,
        message=f"On side {spot.panel}, '{carving.treatment}' goes {decimal(deep, units)} below the face"
        f"{counted}; the panel is {decimal(thickness, units)} thick.",
        where=spot.key,
        measured=to_units(deep, units),
        wanted=to_units(thickness, units),
        unit=units,
        hint="Carve it less deep or use thicker board; what is to go through is cut as 'bore'.",
        panel=spot.panel,
    )


def _in_deeper_ground(
    carving: Carving, among: Sequence[Carving], deep: float, spot: Spot
) -> Iterator[Finding]:
    """An error if all of the carving is lost, a warning if some shapes of it are."""
    grounds = [each for each in among if each is not carving and _swallows(each, carving, deep)]
    below = union(each.shape for each in grounds)
    shapes = carving.shape.geoms
    lost = [each for each in shapes if each.intersection(below).area >= INSIDE * each.area]
    if not lost:
        return
    ground = max(grounds, key=lambda each: each.shape.intersection(lost[0]).area)
    units, low = spot.units, decimal(ground.depth, spot.units)
    x, y = lost[0].representative_point().coords[0]
    unknown = carving.treatment == "bore" and carving.depth < SAME
    asked = "no deeper than that" if unknown else f"{decimal(deep, units)} deep"
    yield Finding(
        code="carving-lost",
        severity=Severity.ERROR if len(lost) == len(shapes) else Severity.WARNING,
        message=f"On side {spot.panel}, {_which(carving, lost)} in ground already lowered by {low} "
        f"('{ground.treatment}', {ground.key}), as at ({fine(x, units)}, {fine(y, units)}); "
        f"a cut {asked} would meet only air.",
        where=spot.key,
        measured=None if unknown else to_units(deep, units),
        wanted=to_units(ground.depth, units),
        unit=units,
        hint=f"Make 'depth' more than {low}, for it counts from the face, or keep the ground away from it.",
        spot=(x, y),
        panel=spot.panel,
    )


def _swallows(ground: Carving, carving: Carving, deep: float) -> bool:
    """Whether nothing of a carving is seen in that ground; a level one may share a floor of its own depth."""
    if ground.treatment not in LOWERING:
        return False
    level = carving.treatment in LOWERING
    return ground.depth > deep + SAME if level else ground.depth >= deep - SAME


def _which(carving: Carving, lost: Sequence[Polygon]) -> str:
    count = len(carving.shape.geoms)
    if count == 1:
        return f"'{carving.treatment}' lies"
    share = f"all {count}" if len(lost) == count else f"{len(lost)} of {count}"
    return f"{share} shapes of '{carving.treatment}' lie"
