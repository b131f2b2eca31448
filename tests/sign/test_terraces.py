"""Terraces: never smaller than the carving, and at most a step larger."""

import math

import numpy as np
import pytest
import shapely
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, box

from signplan.geometry.shapes import area_of, grow
from signplan.job.shop import Tool
from signplan.sign.forms import edge_inset, half_width
from signplan.sign.model import Carving, HeightMap
from signplan.sign.terraces import slack, terraces
from signplan.toolpaths.contour import edge_offset
from signplan.toolpaths.removal import underside

SHAPE = Polygon([(0, 0), (60, 0), (60, 14), (14, 14), (14, 50), (0, 50)])
RNG = np.random.default_rng(5)


def tool(**size):
    base = {"number": 1, "id": "c", "flutes": 2, "cutting_length": 30.0, "reach": 40.0}
    return Tool.model_validate({**base, **size}, context={"units": "mm"})


def carving(treatment, shape, depth, **more):
    return Carving(
        id="A/x-1", key="carve[0]", side="A", treatment=treatment, shape=area_of(shape), depth=depth, **more
    )


def depth_shown(steps, points):
    shown = np.zeros(len(points))
    for step in steps:
        inside = shapely.intersects_xy(step.shape, points)
        shown = np.where(inside, np.maximum(shown, step.depth), shown)
    return shown


def incised():
    vee = tool(shape="vee", angle=60.0, diameter=12.0)
    points = RNG.uniform((-2, -2), (62, 52), (4000, 2))
    inset = np.where(
        shapely.contains_xy(SHAPE, points), shapely.distance(shapely.points(points), SHAPE.boundary), 0.0
    )
    real = np.minimum(inset / math.tan(math.pi / 6), 8.0)
    return carving("incise", SHAPE, 8.0, cutter=vee), points, real


def lined(shape):
    cutter = tool(shape=shape, diameter=8.0, **({"angle": 90.0} if shape == "vee" else {}))
    line = LineString([(0, 0), (40, 10), (60, 40)])
    points = RNG.uniform((-8, -8), (68, 48), (4000, 2))
    away = shapely.distance(shapely.points(points), line)
    if shape == "vee":
        real = np.clip(3.0 - away, 0, None)
    else:
        real = np.where(away < 4, 3.0 - (4.0 - np.sqrt(np.clip(16.0 - away**2, 0, None))), 0.0).clip(0)
    area = grow(line, half_width(cutter, 3.0))
    return carving("line", area, 3.0, lines=(line,), cutter=cutter), points, real


def edged(shape, depth, **form):
    """An edge shaped by a cutter, against the form of its underside."""
    cutter, block = tool(shape=shape, diameter=24.0, **form), box(0, 0, 80, 50)
    points = RNG.uniform((0.01, 0.01), (79.9, 49.9), (4000, 2))
    inset = shapely.distance(shapely.points(points), block.boundary)
    real = np.clip(depth - underside(cutter, inset + edge_offset(cutter)), 0, None)
    area = block.difference(block.buffer(-edge_inset(cutter, depth)))
    lines = (LineString(block.exterior.coords),)
    return carving("edge", area, depth, lines=lines, cutter=cutter), points, real


@pytest.mark.parametrize(
    ("made", "step"),
    [
        (incised(), 0.5),
        (incised(), 2.0),
        (lined("vee"), 0.5),
        (lined("ball"), 0.5),
        (edged("round-over", 6.0, radius=6.0), 0.5),
        (edged("round-over", 7.5, radius=6.0), 0.5),
        (edged("ogee", 5.0, radius=4.0, rise=5.0), 0.5),
        (edged("vee", 4.0, angle=90.0), 0.5),
        (edged("ball", 5.0), 0.5),
    ],
    ids=["vee stroke", "coarse", "vee line", "ball line", "edge", "sunk edge", "ogee", "chamfer", "cove"],
)
def test_no_point_is_deeper_than_its_terrace_or_shallower_by_more_than_a_step(made, step):
    cut, points, real = made
    shown = depth_shown(terraces(cut, step=step), points)
    assert (shown >= real - 0.03).all()
    inside = real > 1e-6
    assert (shown[inside] <= real[inside] + step + 0.03).all()


def test_a_flat_carving_is_one_exact_step():
    cut = carving("lower", SHAPE, 5.0)
    (step,) = terraces(cut)
    assert step.shape.equals(SHAPE)
    assert step.depth == 5.0
    assert slack(cut) == 0


def test_a_line_cut_with_a_flat_cutter_is_one_step():
    line = LineString([(0, 0), (50, 0)])
    flat = tool(shape="flat", diameter=6.0)
    cut = carving("line", line.buffer(3), 2.0, lines=(line,), cutter=flat)
    assert len(terraces(cut)) == 1


def test_nothing_carved_has_no_steps():
    assert terraces(carving("lower", MultiPolygon(), 5.0)) == ()


@pytest.mark.parametrize("mirrored", [False, True])
def test_a_relief_is_never_deeper_than_its_terraces(mirrored):
    """Between the pixels the surface is a plane through four of them, so no deeper than the deepest."""
    values = np.add.outer(np.linspace(0.5, 0, 20), np.linspace(0, 0.5, 30))
    area = box(100, 50, 190, 110)
    cut = carving("relief", area, 6.0, relief=HeightMap(values=values, box=area.bounds, mirrored=mirrored))
    points = RNG.uniform((100.5, 50.5), (189.5, 109.5), (3000, 2))
    columns = np.clip(((points[:, 0] - 100) / 90 * 30).astype(int), 0, 29)
    rows = np.clip(((110 - points[:, 1]) / 60 * 20).astype(int), 0, 19)
    read = values[:, ::-1] if mirrored else values
    real = (1 - read[rows, columns]) * 6.0
    shown = depth_shown(terraces(cut), points)
    assert (shown >= real - 1e-9).all()
    neighbour = 6.0 * (0.5 / 19 + 0.5 / 29)
    assert (shown <= real + 0.5 + neighbour + 1e-9).all()


def test_a_big_image_is_made_coarse_and_stays_deep_enough():
    values = np.ones((400, 700))
    values[137, 512] = 0.0
    area = box(0, 0, 700, 400)
    cut = carving("relief", area, 6.0, relief=HeightMap(values=values, box=area.bounds))
    assert depth_shown(terraces(cut), np.array([[512.5, 400 - 137.5]]))[0] == 6.0
    assert all(step.shape.area < 2000 for step in terraces(cut))


def test_half_width_of_a_groove():
    vee, ball, flat = tool(shape="vee", angle=90.0, diameter=10.0), tool(shape="ball", diameter=6.0), None
    assert half_width(vee, 2.0) == pytest.approx(2.0)
    assert half_width(vee, 9.0) == 5.0
    assert half_width(ball, 3.0) == half_width(ball, 7.0) == 3.0
    assert half_width(ball, 1.0) == pytest.approx(math.sqrt(5.0))
    flat = tool(shape="flat", diameter=6.0)
    assert half_width(flat, 0.1) == 3.0


def test_lines_that_meet_are_one_groove():
    lines = (LineString([(0, 0), (50, 0)]), LineString([(50, 0), (50, 50)]))
    vee = tool(shape="vee", angle=90.0, diameter=10.0)
    cut = carving("line", grow(MultiLineString(lines), 3.0), 3.0, lines=lines, cutter=vee)
    assert all(len(step.shape.geoms) == 1 for step in terraces(cut))
