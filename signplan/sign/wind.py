"""Wind on a sign, as a reminder: the published formula with the figures of the place. It approves nothing.

Formulas of ASCE 7, chapters 26 and 29, in the customary units that they are written in: pounds, feet, miles
per hour. The constants were checked against worked sheets of the 7-05 and 7-10 editions; those of 7-22 are
from memory. Local codes ask for more: a licensed engineer and the building official decide.
"""

import math
from dataclasses import dataclass

import numpy as np

from signplan.job.model import Job
from signplan.sign.hanging import STANDARD_GRAVITY, couple
from signplan.sign.model import Sign

MM_PER_FOOT = 304.8
MPH_PER_M_S = 3600 / 1609.344
PASCALS_PER_PSF = 4.4482216152605 / 0.3048**2
NEWTONS_PER_POUND = 4.4482216152605

LEAST_PSF = 16.0
"""Least strength-level pressure, lb/ft2 (ASCE 7-16, 29.7)."""

ALLOWABLE = 0.6
"""Allowable-stress level over strength level, from the load combinations of ASCE 7-10 on."""

_OLDER = (2.01, {"B": (7.0, 1200.0), "C": (9.5, 900.0), "D": (11.5, 700.0)})
_NEWER = (2.41, {"B": (7.5, 3280.0), "C": (9.8, 2460.0), "D": (11.5, 1935.0)})
_EXPOSURE = {"ASCE 7-10": _OLDER, "ASCE 7-16": _OLDER, "ASCE 7-22": _NEWER}
"""Factor, and by exposure alpha and the height of the gradient wind zg, ft."""

_CLEAR = (0.16, 0.2, 0.3, 0.5, 0.7, 0.9, 1.0)
_WIDE = (1.0, 2.0)
_CF = ((1.80, 1.80, 1.80, 1.75, 1.65, 1.55, 1.45), (1.80, 1.80, 1.80, 1.70, 1.60, 1.50, 1.40))
"""Cf of cases A and B by s/h for B/s of 1 and 2 (ASCE 7-16, fig. 29.3-1; from memory, one point checked)."""

SOLID = 0.7
"""A sign with openings of less than 30 % counts as solid."""


@dataclass(frozen=True, kw_only=True, slots=True)
class WindLoad:
    """What the wind may do. `pressure` q in lb/ft2; forces in pounds, normal to the face.

    Attributes:
        exposure_factor, force_coefficient: Kz and Cf.
        area: ft2 of the outline's box.
        force: strength level; `allowable`: the same at allowable-stress level.
        governs: "formula", or "least pressure" where the least that the code asks for is more.
        swing: how far a sign that hangs free from its top would stand out, degrees.
        bracket: pull between the bolts of a bracket, pounds; None if it has none.
    """

    edition: str
    pressure: float
    exposure_factor: float
    force_coefficient: float
    area: float
    force: float
    allowable: float
    governs: str
    swing: float
    bracket: float | None = None


def wind_load(sign: Sign, kilograms: float, job: Job) -> WindLoad | None:
    """The wind on a sign that stands or hangs free; None if none is stated, or flat on a wall.

    Flat on a wall the wall's own rules hold (7-16, 29.3.2), and no figure is given.
    """
    wind, bracket = job.wind, _bracket(job)
    if wind is None or wind.mounted == "wall":
        return None
    feet_wide, feet_high = sign.width / MM_PER_FOOT, sign.height / MM_PER_FOOT
    height, area = wind.height / MM_PER_FOOT, feet_wide * feet_high
    speed = wind.speed_mph or (wind.speed_m_s or 0.0) * MPH_PER_M_S
    kz = exposure_factor(height, wind.exposure, wind.edition)
    cf = wind.force_coefficient or force_coefficient(feet_wide / feet_high, min(1.0, feet_high / height))
    solidity = sign.outline.area / (sign.width * sign.height)
    q = velocity_pressure(speed, kz, topography=wind.topography, directionality=wind.directionality)
    by_formula = solid_sign_force(q, area, cf, gust=wind.gust)
    by_formula *= 1.0 if solidity > SOLID else openings_factor(solidity)
    force = max(by_formula, wind.least_psf * area)
    weight = kilograms * STANDARD_GRAVITY / NEWTONS_PER_POUND
    return WindLoad(
        edition=wind.edition,
        pressure=q,
        exposure_factor=kz,
        force_coefficient=cf,
        area=area,
        force=force,
        allowable=ALLOWABLE * force,
        governs="formula" if by_formula == force else "least pressure",
        swing=swing(ALLOWABLE * force / weight),
        bracket=couple(ALLOWABLE * force * bracket[0], bracket[1]) if bracket else None,
    )


def _bracket(job: Job) -> tuple[float, float] | None:
    """Arm and spacing of the bolts of a bracket, mm."""
    arm, bolts = job.hanging.arm, job.hanging.bolts
    return (arm, bolts) if arm and bolts else None


def exposure_factor(height: float, exposure: str, edition: str) -> float:
    """Velocity pressure exposure coefficient Kz = k (max(z, 15) / zg)^(2 / alpha), z in feet.

    Table 26.10-1 and its notes; k is 2.01 up to 7-16 and 2.41 in 7-22, which are not to be mixed.

    >>> round(exposure_factor(20, "D", "ASCE 7-10"), 5)
    1.08308
    """
    factor, constants = _EXPOSURE[edition]
    alpha, gradient = constants[exposure]
    return float(factor * (max(height, 15.0) / gradient) ** (2 / alpha))


def velocity_pressure(
    speed: float, exposure: float, *, topography: float = 1.0, directionality: float = 0.85
) -> float:
    """Velocity pressure, lb/ft2: 0.00256 Kz Kzt Kd V^2, V in mph.

    7-22 moves Kd from here to the force, which comes out the same; it is kept here for all editions.

    >>> round(velocity_pressure(155, 1.083), 2)
    56.62
    """
    return 0.00256 * exposure * topography * directionality * speed**2


def solid_sign_force(pressure: float, area: float, force_coefficient: float, *, gust: float = 0.85) -> float:
    """Strength-level force on a freestanding solid sign, pounds: q G Cf As (ASCE 7-10, 29.4-1)."""
    return pressure * gust * force_coefficient * area


def force_coefficient(aspect: float, clearance: float) -> float:
    """Cf of cases A and B for width / height (B/s) and sign height / height of its top (s/h).

    Interpolated; beyond the part of the figure that is kept here, the greatest value in it.
    """
    if not _WIDE[0] <= aspect <= _WIDE[1]:
        return 1.80
    narrow, wide = (float(np.interp(clearance, _CLEAR, row)) for row in _CF)
    return narrow + (wide - narrow) * (aspect - _WIDE[0]) / (_WIDE[1] - _WIDE[0])


def openings_factor(solidity: float) -> float:
    """What openings leave of the force: 1 - (1 - e)^1.5, e the share that is solid."""
    return float(1 - (1 - solidity) ** 1.5)


def swing(ratio: float) -> float:
    """How far a sign that hangs free from its top stands out in a steady wind, degrees.

    Wind force over weight is `ratio`. Pressure acts on the height that the sign still shows, so
    sin(a) = ratio cos^2(a). A real one gusts and flaps: fit a restraint.

    >>> round(swing(1.0), 3)
    38.173
    """
    if not ratio:
        return 0.0
    return math.degrees(math.asin((math.sqrt(1 + 4 * ratio**2) - 1) / (2 * ratio)))
