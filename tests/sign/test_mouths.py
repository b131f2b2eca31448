"""Where steel may leave a sign: across its edge, not along it."""

import pytest
from shapely import Point, box

from signplan.geometry.shapes import area_of
from signplan.sign.model import Bar, Item, Plate
from signplan.sign.mouths import astray, meets_sign, runs_along_edge

OUTLINE = box(0, 0, 600, 400)


def item(*parts):
    return Item(
        name="steel", key="hardware[0]", parts=parts, clearance=1.0, depth_clearance=1.0, split="both"
    )


def rod(start, end, width=12.0):
    return Bar(start=start, end=end, z=0.0, profile="round", width=width, height=width)


def plate(*bounds):
    return Plate(outline=area_of(box(*bounds)), z=0.0, thickness=6.0)


@pytest.mark.parametrize(
    "steel",
    [
        item(rod((100, 200), (100, 460))),
        item(rod((100, 200), (300, 500))),
        item(rod((100, 200), (300, 200))),
        item(rod((100, 200), (100, 460)), rod((100, 210), (100, 220), 25.0)),
        item(rod((-50, 200), (650, 200))),
        item(plate(100, 300, 400, 450)),
        item(rod((100, 200), (100, 402)), plate(85, 399, 115, 429)),
    ],
    ids=["up", "slanted", "inside", "with a nut", "right through", "wide plate", "eye on a shank"],
)
def test_steel_that_crosses_the_edge(steel):
    assert meets_sign(steel, OUTLINE)
    assert runs_along_edge(steel, OUTLINE) is None


@pytest.mark.parametrize(
    ("steel", "length"),
    [
        (item(rod((597, 200), (597, 460))), 209),
        (item(rod((600, 200), (600, 300))), 100),
        (item(plate(-50, 390, 650, 410)), 620),
        (item(rod((590, 200), (590, 460)), rod((590, 210), (590, 218), 30.0)), 8),
    ],
    ids=["beside the side", "on the side", "along the top", "a nut through the side"],
)
def test_steel_that_runs_along_the_edge(steel, length):
    found = runs_along_edge(steel, OUTLINE)
    assert found is not None
    assert found.length == pytest.approx(length, abs=0.01)
    assert OUTLINE.boundary.distance(Point(found.spot)) < 1e-6


def test_a_part_far_from_the_rest_is_astray():
    ring = plate(85, 406, 115, 436)
    assert astray(item(rod((100, 200), (100, 402)), ring), OUTLINE) is None
    assert astray(item(rod((100, 200), (100, 390)), ring), OUTLINE) == pytest.approx((100, 421))
    assert astray(item(rod((700, 200), (700, 460)), plate(85, 300, 115, 330)), OUTLINE) == (700, 330)


def test_steel_beside_the_sign_does_not_meet_it():
    assert not meets_sign(item(rod((700, 100), (700, 200)), plate(600, 0, 650, 50)), OUTLINE)
