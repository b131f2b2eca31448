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


def test_an_unknown_weight_is_not_judged(judge):
    assert list(lift_weight(judge("").case)) == []
