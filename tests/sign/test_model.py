"""Solids: sections at every height, and the steel in them."""

import math

import numpy as np
import pytest
from shapely import box

from signplan.geometry.shapes import area_of
from signplan.sign.model import Bar, PanelPlan, Plate, Sign


def bar(profile, width, height, **more):
    return Bar(start=(0, 0), end=(100, 0), z=5, profile=profile, width=width, height=height, **more)


BARS = {
    "round": bar("round", 20, 20),
    "hex-flats": bar("hex-flats", 20 / math.cos(math.pi / 6), 20),
    "hex-corners": bar("hex-corners", 20, 20 / math.cos(math.pi / 6)),
    "tube": bar("tube", 20, 30, corner_radius=4),
}


@pytest.mark.parametrize(
    ("profile", "area"),
    [
        ("round", math.pi * 100),
        ("hex-flats", 200 * math.sqrt(3)),
        ("hex-corners", 200 * math.sqrt(3)),
        ("tube", 600 - (4 - math.pi) * 16),
    ],
)
def test_sections_add_up_to_the_profile(profile, area):
    """The area of a regular hexagon by its flats F is F^2 sqrt(3) / 2."""
    part = BARS[profile]
    low, high = part.span
    z = np.linspace(low, high, 4001)
    widths = [2 * max(0.0, part.half_width(float(each))) for each in z]
    assert np.trapezoid(widths, z) == pytest.approx(area, rel=1e-3)


@pytest.mark.parametrize("profile", BARS)
def test_a_bar_does_not_reach_beyond_its_span(profile):
    part = BARS[profile]
    assert part.half_width(part.span[1] + 0.01) < 0
    assert part.section(part.span[0] - 0.01).is_empty
    assert 2 * part.half_width(part.z) == pytest.approx(part.width)


@pytest.mark.parametrize(
    ("part", "area"),
    [
        (BARS["round"], math.pi * 100),
        (BARS["hex-flats"], 200 * math.sqrt(3)),
        (bar("round", 42.2, 42.2, wall=3.56), math.pi * (42.2 - 3.56) * 3.56),
        (bar("tube", 25, 25, wall=2), 4 * 23 * 2),
    ],
)
def test_the_metal_of_a_section(part, area):
    assert part.metal == pytest.approx(area, rel=1e-9)


def test_a_plate_is_the_same_through_its_thickness():
    plate = Plate(outline=area_of(box(0, 0, 9, 4)), z=3, thickness=6)
    assert plate.span == (0, 6)
    assert plate.section(6).area == 36
    assert plate.section(6.1).is_empty


def test_a_sign_knows_its_box_and_its_panels():
    outline = box(0, 0, 90, 40)
    a, b = PanelPlan(id="A", outline=outline), PanelPlan(id="B", outline=outline)
    sign = Sign(outline=outline, thickness=30, panels=(a, b))
    assert (sign.width, sign.height) == (90, 40)
    assert (sign.panel("A"), sign.panel("B")) == (a, b)
