from itertools import permutations

from signplan.findings import Finding, Severity, in_reading_order, worst


def finding(code, severity, where="", spot=()):
    return Finding(code=code, severity=severity, message="m", where=where, spot=spot)


def test_the_worst_of_some_findings():
    note, warning, error = (
        finding("a", severity) for severity in (Severity.NOTE, Severity.WARNING, Severity.ERROR)
    )
    assert worst([note, error, warning]) is Severity.ERROR
    assert worst([note, warning]) is Severity.WARNING
    assert worst([]) is None


def test_errors_come_first_then_codes_and_places_whatever_order_they_were_found_in():
    ordered = (
        finding("b", Severity.ERROR),
        finding("a", Severity.WARNING, "carve[0]"),
        finding("a", Severity.WARNING, "carve[1]", (1.0, 2.0)),
        finding("a", Severity.WARNING, "carve[1]", (1.0, 2.0, 3.0)),
        finding("a", Severity.NOTE),
    )
    assert {in_reading_order(order) for order in permutations(ordered)} == {ordered}
