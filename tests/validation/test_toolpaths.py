"""Tool paths against published formulas, general-purpose geometry, and the definition of climb cutting."""

import math
from itertools import product
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import LinearRing, MultiPolygon, Point, Polygon, affinity, box

from signplan.artwork.importer import read_artwork
from signplan.geometry.shapes import EMPTY, area_of, grow
from signplan.job.shop import IndexPins, Machine, Tool
from signplan.operations.model import (
    Clearing,
    CuttingOut,
    Drilling,
    Grooving,
    Operation,
    Rounding,
    Walls,
)
from signplan.operations.practice import STEPOVER, levels
from signplan.sign.model import PanelPlan, Sign
from signplan.sign.register import view
from signplan.sign.setups import Layout, lay_out
from signplan.toolpaths.clear import ring_passes, row_passes
from signplan.toolpaths.cut import cut, missed
from signplan.toolpaths.relief import row_step
from signplan.toolpaths.removal import BoardField

ART = Path(__file__).parents[2] / "demo_jobs" / "gannet-and-thrum" / "art" / "face.dxf"
ROUTER = Machine(
    name="router",
    bed=(3000, 1500),
    travel_z=200,
    feed_max=15000,
    rapid=(30000, 30000, 10000),
    accel=(1500, 1500, 800),
    rpm=(6000, 24000),
    spindle_kw=3,
    clearance_z=10,
)


def cutter(shape: str, diameter: float, **more: float) -> Tool:
    return Tool(
        number=1, id=shape, shape=shape, diameter=diameter, flutes=2, cutting_length=60, reach=70, **more
    )


def operation_of(kind: str, tool: Tool, work: object, depth: float) -> Operation:
    return Operation(
        id="x",
        panel="A",
        face="outer",
        kind=kind,
        feature="x",
        treatment=None,
        tool=tool.id,
        work=work,
        depth=depth,
    )


def path_of(kind: str, tool: Tool, work: object, depth: float):
    return cut(operation_of(kind, tool, work, depth), tool, ROUTER)


def lettering() -> MultiPolygon:
    artwork, _ = read_artwork(ART)
    layer = artwork.layer("LETTERS")
    assert layer is not None
    return MultiPolygon([region.shape for region in layer.regions])


# Lengths and counts


def shapes() -> dict[str, MultiPolygon]:
    letters = lettering()
    x0, y0, x1, y1 = letters.bounds
    star = Polygon(
        [
            (
                (60 if k % 2 else 140) * math.cos(k * math.pi / 7),
                (60 if k % 2 else 140) * math.sin(k * math.pi / 7),
            )
            for k in range(14)
        ]
    )
    return {
        "rectangle": area_of(box(0, 0, 300, 200)),
        "disc": area_of(Point(0, 0).buffer(100, quad_segs=60)),
        "star": area_of(star),
        "holed": area_of(
            box(0, 0, 300, 200).difference(Point(90, 90).buffer(40)).difference(box(180, 60, 250, 160))
        ),
        "ground of lettering": area_of(box(x0 - 30, y0 - 30, x1 + 30, y1 + 30).difference(letters)),
    }


@pytest.mark.parametrize("diameter", [3.0, 6.0, 12.0])
@pytest.mark.parametrize("name", ["rectangle", "disc", "star", "holed", "ground of lettering"])
def test_rings_are_as_long_as_area_over_stepover_and_half_the_perimeter(name, diameter):
    """L = A / s + P / 2, A and P of the room of the cutter's middle: each ring stands for a strip of width s,
    and the outermost for half of one more. Derived; off where a room is only a few rings wide, as between
    letters for the widest cutter."""
    tolerance = 0.02 if (name, diameter) == ("ground of lettering", 12.0) else 0.015
    room = grow(shapes()[name], -diameter / 2)
    step = STEPOVER * diameter
    length = sum(LinearRing(ring).length for part in room.geoms for ring in ring_passes(part, step))
    assert length == pytest.approx(room.area / step + room.length / 2, rel=tolerance)


def test_where_a_room_is_few_rings_wide_they_are_as_long_as_bare_offsets():
    """Reference: shapely's own buffers of the room, one from the other: there the formula itself is off."""
    room, step = grow(shapes()["ground of lettering"], -6.0), STEPOVER * 12.0
    length = sum(LinearRing(ring).length for part in room.geoms for ring in ring_passes(part, step))
    bare, left = 0.0, room
    while not left.is_empty:
        bare, left = bare + left.length, left.buffer(-step, quad_segs=16)
    assert length == pytest.approx(bare, rel=0.003)


@pytest.mark.parametrize(("wide", "high", "step"), [(100, 37, 4.0), (200, 40, 4.0), (150, 60.5, 2.5)])
def test_rows_are_counted_by_formula(wide, high, step):
    """n = ceil(W / s) + 1 rows with both edges cut, each H long (raster of a rectangle: geometry)."""
    lines = row_passes(box(0, 0, wide, high), step)
    rows = lines[:-1]
    assert len(rows) + 2 == math.ceil(high / step) + 1, "the two outer rows are part of the wall pass"
    assert sum(np.linalg.norm(row[1] - row[0]) for row in rows) == pytest.approx(len(rows) * wide)


@pytest.mark.parametrize(
    ("floor", "diameter", "flutes", "count"),
    [(25.4, 12.7, 54, 1), (38.6, 12.7, 54, 2), (31.75, 12.7, 25.4, 2), (8, 1.5, 9.5, 3)],
)
def test_passes_are_counted_by_formula(floor, diameter, flutes, count):
    """ceil(depth / pass). A pass never exceeds the flutes: with 1.0 in of flute, 1.25 in takes two (tooling
    charts); two diameters a pass in foam is common practice."""
    tool = Tool(number=1, id="em", shape="flat", diameter=diameter, flutes=2, cutting_length=flutes, reach=70)
    assert len(levels(0, floor, tool)) == count


@pytest.mark.parametrize(
    ("diameter", "height", "step"),
    [
        (6.0, 0.005, 0.346266),
        (6.0, 0.0104348, 0.5),
        (0.25, 0.00040064, 0.020),
        (0.5, 0.0012531, 0.05),
        (6.0, 0.01, 0.48949),
    ],
)
def test_rows_are_as_far_apart_as_the_scallop_allows(diameter, height, step):
    """s = 2 sqrt(r2 - (r - h)2) and h = r - sqrt(r2 - (s / 2)2): two ball nose calculator pages agree."""
    assert row_step(cutter("ball", diameter), height) == pytest.approx(step, rel=1e-4)


# What cutters leave


@pytest.mark.parametrize("diameter", [1.5, 3.0, 6.0])
def test_what_a_cutter_leaves_of_lettering_is_what_an_opening_leaves(diameter):
    """Reference: the opening by shapely's own buffers, in finer steps than ours, and a sweep of the path."""
    letters = lettering()
    part = box(*affinity.scale(box(*letters.bounds), 0.25, 0.5, origin=(*letters.bounds[:2], 0)).bounds)
    ground = area_of(part.difference(letters))
    opening = ground.buffer(-diameter / 2, quad_segs=96).buffer(diameter / 2, quad_segs=96)
    tool = cutter("flat", diameter)
    finish = operation_of("finish", tool, Walls(region=ground, open_at=EMPTY, top=0, floor=4), 4)
    assert missed(finish, tool) == pytest.approx(ground.area - opening.area, abs=0.01 * ground.length)
    rough = path_of("rough", tool, Clearing(region=ground, within=ground, top=0, floor=4), 4)
    board = BoardField.over(ground.bounds, 0.4).cut(rough, tool)
    left = board.area(board.inside(ground) & (board.heights > -4 + 1e-9))
    assert left == pytest.approx(ground.area - opening.area, abs=0.003 * ground.area)


def test_a_square_corner_keeps_a_fifth_of_the_radius_squared():
    """(1 - pi / 4) r2 a corner: geometry."""
    square = area_of(box(0, 0, 40, 30))
    tool = cutter("flat", 8)
    finish = operation_of("finish", tool, Walls(region=square, open_at=EMPTY, top=0, floor=4), 4)
    assert missed(finish, tool) == pytest.approx(4 * (1 - math.pi / 4) * 16, rel=0.08)


# Vee grooves


@pytest.mark.parametrize(
    ("angle", "tip", "depth", "width"),
    [(60, 0, 0.25, 0.288675), (90, 0, 0.25, 0.5), (30, 0, 0.25, 0.133975), (60, 0.02, 0.242487, 0.3)],
)
def test_a_groove_is_as_deep_as_its_width_asks_for(angle, tip, depth, width):
    """w = tip + 2 d tan(a / 2): geometry. In inches, cut in millimetres."""
    wide = width * 25.4
    bar = area_of(box(0, 0, 80, wide))
    tool = cutter("vee", 25.4, angle=float(angle), tip=tip * 25.4)
    path = path_of("incise", tool, Grooving(region=bar, top=0, cap=50), 20)
    assert -path.points[:, 2].min() / 25.4 == pytest.approx(depth, rel=2e-5), "the grid of the axis is 0.1 um"


def test_a_stroke_wider_than_the_vee_gets_a_flat_bottom():
    """A 90 degree vee of 1.0 in goes 0.5 in deep at most; a stroke of 1.25 in would want 0.625: geometry."""
    bar = area_of(box(0, 0, 80, 1.25 * 25.4))
    path = path_of(
        "incise", cutter("vee", 25.4, angle=90.0), Grooving(region=bar, top=0, cap=0.5 * 25.4), 12.7
    )
    assert -path.points[:, 2].min() == pytest.approx(0.5 * 25.4)


# Edges and holes


@pytest.mark.parametrize("inset", [0.125, 0.2])
def test_a_rounded_edge_has_the_published_profile(inset):
    """z = R - sqrt(R2 - x2), x past the tangent point with the face: R .25, x .125 -> .0334936 (geometry)."""
    radius, x = 0.25 * 25.4, inset * 25.4
    outline = box(0, 0, 80, 60)
    tool = cutter("round-over", 19.05, radius=radius)
    path = path_of("edge", tool, Rounding(outline=outline, depth=radius), radius)
    board = BoardField.over((39.7, -1, 40.3, 8), 0.05).cut(path, tool)
    place = radius - x
    height = float(np.interp(place, board.y, board.heights[:, 6]))
    assert -height == pytest.approx(radius - math.sqrt(radius**2 - x**2), abs=0.03)


@pytest.mark.parametrize(
    ("diameter", "angle", "point"),
    [(0.25 * 25.4, 118.0, 0.0751076 * 25.4), (6, 118.0, 1.80258), (6, 135.0, 1.24264), (6, 90.0, 3.0)],
)
def test_a_drill_goes_deeper_by_its_point(diameter, angle, point):
    """L = D / (2 tan(a / 2)): geometry of the point."""
    tool = cutter("drill", diameter, angle=angle)
    path = path_of("bore", tool, Drilling(points=((0, 0),), diameter=diameter, top=0, depth=20), 20)
    assert -path.points[:, 2].min() == pytest.approx(20 + point, abs=1e-4)


# Climb


OUTLINE = Polygon([(0, 0), (600, 0), (600, 240), (420, 400), (0, 400)])
SIGN = Sign(
    outline=OUTLINE,
    thickness=38.0,
    panels=(PanelPlan(id="A", outline=OUTLINE), PanelPlan(id="B", outline=OUTLINE)),
    border=40.0,
)


def side_of_the_wall(points: np.ndarray, wall: shapely.Geometry) -> float:
    """+1 if the wall is on the right of every longer move, -1 if on the left."""
    start, end = points[:-1, :2], points[1:, :2]
    step = end - start
    long = np.linalg.norm(step, axis=1) > 5
    middle = ((start + end) / 2)[long]
    right = np.column_stack([step[long, 1], -step[long, 0]]) / np.linalg.norm(step[long], axis=1)[:, None]
    near = shapely.distance(shapely.points(middle + right), wall) < shapely.distance(
        shapely.points(middle), wall
    )
    assert near.all() or not near.any()
    return 1.0 if near.all() else -1.0


@pytest.mark.parametrize(
    ("panel", "face", "turn", "cutout", "blanks"),
    list(product("AB", ("inner", "outer"), ("side", "end"), ("inner", "outer"), ("one", "two"))),
)
def test_cutting_is_climb_on_every_face_of_both_panels_however_the_blank_is_turned(
    panel, face, turn, cutout, blanks
):
    """The spindle turns clockwise seen from above; climb cutting then has the wall on the cutter's right:
    clockwise round the outside of a part, counter-clockwise inside a pocket (milling chapter of any
    machinist's handbook, from memory). A mirror between path and table would turn it round."""
    setups, _ = lay_out(
        SIGN, Layout(blanks=blanks, turn=turn, cutout=cutout), bed=(3000, 1500), pins=IndexPins()
    )
    setup = next(each for each in setups if each.face == face and panel in each.panels)
    place = view(panel, face, SIGN.width).inverse().then(setup.placement(panel))
    assert place.determinant == pytest.approx(1)
    outline = view(panel, face, SIGN.width).shape(OUTLINE)
    round_it = path_of(
        "cutout", cutter("flat", 6), CuttingOut(outline=outline, depth=10, left=1, tabs=0, tab_width=0), 9
    ).placed(place)
    on_table = setup.placement(panel).shape(OUTLINE)
    level_cut = round_it.points[np.isclose(round_it.points[:, 2], -9)]
    assert side_of_the_wall(level_cut, on_table) == 1
    assert not LinearRing(level_cut[:, :2]).is_ccw
    pocket = area_of(box(100, 100, 200, 160))
    inside = path_of(
        "finish", cutter("flat", 6), Walls(region=pocket, open_at=EMPTY, top=0, floor=8), 8
    ).placed(place)
    floor_cut = inside.points[np.isclose(inside.points[:, 2], -8)]
    assert side_of_the_wall(floor_cut, place.shape(pocket).boundary) == 1
