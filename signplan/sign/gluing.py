"""Glue-up in figures: where board meets board, how much adhesive, how hard to clamp. For planning only.

The adhesive's label, its safety data sheet and the board maker's own strength replace every figure.
"""

import math

from shapely import MultiPolygon

from signplan.geometry.shapes import area_of, union
from signplan.sign.model import Sign

SPREAD_G_M2 = 200.0
"""One-part polyurethane, thin, on one face: about 0.2 mm; common practice."""

CLAMP_SHARE = 0.10
"""Clamp no harder than this share of the board's compressive strength; common practice."""

_STRENGTH = ((160.18, 2.2), (240.28, 4.9), (320.37, 8.4))
"""Density kg/m3 and compressive strength MPa: grades of rigid urethane as in ASTM F1839 (from memory)."""


def glue_area(sign: Sign) -> MultiPolygon:
    """Where board meets board at the glue plane: both outlines less both panels' pockets."""
    first, second = sign.panels
    recesses = union([pocket.as_cut for panel in sign.panels for pocket in panel.pockets])
    return area_of((first.outline & second.outline) - recesses)


def glue_grams(area: float, spread: float = SPREAD_G_M2) -> float:
    """Adhesive for an area of mm2 at a spread of g/m2."""
    return area * 1e-6 * spread


def coverage(volume: float, thickness: float) -> float:
    """Area that a volume covers at a thickness; any units that belong together."""
    return volume / thickness


def clamp_force(area: float, pressure: float) -> float:
    """Force that brings a pressure, MPa, on an area, mm2: newtons."""
    return area * pressure


def compressive_strength(density: float) -> float:
    """An estimate, MPa, for a density in kg/m3: a power law between tabled grades, extended beyond them."""
    low, high = _STRENGTH[:2] if density <= _STRENGTH[1][0] else _STRENGTH[1:]
    return float(low[1] * (density / low[0]) ** strength_exponent(low, high))


def strength_exponent(low: tuple[float, float], high: tuple[float, float]) -> float:
    """The power with which strength grows between two grades of (density, strength)."""
    return math.log(high[1] / low[1]) / math.log(high[0] / low[0])


def most_clamp_pressure(density: float) -> float:
    """The hardest that foam of a density should be clamped, MPa."""
    return CLAMP_SHARE * compressive_strength(density)
