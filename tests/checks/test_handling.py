"""Weight that people lift."""

from dataclasses import replace

import pytest

from signplan.checks.handling import LIFT_KG, lift_weight
from signplan.sign.mass import Mass


@pytest.mark.parametrize(("total", "codes"), [(23.01, ["lift-weight"]), (23.0, [])])
def test_lift_weight(judge, total, codes):
    """NIOSH 94-110: the load constant is 23 kg, 51 lb."""
    case = replace(judge("").case, mass=Mass(board=total - 5, steel=5.0, centroid=(0, 0, 0)))
    found = list(lift_weight(case))
    assert [f.code for f in found] == codes
    assert LIFT_KG == 23.0
    if codes:
        assert "The sign weighs 23.0 kg; one person" in found[0].message
        assert found[0].unit == "kg"


def test_pounds_come_first_in_an_inch_job(judge):
    case = judge("").case
    head = case.job.job.model_copy(update={"units": "in"})
    case = replace(
        case,
        job=case.job.model_copy(update={"job": head}),
        mass=Mass(board=20.0, steel=10.0, centroid=(0, 0, 0)),
    )
    (finding,) = lift_weight(case)
    assert "weighs 66 lb (30.0 kg); one person should not lift more than 51 lb (23 kg)" in finding.message
    assert (finding.unit, round(finding.measured or 0), round(finding.wanted or 0)) == ("lb", 66, 51)


def test_an_unknown_weight_is_not_judged(judge):
    assert list(lift_weight(judge("").case)) == []
