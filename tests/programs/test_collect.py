"""One finding for each thing that is wrong, however often it is."""

from signplan.findings import Severity
from signplan.programs.collect import MOST_SUBJECTS, Sightings
from signplan.programs.model import Sighting


def sighting(line, **more):
    return Sighting(
        **{"code": "rapid-low", "severity": Severity.ERROR, "message": f"at {line}", "line": line} | more
    )


def test_the_worst_is_quoted_and_the_lines_are_counted():
    found = Sightings()
    for line, worst in ((3, 1.0), (5, 4.0), (9, 4.0), (12, 2.0)):
        found.add(sighting(line, worst=worst, count=2, measured=worst, wanted=0.0, unit="mm"))
    [finding] = found.findings("a.nc")
    assert finding.message == "at 5 (so on 8 lines)"
    assert (finding.where, finding.measured, finding.wanted, finding.unit) == ("a.nc:5", 4.0, 0.0, "mm")


def test_one_line_is_not_counted():
    found = Sightings()
    found.add(sighting(3))
    assert found.findings("a.nc")[0].message == "at 3"


def test_subjects_stay_apart_up_to_a_limit():
    found = Sightings()
    for line in range(1, 1000):
        found.add(sighting(line, subject=str(line)))
    findings = found.findings("a.nc")
    assert len(findings) == MOST_SUBJECTS + 1
    assert findings[-1].message == "at 26; and others of this kind (so on 974 lines)"


def test_errors_come_first_then_lines():
    found = Sightings()
    found.add(sighting(9))
    found.add(sighting(1, code="program-start", severity=Severity.WARNING))
    found.add(sighting(4, code="arc-wrong"))
    assert [each.where for each in found.findings("a.nc")] == ["a.nc:4", "a.nc:9", "a.nc:1"]
