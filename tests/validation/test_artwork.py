"""Artwork against published definitions: bulges, units of DXF and SVG, and the sense of y."""

import math

import ezdxf
import numpy as np
import pytest
from shapely import Polygon

from signplan.artwork import flatten
from signplan.artwork.importer import read_artwork
from signplan.artwork.read_dxf import MM_PER_INSUNITS

SHAPE = [(0, 0), (30, 0), (30, 10), (12, 10), (12, 25), (0, 25)]
"""An L that no turn and no mirror maps onto itself."""


def dxf_of(path, ring, insunits=4):
    document = ezdxf.new(units=insunits)
    document.modelspace().add_lwpolyline(ring, close=True)
    document.saveas(path)
    return path


@pytest.mark.parametrize(
    ("sweep", "bulge"),
    [(180, 1), (90, 0.414214), (60, 0.267949), (-90, -0.414214)],
)
def test_a_bulge_is_the_tangent_of_a_quarter_of_the_sweep(sweep, bulge):
    """DXF Reference, LWPOLYLINE, group code 42: tan of 1/4 the included angle, negative if clockwise.

    Over a chord of 10 the radius is c (1 + b^2) / (4 b) and the sagitta b c / 2.
    """
    chords = flatten.bulge((0, 0), (10, 0), bulge, error=1e-7)
    radius = 10 * (1 + bulge**2) / (4 * abs(bulge))
    assert radius == pytest.approx(5 / math.sin(math.radians(abs(sweep)) / 2), abs=1e-5)
    sagitta = -np.sign(bulge) * chords[:, 1][np.abs(chords[:, 1]).argmax()]
    assert sagitta == pytest.approx(abs(bulge) * 10 / 2, abs=1e-5)
    if sweep == 90:
        assert (radius, sagitta) == (pytest.approx(7.07107, abs=1e-5), pytest.approx(2.07107, abs=1e-5))


@pytest.mark.parametrize(
    ("code", "mm"),
    [
        (1, 25.4),
        (2, 304.8),
        (4, 1),
        (5, 10),
        (6, 1000),
        (8, 25.4e-6),
        (9, 0.0254),
        (10, 914.4),
        (13, 0.001),
        (14, 100),
        (21, 1200 / 3937 * 1000),
        (22, 100 / 3937 * 1000),
        (23, 3600 / 3937 * 1000),
    ],
)
def test_insunits(code, mm):
    """Codes: DXF Reference, header variable $INSUNITS. Inch, foot, yard: international agreement of 1959,
    1 yd = 0.9144 m. US survey foot: 1200/3937 m (Federal Register notice 59-5442)."""
    assert MM_PER_INSUNITS[code][1] == pytest.approx(mm, rel=1e-15)


def test_a_dxf_in_inches_is_exactly_25_4_times_as_large(tmp_path):
    artwork, _ = read_artwork(dxf_of(tmp_path / "face.dxf", SHAPE, insunits=1))
    assert artwork.size == pytest.approx((30 * 25.4, 25 * 25.4), rel=1e-15)


@pytest.mark.parametrize(
    ("width", "mm"),
    [
        ("96px", 25.4),
        ("72pt", 25.4),
        ("6pc", 25.4),
        ("1in", 25.4),
        ("2.54cm", 25.4),
        ("101.6Q", 25.4),
        ("96", 25.4),
    ],
)
def test_units_of_css(tmp_path, width, mm):
    """CSS Values and Units Level 3, section 6.2: 1 in = 2.54 cm = 96 px = 72 pt = 6 pc = 101.6 Q."""
    path = tmp_path / "face.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{width}" viewBox="0 0 1 1">'
        '<rect width="1" height="1"/></svg>'
    )
    artwork, _ = read_artwork(path)
    assert artwork.size == pytest.approx((mm, mm), rel=1e-12)


def test_one_user_unit_is_one_inch(tmp_path):
    """SVG 2, section 8.6: width 36in, height 24in, viewBox 0 0 36 24."""
    path = tmp_path / "face.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="36in" height="24in" viewBox="0 0 36 24">'
        '<rect x="1" y="2" width="3" height="4"/></svg>'
    )
    (region,) = read_artwork(path)[0].layers[0].regions
    assert region.shape.bounds == pytest.approx((25.4, 18 * 25.4, 4 * 25.4, 22 * 25.4), rel=1e-12)


def test_an_asymmetric_shape_through_svg_and_dxf_and_back(tmp_path):
    """y grows downward in SVG and upward in DXF; forgetting it mirrors the part."""
    page = 40
    points = " ".join(f"{x},{page - y}" for x, y in SHAPE)
    source = tmp_path / "face.svg"
    source.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="{page}mm" viewBox="0 0 50 {page}">'
        f'<polygon points="{points}"/></svg>'
    )
    (from_svg,) = read_artwork(source)[0].layers[0].regions
    (from_dxf,) = (
        read_artwork(dxf_of(tmp_path / "face.dxf", from_svg.shape.exterior.coords[:-1]))[0].layers[0].regions
    )
    for shape in (from_svg.shape, from_dxf.shape):
        assert shape.normalize().equals_exact(Polygon(SHAPE).normalize(), 1e-6)
