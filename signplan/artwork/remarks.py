"""What a reader has to say about a drawing while it reads: findings to hand on, problems that refuse it."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from signplan.errors import InputError, Problem
from signplan.findings import Finding, Severity

_MOST_NAMED = 8


@dataclass(kw_only=True, slots=True)
class Remarks:
    """Collects what is found in one drawing; speaks in the drawing's own units.

    Attributes:
        name: the file as it is named to the person.
        scale: millimetres in one unit of the drawing.
        unit: the name of that unit.
        units_from: who says so: "file", "job", or "pixels" where only the size of a pixel is known.
    """

    name: str
    scale: float = 1.0
    unit: str = "mm"
    units_from: Literal["file", "job", "pixels"] = "file"
    findings: list[Finding] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    def at(self, point: Sequence[float]) -> str:
        """A place given in millimetres, as the person finds it in the drawing: `(1.5, 2) in`."""
        return f"({point[0] / self.scale:.6g}, {point[1] / self.scale:.6g}) {self.unit}"

    def length(self, mm: float) -> str:
        """A length given in millimetres, in the drawing's unit."""
        return f"{mm / self.scale:.4g} {self.unit}"

    def refuse(self, message: str, line: int = 0) -> None:
        """Note a reason why the drawing cannot be used; reading may go on to find more."""
        self.problems.append(Problem(file=self.name, message=message, line=line))

    def find(
        self,
        code: str,
        severity: Severity,
        message: str,
        *,
        where: str = "",
        hint: str = "",
        mm: float | None = None,
    ) -> None:
        """Note a finding; `mm` is what was measured."""
        measured = None if mm is None else mm / self.scale
        unit = "" if mm is None else self.unit
        finding = Finding(
            code=code,
            severity=severity,
            message=message,
            where=f"{self.name}: {where}" if where else self.name,
            measured=measured,
            unit=unit,
            hint=hint,
        )
        if finding not in self.findings:
            self.findings.append(finding)

    def stop_if_refused(self) -> None:
        """Raise InputError with every problem found so far, if there is one."""
        if self.problems:
            raise InputError(*self.problems[:_MOST_NAMED])


def counted(count: int, what: str) -> str:
    """`1 piece`, `2 pieces`."""
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def named(sources: Sequence[str]) -> str:
    """Handles or ids for a message, not more than a person reads."""
    few = [s if s.startswith("line ") else f"#{s}" for s in dict.fromkeys(sources) if s]
    rest = len(few) - 3
    return ", ".join(few[:3]) + (f" and {rest} more" if rest > 0 else "")
