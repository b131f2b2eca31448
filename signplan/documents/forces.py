"""Forces and areas as the sheets say them, in the job's units."""

from signplan.sign.wind import NEWTONS_PER_POUND
from signplan.units import Units


def area(mm2: float, units: Units) -> str:
    """An area in the job's units.

    >>> area(64516, "in"), area(64516, "mm")
    ('100 in²', '645 cm²')
    """
    return f"{mm2 / 25.4**2:.0f} in²" if units == "in" else f"{mm2 / 100:.0f} cm²"


def force(newtons: float, units: Units) -> str:
    """A force in the job's units.

    >>> force(100.0, "in"), force(1234.0, "mm")
    ('22 lb', '1234 N')
    """
    return f"{newtons / NEWTONS_PER_POUND:.0f} lb" if units == "in" else f"{newtons:.0f} N"
