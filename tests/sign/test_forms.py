"""Forms of cutters, against their undersides as the removal check knows them."""

import math

import numpy as np
import pytest

from signplan.job.shop import Tool
from signplan.sign.forms import edge_depth, edge_inset
from signplan.toolpaths.contour import edge_offset
from signplan.toolpaths.removal import underside

FORMS = [
    ("round-over", {"radius": 6.0}),
    ("ogee", {"radius": 4.0, "rise": 5.0}),
    ("ogee", {"radius": 3.0, "rise": 6.0}),
    ("vee", {"angle": 60.0, "tip": 1.0}),
    ("ball", {}),
]


def cutter(shape: str, form: dict[str, float]) -> Tool:
    return Tool(
        number=1, id="t", shape=shape, diameter=24.0, flutes=2, cutting_length=30.0, reach=40.0, **form
    )


@pytest.mark.parametrize(("shape", "form"), FORMS)
def test_the_inset_of_an_edge_is_where_the_underside_is_that_high(shape, form):
    tool = cutter(shape, form)
    for up in np.linspace(0.05, edge_depth(tool) - 0.05, 40).tolist():
        inset = edge_inset(tool, up)
        assert underside(tool, np.array([inset + edge_offset(tool)]))[0] == pytest.approx(up, abs=1e-9)


@pytest.mark.parametrize(
    ("shape", "form", "depth", "inset"),
    [
        ("round-over", {"radius": 6.0}, 6.0, 6.0),
        ("ogee", {"radius": 4.0, "rise": 5.0}, 5.0, math.sqrt(5 * 11)),
        ("vee", {"angle": 90.0}, 12.0, 12.0),
        ("ball", {}, 12.0, 12.0),
    ],
)
def test_an_edge_is_as_deep_and_wide_as_its_form(shape, form, depth, inset):
    tool = cutter(shape, form)
    assert edge_depth(tool) == depth
    assert edge_inset(tool, depth) == pytest.approx(inset)
    assert edge_inset(tool, depth + 3) == pytest.approx(inset), "above its form it is no wider"
