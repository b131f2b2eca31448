import pytest

from signplan.artwork.remarks import Remarks, counted, named
from signplan.errors import InputError
from signplan.findings import Severity


def test_places_and_lengths_are_in_the_units_of_the_drawing():
    remarks = Remarks(name="face.dxf", scale=25.4, unit="in")
    assert remarks.at((25.4, 12.7)) == "(1, 0.5) in"
    remarks.find("art-open", Severity.WARNING, "open", where="layer L", mm=2.54)
    (finding,) = remarks.findings
    assert (finding.where, finding.measured, finding.unit) == ("face.dxf: layer L", pytest.approx(0.1), "in")


def test_the_same_finding_is_noted_once():
    remarks = Remarks(name="face.svg")
    for _ in range(2):
        remarks.find("art-hidden", Severity.NOTE, "hidden")
    assert len(remarks.findings) == 1


def test_all_problems_go_into_one_refusal():
    remarks = Remarks(name="face.svg")
    remarks.stop_if_refused()
    remarks.refuse("<text>: cannot be cut", 7)
    remarks.refuse("<image>: cannot be cut")
    with pytest.raises(
        InputError, match=r"^face.svg:7: <text>: cannot be cut\nface.svg: <image>: cannot be cut$"
    ):
        remarks.stop_if_refused()


def test_names_and_counts():
    assert named(["2F", "2F", "", "30", "line 7", "31", "32"]) == "#2F, #30, line 7 and 2 more"
    assert (counted(1, "piece"), counted(2, "piece")) == ("1 piece", "2 pieces")
