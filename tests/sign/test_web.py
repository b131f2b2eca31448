"""Web and wall: never reported larger than they are, and too small by no more than the bound."""

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon, affinity, box

from signplan.geometry.precision import STEP
from signplan.geometry.shapes import area_of, grow
from signplan.job.shop import Tool
from signplan.sign.model import Carving, HeightMap, PanelPlan
from signplan.sign.terraces import half_width
from signplan.sign.web import Recess, dowel_webs, pocket_webs, walls, web_over

THICK = 40.0
OUTLINE = box(0, 0, 300, 200)
VEE = Tool.model_validate(
    {
        "number": 1, "id": "v", "shape": "vee", "angle": 60.0, "diameter": 30.0, "flutes": 2,
        "cutting_length": 30.0, "reach": 40.0,
    },
    context={"units": "mm"},
)  # fmt: skip


def recess(shape, depth, panel="A"):
    return Recess(id="r", panel=panel, shape=area_of(shape), depth=depth)


def panel(*carvings, side="A"):
    return PanelPlan(id=side, outline=OUTLINE, carvings=carvings)


def lower(shape, depth, name="A/lower-1"):
    return Carving(id=name, key="carve[0]", side="A", treatment="lower", shape=area_of(shape), depth=depth)


def incise(shape, depth):
    return Carving(
        id="A/incise-1", key="carve[0]", side="A", treatment="incise", shape=area_of(shape), depth=depth,
        cutter=VEE,
    )  # fmt: skip


def relief(seed, rows, columns, depth):
    """Hills: an image of random blocks, so steep in places, at its own size."""
    values = np.random.default_rng(seed).uniform(0, 1, (5, 7)).repeat(rows // 5, 0).repeat(columns // 7, 1)
    area = box(30, 20, 270, 180)
    heights = HeightMap(values=values, box=area.bounds, mirrored=bool(seed % 2))
    return Carving(
        id="A/relief-1", key="carve[0]", side="A", treatment="relief", shape=area_of(area), depth=depth,
        relief=heights,
    )  # fmt: skip


def edge(radius):
    return Carving(
        id="A/edge-1", key="carve[0]", side="A", treatment="edge", depth=radius,
        shape=area_of(OUTLINE.difference(OUTLINE.buffer(-radius, join_style="mitre"))),
        lines=(LineString(OUTLINE.exterior.coords),),
        cutter=VEE.model_copy(update={"shape": "round-over", "radius": radius, "angle": None}),
    )  # fmt: skip


def line(points, depth):
    centre = LineString(points)
    return Carving(
        id="A/line-1", key="carve[0]", side="A", treatment="line", lines=(centre,), depth=depth, cutter=VEE,
        shape=grow(centre, half_width(VEE, depth)),
    )  # fmt: skip


SLOT = recess(box(100, 80, 160, 110), 15.0)


def test_under_a_plain_face_it_is_what_is_left_of_the_panel():
    web = web_over(SLOT, panel(), THICK)
    assert (web.board, web.carving, web.bound) == (25.0, "", 0.0)


@pytest.mark.parametrize(
    ("shape", "depth", "board"),
    [
        (box(90, 70, 200, 200), 8.0, 17.0),
        (box(163, 80, 200, 110), 21.0, 5.0),
        (box(163, 113, 200, 150), 28.0, math.hypot(3, 3)),
        (box(163, 80, 200, 110), 28.0, 3.0),
        (box(110, 90, 120, 100), 28.0, -3.0),
    ],
)
def test_straight_down_sideways_and_aslant(shape, depth, board):
    assert web_over(SLOT, panel(lower(shape, depth)), THICK).board == pytest.approx(board)


def test_the_nearest_of_several_carvings_is_named():
    ground, hole = lower(box(0, 0, 300, 200), 5, "A/raise-1"), lower(box(170, 80, 180, 90), 30)
    assert web_over(SLOT, panel(ground, hole), THICK).carving == "A/lower-1"
    assert web_over(SLOT, panel(ground, lower(box(190, 80, 200, 90), 30)), THICK).carving == "A/raise-1"


@pytest.mark.parametrize(("side", "z"), [("A", 15.0), ("B", -15.0)])
def test_the_place_is_on_the_floor_of_the_recess(side, z):
    made = replace(SLOT, panel=side)
    web = web_over(made, panel(lower(box(150, 90, 250, 100), 8.0), side=side), THICK)
    assert web.spot[2] == z
    assert SLOT.shape.distance(shapely.Point(web.spot[:2])) < 1e-9


def test_a_groove_counts_at_its_true_depth():
    """60 degrees, 10 wide: 8.66 deep along its middle."""
    stroke = incise(box(90, 90, 200, 100), 5 / math.tan(math.pi / 6))
    web = web_over(SLOT, panel(stroke), THICK)
    assert web.board == pytest.approx(25 - 8.660, abs=0.02)
    assert web.bound == STEP


def carved_surface(carving, points):
    """The true depth of a carving under each point."""
    inside = shapely.contains_xy(carving.shape, points)
    if carving.treatment == "lower":
        return np.where(inside, carving.depth, 0.0)
    if carving.treatment == "relief":
        return np.where(inside, (1 - between_pixels(carving.relief, points)) * carving.depth, 0.0)
    if carving.treatment == "edge":
        past = np.clip(carving.depth - shapely.distance(shapely.points(points), OUTLINE.boundary), 0, None)
        return carving.depth - np.sqrt(np.clip(carving.depth**2 - past**2, 0, None))
    slope = math.tan(math.pi / 6)
    if carving.treatment == "line":
        away = shapely.distance(shapely.points(points), carving.lines[0])
        return np.clip(carving.depth - away / slope, 0, None)
    inset = np.where(inside, shapely.distance(shapely.points(points), carving.shape.boundary), 0.0)
    return np.minimum(inset / slope, carving.depth)


def between_pixels(relief, points):
    """Heights, linear between the middles of the pixels; row 0 is at the top."""
    (x0, y0, x1, y1), values = relief.box, relief.values[:, ::-1] if relief.mirrored else relief.values
    rows, columns = values.shape
    across = np.clip((points[:, 0] - x0) / (x1 - x0) * columns - 0.5, 0, columns - 1)
    down = np.clip((y1 - points[:, 1]) / (y1 - y0) * rows - 0.5, 0, rows - 1)
    i, j = np.minimum(down.astype(int), rows - 2), np.minimum(across.astype(int), columns - 2)
    a, b = down - i, across - j
    top = values[i, j] * (1 - b) + values[i, j + 1] * b
    return top * (1 - a) + (values[i + 1, j] * (1 - b) + values[i + 1, j + 1] * b) * a


def brute_force(made, carving):
    """Least distance from the recess to a cloud of points on the carved surface."""
    x0, y0, x1, y1 = OUTLINE.bounds if carving.treatment == "edge" else carving.shape.bounds
    grid = np.stack(np.meshgrid(np.linspace(x0, x1, 160), np.linspace(y0, y1, 160)), axis=-1).reshape(-1, 2)
    depth = carved_surface(carving, grid)
    cut = depth > 1e-9
    over = np.maximum(0.0, THICK - depth[cut] - made.depth)
    away = np.hypot(shapely.distance(shapely.points(grid[cut]), made.shape), over)
    return min(float(away.min(initial=math.inf)), THICK - made.depth)


shapes = st.builds(
    lambda x, y, long, wide, turn: affinity.rotate(box(x, y, x + long, y + wide), turn),
    st.floats(20, 200),
    st.floats(30, 120),
    st.floats(8, 60),
    st.floats(6, 24),
    st.floats(0, 180),
)
carvings = st.one_of(
    st.builds(lower, shapes, st.floats(2, 24)),
    st.builds(incise, shapes, st.floats(2, 20)),
    st.builds(
        lambda a, b, depth: line([a, b, (150, 60)], depth),
        st.tuples(st.floats(20, 140), st.floats(20, 180)),
        st.tuples(st.floats(150, 280), st.floats(20, 180)),
        st.floats(2, 12),
    ),
    st.builds(relief, st.integers(0, 99), st.integers(10, 400), st.integers(14, 400), st.floats(2, 24)),
    st.builds(edge, st.floats(3, 24)),
)


@settings(max_examples=160, deadline=None, derandomize=True, phases=[Phase.generate])
@given(shapes, st.floats(4, 24), carvings)
def test_it_is_never_reported_larger_than_it_is(shape, depth, carving):
    """Against a cloud of points, whose distance can only be too large, by its own pitch."""
    made = recess(shape, depth)
    web = web_over(made, panel(carving), THICK)
    real = brute_force(made, carving)
    assert max(web.board, 0.0) <= real + 0.02
    pitch = max(np.ptp(np.reshape(carving.shape.bounds, (2, 2)), axis=0)) / 159
    assert real <= max(web.board, 0.0) + web.bound + 3 * pitch


BAR = """
[[hardware]]
name = "bar"
clearance = 1
[[hardware.part]]
shape = "flat"
size = [{}, 30]
thickness = 10
center = [{}, 150]
"""


def test_every_level_of_every_pocket_has_its_web(judge):
    webs = pocket_webs(judge(BAR.format(120, 300)).sign)
    assert [(web.recess, web.board) for web in webs] == [("A/bar-1", 34.0), ("B/bar-1", 34.0)]


def test_dowel_holes_have_theirs(judge):
    dowels = "[dowels]\ndiameter = 10\ndepth = 15\nat = [[40, 40], [560, 260]]\n"
    assert [web.board for web in dowel_webs(judge(dowels).sign)] == [25.0] * 4


@pytest.mark.parametrize(("x", "board"), [(100, 39.0), (84, 23.0), (60.5, 0.0)])
def test_wall_to_the_edge(judge, x, board):
    found = [wall.board for wall in walls(judge(BAR.format(120, x)).sign)]
    assert found == pytest.approx([board] * 2, abs=1.8)
    assert all(value <= board + 1e-6 for value in found)


def test_beside_a_mouth_the_edge_is_bound_to_be_near(judge):
    """Steel that leaves has no wall there; 1.5 walls from the mouth on it must."""
    through = judge(BAR.format(300, 100)).sign
    assert [wall.board for wall in walls(through)] == pytest.approx([30.0] * 2, abs=0.1)


def test_a_mouth_that_runs_along_the_edge_is_judged(judge):
    text = BAR.format(300, 100).replace("150]", "24]")
    assert [wall.board for wall in walls(judge(text).sign)] == pytest.approx([8.0] * 2, abs=1.8)


def test_a_sign_with_a_hole_has_an_edge_there_too(judge, outline):
    hole = Polygon([(380, 140), (420, 140), (420, 160), (380, 160)])
    sign = judge(BAR.format(120, 300), outline=outline.difference(hole)).sign
    assert all(wall.board <= 19.0 for wall in walls(sign))
