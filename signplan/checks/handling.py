"""Can people handle it?"""

from collections.abc import Iterator

from signplan.checks.case import Case
from signplan.findings import Finding, Severity
from signplan.units import KG_PER_POUND

LIFT_KG = 23.0
"""The load constant of the NIOSH lifting equation, 51 lb: the most under ideal conditions (NIOSH 94-110)."""


def lift_weight(case: Case) -> Iterator[Finding]:
    """A sign is awkward to hold; above the load constant even an ideal lift is too much for one person."""
    mass = case.mass
    if mass is None or mass.total <= LIFT_KG:
        return
    per = KG_PER_POUND if case.units == "in" else 1.0
    weighs, most = (
        (f"{mass.total / KG_PER_POUND:.0f} lb ({mass.total:.1f} kg)", f"51 lb ({LIFT_KG:.0f} kg)")
        if case.units == "in"
        else (f"{mass.total:.1f} kg", f"{LIFT_KG:.0f} kg (51 lb)")
    )
    yield Finding(
        code="lift-weight",
        severity=Severity.WARNING,
        message=f"The sign weighs {weighs}; one person should not lift more than "
        f"{most} even in the best position, and a sign is not held in the best position.",
        where="sign",
        measured=mass.total / per,
        wanted=LIFT_KG / per,
        unit="lb" if case.units == "in" else "kg",
        hint="Plan for two people or a lift. The employer's safety programme decides.",
    )
