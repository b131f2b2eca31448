"""One call for every kind of work; what comes back is a path that a machine can run."""

import numpy as np
import pytest
from shapely import LineString, box

from signplan.geometry.shapes import EMPTY, area_of
from signplan.operations.model import (
    Clearing,
    CuttingOut,
    Drilling,
    Following,
    Grooving,
    Rounding,
    Sculpting,
    Walls,
)
from signplan.sign.model import HeightMap
from signplan.toolpaths.cut import cut, missed
from signplan.toolpaths.model import Move

SQUARE = area_of(box(10, 10, 70, 50))
HEIGHTS = HeightMap(values=np.tile(np.linspace(0, 1, 30), (20, 1)), box=(10, 10, 70, 50))
KINDS = {
    "rough": ("flat", Clearing(region=SQUARE, within=SQUARE, top=0, floor=8)),
    "rest": ("flat", Clearing(region=area_of(box(10, 10, 14, 14)), within=SQUARE, top=0, floor=8)),
    "finish": ("flat", Walls(region=SQUARE, open_at=EMPTY, top=0, floor=8)),
    "incise": ("vee", Grooving(region=area_of(box(10, 10, 70, 16)), top=0, cap=9)),
    "line": ("ball", Following(lines=(LineString([(10, 10), (70, 50)]),), top=0, depth=3)),
    "relief-rough": ("flat", Sculpting(region=SQUARE, heights=HEIGHTS, depth=8, allowance=0.8)),
    "relief-finish": ("ball", Sculpting(region=SQUARE, heights=HEIGHTS, depth=8, allowance=0)),
    "edge": ("round-over", Rounding(outline=SQUARE.geoms[0], depth=3)),
    "bore": ("drill", Drilling(points=((20, 20), (60, 40)), diameter=6, top=0, depth=20)),
    "dowel": ("flat", Drilling(points=((20, 20), (60, 40)), diameter=10, top=0, depth=20)),
    "cutout": ("flat", CuttingOut(outline=SQUARE.geoms[0], depth=38, left=5, tabs=4, tab_width=8)),
}
FORM = {"vee": {"angle": 60}, "round-over": {"radius": 2.0}}


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_work_has_a_sound_path(kind, machine, tool, operation):
    shape, work = KINDS[kind]
    cutter = tool(shape, 6, **FORM.get(shape, {}))
    path = cut(operation(kind, cutter, work, 8), cutter, machine)
    assert np.isfinite(path.points).all()
    assert path.points.shape == (len(path.moves) + 1, 3)
    assert path.points[[0, -1], 2].tolist() == [10, 10]
    assert path.points[0, :2].tolist() == path.points[1, :2].tolist()
    assert path.points[-1, :2].tolist() == path.points[-2, :2].tolist()
    assert path.cut_length > 0
    assert set(path.moves) <= set(Move)


@pytest.mark.parametrize("kind", KINDS)
def test_no_rapid_goes_sideways_below_the_face(kind, machine, tool, operation):
    shape, work = KINDS[kind]
    cutter = tool(shape, 6, **FORM.get(shape, {}))
    path = cut(operation(kind, cutter, work, 8), cutter, machine)
    steps = np.diff(path.points, axis=0)
    sideways = (np.linalg.norm(steps[:, :2], axis=1) > 1e-9) & (path.moves == Move.RAPID)
    assert (np.minimum(path.points[:-1, 2], path.points[1:, 2])[sideways] == 10).all()


@pytest.mark.parametrize("kind", KINDS)
def test_no_move_is_empty(kind, machine, tool, operation):
    shape, work = KINDS[kind]
    cutter = tool(shape, 6, **FORM.get(shape, {}))
    path = cut(operation(kind, cutter, work, 8), cutter, machine)
    assert np.linalg.norm(np.diff(path.points, axis=0), axis=1).min() > 0


def test_a_cutter_that_finds_no_way_in_waits_above_and_misses_all(machine, tool, operation):
    cutter = tool("flat", 50)
    work = Clearing(region=SQUARE, within=SQUARE, top=0, floor=8)
    rough = operation("rough", cutter, work, 8)
    path = cut(rough, cutter, machine)
    assert path.points[:, 2].tolist() == [10, 10]
    assert missed(rough, cutter) == pytest.approx(SQUARE.area)
