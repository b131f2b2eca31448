"""The removal check finds nothing wrong with good paths, and everything that is seeded into bad ones."""

from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, box

from signplan.geometry.shapes import EMPTY, area_of
from signplan.operations.model import (
    Channelling,
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
from signplan.toolpaths.cut import cut
from signplan.toolpaths.model import Move, Toolpath
from signplan.toolpaths.proof import removal

PLATE = area_of(box(0, 0, 50, 30).difference(Point(20, 15).buffer(5, quad_segs=32)))
CHANNEL = area_of(LineString([(0, 0), (50, 30)]).buffer(3, quad_segs=64))
SHALLOW = area_of(LineString([(0, 0), (50, 30)]).buffer(8**0.5, quad_segs=64))
MAP = HeightMap(values=0.5 + 0.5 * np.sin(np.mgrid[0:30, 0:50][1] / 9), box=(0, 0, 50, 30))
WORKS = [
    ("finish", "flat", {}, Walls(region=PLATE, open_at=EMPTY, top=0, floor=6)),
    ("dowel", "flat", {}, Drilling(points=((10, 10), (40, 20)), diameter=9, top=0, depth=12)),
    ("bore", "drill", {}, Drilling(points=((10, 10), (40, 20)), diameter=6, top=0, depth=12)),
    ("incise", "vee", {"angle": 60}, Grooving(region=area_of(box(0, 0, 50, 5)), top=0, cap=9)),
    (
        "channel",
        "ball",
        {},
        Channelling(lines=(LineString([(0, 0), (50, 30)]),), region=CHANNEL, radius=3, depth=8),
    ),
    (
        "channel",
        "ball",
        {"plunges": False},
        Channelling(lines=(LineString([(0, 0), (50, 30)]),), region=SHALLOW, radius=3, depth=2),
    ),
    ("line", "ball", {}, Following(lines=(LineString([(0, 0), (50, 30)]),), top=0, depth=2)),
    (
        "relief-finish",
        "ball",
        {},
        Sculpting(region=area_of(box(0, 0, 50, 30)), heights=MAP, depth=5, allowance=0),
    ),
    ("edge", "round-over", {"radius": 2.0}, Rounding(outline=box(0, 0, 50, 30), depth=2)),
    ("edge", "ogee", {"radius": 1.0, "rise": 1.2}, Rounding(outline=box(0, 0, 50, 30), depth=1.2)),
    ("edge", "vee", {"angle": 90.0}, Rounding(outline=box(0, 0, 50, 30), depth=2)),
    ("cutout", "flat", {}, CuttingOut(outline=box(0, 0, 50, 30), depth=12, left=3, tabs=0, tab_width=0)),
    ("cutout", "flat", {}, CuttingOut(outline=box(0, 0, 50, 30), depth=12, left=3, tabs=4, tab_width=5)),
]


@pytest.fixture
def ran(machine, tool, operation):
    """Operations with cutters of 6 mm and their paths."""

    def make(kind, shape, more, work):
        cutter = tool(shape, 6, **more)
        made = operation(kind, cutter, work, getattr(work, "depth", 6.0))
        return made, cutter, cut(made, cutter, machine)

    return make


@pytest.fixture
def cleared(ran):
    """A region roughed and finished."""
    inset = area_of(PLATE.buffer(-0.4))
    rough = ran("rough", "flat", {}, Clearing(region=inset, within=inset, top=0, floor=6))
    return [rough, ran(*WORKS[0])]


@pytest.mark.parametrize("kind", WORKS[1:], ids=lambda each: each[0])
def test_a_sound_path_does_what_was_asked(kind, ran):
    found = removal([ran(*kind)], cell=0.25)
    assert found.struck < 1e-9
    assert found.below < 0.06
    assert found.outside == 0
    if kind[0] != "cutout" and kind[0] != "relief-finish":
        assert found.left < 1


@pytest.mark.parametrize(("ball", "wrong"), [(7, "outside"), (5, "left")])
def test_a_channel_of_another_ball_is_told(ball, wrong, machine, tool, operation):
    """Wider by 0.5 on each side it cuts beside the channel; narrower, it leaves its walls."""
    work = Channelling(lines=(LineString([(0, 0), (50, 0)]),), region=CHANNEL, radius=3, depth=8)
    work = replace(work, region=area_of(work.lines[0].buffer(3, quad_segs=64)))
    cutter = tool("ball", ball)
    made = operation("channel", cutter, work, 8.0)
    found = removal([(made, cutter, cut(made, cutter, machine))], cell=0.25)
    assert getattr(found, wrong) > 20


def test_a_region_roughed_and_finished_is_whole_but_for_its_corners(cleared):
    found = removal(cleared, cell=0.25)
    assert (found.struck, found.below, found.outside) == (0, 0, 0)
    assert found.left == pytest.approx(found.missed, abs=0.6)
    assert found.feature == "A/outer/test"


def altered(path: Toolpath, shift: tuple[float, float, float] = (0, 0, 0)) -> Toolpath:
    return replace(path, points=path.points + shift)


def test_a_path_out_of_place_cuts_outside(cleared):
    operation, tool, path = cleared[1]
    found = removal([cleared[0], (operation, tool, altered(path, (0.5, 0, 0)))], cell=0.25)
    assert found.outside > 5


def test_a_path_too_deep_cuts_below(cleared):
    operation, tool, path = cleared[1]
    found = removal([cleared[0], (operation, tool, altered(path, (0, 0, -0.3)))], cell=0.25)
    assert found.below == pytest.approx(0.3)


def test_without_its_roughing_the_middle_stands(cleared):
    assert removal(cleared[1:], cell=0.25).left > 100


def test_a_rapid_through_board_is_told(cleared):
    operation, tool, path = cleared[0]
    low = replace(path, moves=np.full_like(path.moves, Move.RAPID))
    assert removal([(operation, tool, low), cleared[1]], cell=0.5).struck == pytest.approx(6)
