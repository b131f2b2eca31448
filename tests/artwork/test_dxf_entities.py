"""Every entity that is read, against its area or length by formula."""

import math
from pathlib import Path

import pytest
from shapely import LineString

from signplan.artwork.importer import read_artwork
from signplan.errors import InputError

NEAR = 2e-3
"""Chords lie inside their circles: an area falls short by a thousandth or so."""


def read(path: Path):
    artwork, _ = read_artwork(path)
    return artwork.layers[0]


def areas(path: Path) -> list[float]:
    return [region.shape.area for region in read(path).regions]


def test_lines_and_arcs(dxf):
    """A stadium of four loose pieces, 20 by 10."""

    def draw(space):
        space.add_line((0, 0), (10, 0))
        space.add_arc((10, 5), 5, -90, 90)
        space.add_line((10, 10), (0, 10))
        space.add_arc((0, 5), 5, 90, 270)

    assert areas(dxf(draw)) == [pytest.approx(100 + math.pi * 25, rel=NEAR)]


def test_circle_and_ellipse(dxf):
    def draw(space):
        space.add_circle((0, 0), 5)
        space.add_ellipse((50, 0), (10, 0), 0.5)
        space.add_ellipse((100, 0), (10, 0), 0.5, 0, math.pi)
        space.add_line((90, 0), (110, 0))

    assert areas(dxf(draw)) == pytest.approx([math.pi * 25, math.pi * 50, math.pi * 25], rel=NEAR)


@pytest.mark.parametrize("kind", ["add_lwpolyline", "add_polyline2d"])
def test_polylines_with_bulges(dxf, kind):
    """A bulge of 1 is a half circle, -1 one that bites into the square."""
    corners = [(0, 0, 0), (10, 0, 1), (10, 10, 0), (0, 10, -1)]
    path = dxf(lambda space: getattr(space, kind)(corners, format="xyb", close=True))
    assert areas(path) == [pytest.approx(100, rel=1e-9)]


def test_a_polyline_in_three_dimensions_is_seen_from_above(dxf):
    path = dxf(
        lambda space: space.add_polyline3d([(0, 0, 1), (10, 0, 5), (10, 10, 9), (0, 10, 2)], close=True)
    )
    assert areas(path) == [100]


def test_splines(dxf):
    """A clamped quadratic with three control points is a parabola: its area is a third of the box."""

    def draw(space):
        from ezdxf.math import BSpline

        clamped = space.add_spline()
        clamped.apply_construction_tool(BSpline([(0, 0), (5, 10), (10, 0)], order=3))
        space.add_line((0, 0), (10, 0))

    (area,) = areas(dxf(draw))
    assert area == pytest.approx(100 / 3, rel=NEAR)


def test_a_closed_spline_with_loose_knots(dxf):
    """It runs to 25 and -25 if it is followed beyond its knots' domain."""
    corners = [(0, 0), (10, 0), (10, 10), (0, 10)]

    def draw(space):
        from ezdxf.math import closed_uniform_bspline

        space.add_spline().apply_construction_tool(closed_uniform_bspline(corners))

    (region,) = read(dxf(draw)).regions
    assert LineString(corners).convex_hull.buffer(1e-9).covers(region.shape)
    assert region.shape.area > 50


def test_a_spline_through_points(dxf):
    artwork, findings = read_artwork(dxf(lambda space: space.add_spline([(0, 0), (5, 5), (10, 0)])))
    (line,) = artwork.layers[0].lines
    assert line.shape.distance(LineString([(5, 5), (5, 5.0001)])) < 0.01
    assert [f.code for f in findings] == ["art-fitted"]


def test_hatch_by_polylines_and_by_edges(dxf):
    def draw(space):
        hatch = space.add_hatch()
        hatch.paths.add_polyline_path([(0, 0, 1), (10, 0, 0), (10, 10, 0), (0, 10, 0)], flags=1)
        hatch.paths.add_edge_path().add_arc((5, 5), 2, 0, 360)
        edges = space.add_hatch().paths.add_edge_path()
        edges.add_line((30, 0), (40, 0))
        edges.add_arc((45, 0), 5, 0, 180, ccw=False)
        edges.add_line((50, 0), (50, 20))
        edges.add_line((50, 20), (30, 0))
        edges = space.add_hatch().paths.add_edge_path()
        edges.add_ellipse((80, 0), (10, 0), 0.5, 0, 180)
        edges.add_line((70, 0), (90, 0))
        edges = space.add_hatch().paths.add_edge_path()
        edges.add_spline(
            control_points=[(0, 50), (5, 60), (10, 50)], degree=2, knot_values=[0, 0, 0, 1, 1, 1]
        )
        edges.add_line((10, 50), (0, 50))

    wanted = [100 + math.pi * 12.5 - math.pi * 4, 200 - math.pi * 12.5, math.pi * 25, 100 / 3]
    assert areas(dxf(draw)) == pytest.approx(wanted, rel=NEAR)


def test_a_broken_hatch_is_refused(dxf):
    def draw(space):
        edges = space.add_hatch().paths.add_edge_path()
        edges.add_line((0, 0), (10, 0))
        edges.add_line((10, 5), (0, 5))
        edges.add_line((0, 5), (0, 0))

    with pytest.raises(InputError, match=r"HATCH #\w+: its boundary is broken at \(10, 0\)"):
        read_artwork(dxf(draw))


def test_solid_trace_and_face(dxf):
    def draw(space):
        space.add_solid([(0, 0), (5, 0), (0, 5), (5, 5)])
        space.add_trace([(10, 0), (15, 0), (10, 5), (15, 5)])
        space.add_3dface([(20, 0), (25, 0), (25, 5), (20, 5)])
        space.add_solid([(30, 0), (35, 0), (30, 5)])

    assert areas(dxf(draw)) == [25, 25, 25, 12.5]


def test_entities_drawn_from_below(dxf):
    """An extrusion of (0, 0, -1) mirrors x, and turns the bulges."""
    below = {"extrusion": (0, 0, -1)}

    def draw(space):
        space.add_circle((10, 0), 2, dxfattribs=below)
        space.add_lwpolyline(
            [(30, 0, 1), (40, 0, 0), (40, 5, 0), (30, 5, 0)], "xyb", close=True, dxfattribs=below
        )
        space.add_solid([(50, 0), (55, 0), (50, 5), (55, 5)], dxfattribs=below)
        space.add_arc((70, 0), 2, 0, 90, dxfattribs=below)

    layer = read(dxf(draw))
    boxes = [region.shape.bounds for region in layer.regions]
    assert boxes[0] == pytest.approx((-12, -2, -8, 2), abs=NEAR)
    assert boxes[1] == pytest.approx((-40, -5, -30, 5), abs=6e-3)
    assert boxes[2] == pytest.approx((-55, 0, -50, 5))
    assert layer.lines[0].shape.bounds == pytest.approx((-72, 0, -70, 2))


@pytest.mark.parametrize("radius", [0, -1])
def test_a_circle_without_radius_is_refused(dxf, radius):
    with pytest.raises(InputError, match=rf"layer 0: CIRCLE #\w+: its radius is {radius}"):
        read_artwork(dxf(lambda space: space.add_circle((0, 0), radius)))


def test_a_circle_as_large_as_a_country_is_refused(dxf):
    with pytest.raises(InputError, match="far larger than a sign"):
        read_artwork(dxf(lambda space: space.add_circle((0, 0), 1e9)))
