"""What a check has to say about a job: one record, one table of codes.

A finding never stops the others. Codes are stable; each names one rule of the shop and is explained in
`signplan.checks.explain`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How bad it is: an error spoils a panel, a warning needs a decision, a note is worth knowing."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One thing that a check found.

    Attributes:
        code: the rule, in our own words, such as `web-thin`.
        severity: error, warning or note.
        message: one sentence for a person, with numbers in the job's units.
        where: job key (`hardware[1].diameter`), drawing handle, or panel and position.
        measured, wanted: the two numbers that were compared, in `unit`; None where nothing was measured.
        hint: what to do about it.
        spot: the place in the assembly frame, mm, as (x, y) or (x, y, z); empty if it has none.
        panel: "A" or "B" if the place is on one panel.
    """

    code: str
    severity: Severity
    message: str
    where: str = ""
    measured: float | None = None
    wanted: float | None = None
    unit: str = ""
    hint: str = ""
    spot: tuple[float, ...] = ()
    panel: str = ""


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The gravest severity present, or None if there is no finding."""
    present = {finding.severity for finding in findings}
    return next((severity for severity in Severity if severity in present), None)


def in_reading_order(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Errors first, then by code and place; the same findings always come out in the same order."""
    rank = {severity: place for place, severity in enumerate(Severity)}
    return tuple(sorted(findings, key=lambda f: (rank[f.severity], f.code, f.where, f.spot, f.message)))
