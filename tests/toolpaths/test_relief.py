"""Reliefs: roughed above the surface, finished onto it, the face round it untouched."""

import math

import numpy as np
import pytest
from shapely import Point, box

from signplan.geometry.heightfield import Grid
from signplan.geometry.shapes import area_of
from signplan.operations.model import Sculpting
from signplan.operations.practice import SCALLOP
from signplan.sign.model import HeightMap
from signplan.toolpaths.cut import cut
from signplan.toolpaths.model import Move
from signplan.toolpaths.relief import board_heights, row_step
from signplan.toolpaths.removal import BoardField

WIDE, HIGH, DEPTH = 60.0, 40.0, 8.0
ROW, COLUMN = np.mgrid[0:80, 0:120] / 20
WAVES = 0.5 + 0.5 * np.sin(COLUMN * 1.7) * np.cos(ROW * 1.3)
CLIFF = np.where(COLUMN < 3, 1.0, 0.1) * np.ones_like(ROW)
DOME = np.clip(1 - ((COLUMN - 3) ** 2 + (ROW - 2) ** 2) / 4, 0, 1)


def sculpting(values: np.ndarray, allowance: float = 0.0, region=None) -> Sculpting:
    return Sculpting(
        region=area_of(region or box(0, 0, WIDE, HIGH)),
        heights=HeightMap(values=values, box=(0, 0, WIDE, HIGH)),
        depth=DEPTH,
        allowance=allowance,
    )


def swept(path, tool, board: BoardField | None = None) -> BoardField:
    return (board or BoardField.over((-4, -4, WIDE + 4, HIGH + 4), 0.4)).cut(path, tool)


def over_surface(board: BoardField, work: Sculpting) -> np.ndarray:
    """What stands over the relief, cell by cell; negative where it was cut into."""
    cell = board.x[1] - board.x[0]
    grid = Grid(x0=board.x[0], y0=board.y[0], dx=cell, dy=cell, rows=len(board.y), columns=len(board.x))
    return board.heights - board_heights(work, grid)


@pytest.mark.parametrize("values", [WAVES, CLIFF, DOME], ids=["waves", "cliff", "dome"])
def test_roughing_leaves_its_allowance_and_does_not_touch_the_relief(values, machine, tool, operation):
    flat = tool("flat", 10)
    work = sculpting(values, allowance=0.8)
    board = swept(cut(operation("relief-rough", flat, work, DEPTH), flat, machine), flat)
    assert over_surface(board, work)[board.heights < 0].min() > 0.8 - 0.25, (
        "less by what the slope rises between samples"
    )
    assert board.struck == 0


@pytest.mark.parametrize("values", [WAVES, CLIFF, DOME], ids=["waves", "cliff", "dome"])
def test_finishing_does_not_cut_below_the_relief(values, machine, tool, operation):
    ball = tool("ball", 6)
    work = sculpting(values)
    board = swept(cut(operation("relief-finish", ball, work, DEPTH), ball, machine), ball)
    over = over_surface(board, work)
    assert over.min() > -0.1, "at worst, on the steep wall round the region"
    assert over[board.inside(box(4, 4, WIDE - 4, HIGH - 4))].min() > -0.06
    assert board.struck == 0


def test_a_smooth_relief_is_finished_to_its_scallop(machine, tool, operation):
    ball = tool("ball", 6)
    work = sculpting(WAVES)
    board = swept(cut(operation("relief-finish", ball, work, DEPTH), ball, machine), ball)
    inner = board.inside(box(6, 6, WIDE - 6, HIGH - 6))
    assert np.percentile(over_surface(board, work)[inner], 90) < 3 * SCALLOP


def test_what_lies_outside_the_region_keeps_its_face(machine, tool, operation):
    ball = tool("ball", 6)
    round_region = Point(30, 20).buffer(15)
    work = sculpting(np.zeros((80, 120)), region=round_region)
    board = swept(cut(operation("relief-finish", ball, work, DEPTH), ball, machine), ball)
    assert board.heights[~board.inside(round_region.buffer(0.1))].min() > -0.1
    assert board.heights.min() == pytest.approx(-DEPTH, abs=1e-4)


def test_roughing_goes_down_in_passes(machine, tool, operation):
    flat = tool("flat", 3)
    work = sculpting(np.zeros((80, 120)), allowance=0.8)
    board = swept(cut(operation("relief-rough", flat, work, DEPTH), flat, machine), flat)
    assert board.bite < 6 + 0.01


def test_a_mirrored_map_is_cut_mirrored(machine, tool, operation):
    ball = tool("ball", 6)
    work = sculpting(CLIFF)
    mirrored = Sculpting(
        region=work.region,
        heights=HeightMap(values=CLIFF, box=work.heights.box, mirrored=True),
        depth=DEPTH,
        allowance=0.0,
    )
    first = cut(operation("relief-finish", ball, work, DEPTH), ball, machine)
    second = cut(operation("relief-finish", ball, mirrored, DEPTH), ball, machine)
    assert swept(first, ball).heights == pytest.approx(swept(second, ball).heights[:, ::-1], abs=1e-3)


def test_a_level_map_has_nothing_to_cut(machine, tool, operation):
    ball = tool("ball", 6)
    path = cut(operation("relief-finish", ball, sculpting(np.ones((8, 8))), DEPTH), ball, machine)
    assert path.points[:, 2].min() == machine.clearance_z
    assert path.moves.tolist() == [Move.RAPID]


@pytest.mark.parametrize(("diameter", "scallop"), [(6.0, 0.02), (3.0, 0.01)])
def test_rows_leave_ridges_of_the_height_asked_for(diameter, scallop, tool):
    step = row_step(tool("ball", diameter), scallop)
    radius = diameter / 2
    assert radius - math.sqrt(radius**2 - (step / 2) ** 2) == pytest.approx(scallop)
