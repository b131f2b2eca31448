"""The shop's figures: passes and what a cutter has in the board."""

import pytest
from shapely import box

from signplan.geometry.shapes import EMPTY, area_of
from signplan.job.shop import Tool
from signplan.operations.model import Clearing, Operation, Walls
from signplan.operations.practice import ALLOWANCE, STEPOVER, engagement, levels, pass_depth

TOOL = Tool(number=1, id="em", shape="flat", diameter=6, flutes=2, cutting_length=20, reach=30)
SHORT = Tool(number=2, id="short", shape="flat", diameter=12, flutes=2, cutting_length=18, reach=30)
SQUARE = area_of(box(0, 0, 10, 10))


@pytest.mark.parametrize(("tool", "depth"), [(TOOL, 12.0), (SHORT, 18.0)])
def test_a_pass_is_two_diameters_and_never_longer_than_the_flutes(tool, depth):
    assert pass_depth(tool) == depth


@pytest.mark.parametrize(
    ("top", "floor", "depths"),
    [(0, 12, [12]), (0, 12.1, [6.05, 12.1]), (5, 30, [5 + 25 / 3, 5 + 50 / 3, 30]), (4, 4, []), (4, 3, [])],
)
def test_passes_are_equally_deep_and_as_few_as_can_be(top, floor, depths):
    assert levels(top, floor, TOOL) == pytest.approx(depths)


def operation(kind, work, depth):
    return Operation(
        id="x",
        panel="A",
        face="inner",
        kind=kind,
        feature="x",
        treatment=None,
        tool="em",
        work=work,
        depth=depth,
    )


def test_what_a_cutter_has_in_the_board():
    clearing = Clearing(region=SQUARE, within=SQUARE, top=0, floor=20)
    assert engagement(operation("rough", clearing, 20), TOOL) == (10, STEPOVER * 6)
    walls = Walls(region=SQUARE, open_at=EMPTY, top=0, floor=25)
    assert engagement(operation("finish", walls, 25), TOOL) == (20, ALLOWANCE)
