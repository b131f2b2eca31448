"""Will it hang straight, and within what its hangers may carry? Reminders: an engineer decides."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from signplan.findings import Finding, Severity
from signplan.sign.hanging import HangingLoads
from signplan.units import KG_PER_POUND, Units

LEAN = 1.0
"""Degrees out of true that people see; common practice."""

ASK = "A licensed engineer and the building official decide how it is hung."


@dataclass(frozen=True, kw_only=True, slots=True)
class Hung:
    """How a sign hangs, in the units of its job; `loads` is None if it hangs from nothing."""

    loads: HangingLoads | None
    units: Units

    def weight(self, kilograms: float) -> str:
        """A weight in the job's units."""
        return f"{kilograms / KG_PER_POUND:.1f} lb" if self.units == "in" else f"{kilograms:.1f} kg"

    @property
    def steel(self) -> str:
        """Which steel carries, in parentheses, as a message says it; empty at points that the job states."""
        names = dict.fromkeys(share.by for share in self.loads.shares if share.by) if self.loads else {}
        return f" ({' and '.join(repr(name) for name in names)})" if names else ""

    def number(self, kilograms: float) -> float:
        """The number of a weight in the job's units."""
        return kilograms / KG_PER_POUND if self.units == "in" else kilograms


def hang_slack(hung: Hung) -> Iterator[Finding]:
    """With the weight outside its two points a sign tips until one hanger is slack."""
    if hung.loads and hung.loads.slack:
        left, right = hung.loads.shares
        yield Finding(
            code="hang-slack",
            severity=Severity.WARNING,
            message=f"The centre of gravity lies outside the two hanging points{hung.steel}: they would "
            f"carry {hung.weight(left.load)} and {hung.weight(right.load)}, so one goes slack and the sign "
            "tips.",
            where="hanging",
            measured=hung.number(min(left.load, right.load)),
            wanted=0.0,
            unit="lb" if hung.units == "in" else "kg",
            hint="Set the points to both sides of the centre of gravity.",
        )


def hang_lean(hung: Hung) -> Iterator[Finding]:
    """A sign hangs with its centre of gravity under its points: one that is not made so leans."""
    if not hung.loads:
        return
    for angle, way in ((hung.loads.lean, "front to back"), (hung.loads.tilt, "sideways")):
        if abs(angle) > LEAN:
            yield Finding(
                code="hang-lean",
                severity=Severity.NOTE,
                message=f"Hung free{hung.steel}, the sign leans {abs(angle):.1f} degrees {way}.",
                where="hanging",
                measured=abs(angle),
                wanted=LEAN,
                unit="degrees",
                hint="Move the points over the centre of gravity, or tie the foot.",
            )


def hang_load(hung: Hung) -> Iterator[Finding]:
    """A hanger carries its breaking load over the design factor, and no more."""
    working = hung.loads.working if hung.loads else None
    if hung.loads is None or working is None:
        return
    worst = max(hung.loads.shares, key=lambda share: share.tension)
    most, name = worst.tension, f"'{worst.by}'" if worst.by else "A hanger"
    if most > working:
        yield Finding(
            code="hang-load",
            severity=Severity.WARNING,
            message=f"{name} pulls {hung.weight(most)} by the sign's weight alone; by its breaking load "
            f"and the design factor it may carry {hung.weight(working)}.",
            where="hanging",
            measured=hung.number(most),
            wanted=hung.number(working),
            unit="lb" if hung.units == "in" else "kg",
            hint=ASK,
        )


CHECKS: tuple[Callable[[Hung], Iterator[Finding]], ...] = (hang_slack, hang_lean, hang_load)
"""One rule of the shop each, one code each."""


def check_hanging(hung: Hung) -> Iterator[Finding]:
    """What stands against the way that a sign hangs."""
    for check in CHECKS:
        yield from check(hung)
