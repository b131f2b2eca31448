"""Sightings to findings: one finding for each thing that is wrong, however many lines it is wrong on."""

from dataclasses import replace

from signplan.findings import Finding, Severity
from signplan.programs.model import Sighting

MOST_SUBJECTS = 25
"""Findings of one code in one file; a file with more is wrong as a whole, and the rest are counted."""

_RANK = {severity: place for place, severity in enumerate(Severity)}


class Sightings:
    """Gathers sightings of one file; its size does not grow with the file."""

    def __init__(self) -> None:
        self._found: dict[tuple[str, str], Sighting] = {}
        self._codes: dict[str, int] = {}
        self._more: dict[str, Sighting] = {}

    def add(self, sighting: Sighting) -> None:
        """One more."""
        key = sighting.code, sighting.subject
        if key in self._found:
            self._found[key] = _merged(self._found[key], sighting)
        elif self._codes.get(sighting.code, 0) < MOST_SUBJECTS:
            self._codes[sighting.code] = self._codes.get(sighting.code, 0) + 1
            self._found[key] = sighting
        elif sighting.code in self._more:
            more = self._more[sighting.code]
            self._more[sighting.code] = replace(more, count=more.count + sighting.count)
        else:
            self._more[sighting.code] = replace(
                sighting, message=f"{sighting.message}; and others of this kind", worst=0.0
            )

    def findings(self, file: str) -> tuple[Finding, ...]:
        """All of them as findings: the gravest first, then as they stand in the file."""
        every = [*self._found.values(), *self._more.values()]
        every.sort(key=lambda each: (_RANK[each.severity], each.line, each.code, each.subject))
        return tuple(finding(each, file) for each in every)


def _merged(one: Sighting, more: Sighting) -> Sighting:
    quoted = more if more.worst > one.worst else one
    return replace(quoted, count=one.count + more.count)


def finding(sighting: Sighting, file: str) -> Finding:
    """A sighting as a finding; where it stands on more than one line, it says on how many."""
    message = sighting.message
    if sighting.count > 1:
        message += f" (so on {sighting.count} lines)"
    return Finding(
        code=sighting.code,
        severity=sighting.severity,
        message=message,
        where=f"{file}:{sighting.line}",
        measured=sighting.measured,
        wanted=sighting.wanted,
        unit=sighting.unit,
        hint=sighting.hint,
    )
