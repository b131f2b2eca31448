"""Weight against worked arithmetic: lb = in3 / 1728 x lb per ft3; steel 0.2836 lb/in3 (from memory)."""

import pytest
from shapely import MultiPolygon, box

from signplan.sign.mass import weigh
from signplan.sign.model import Item, PanelPlan, Plate, Pocket, Sign
from signplan.units import KG_PER_POUND, POUNDS_PER_FT3_TO_KG_PER_M3

INCH = 25.4


def rectangle(width: float, height: float) -> MultiPolygon:
    return MultiPolygon([box(0, 0, width * INCH, height * INCH)])


def slab(width: float, height: float, thickness: float, pockets=(), items=()) -> Sign:
    """A plain sign of two panels, sizes in inches; `thickness` is that of both together."""
    outline = rectangle(width, height).geoms[0]
    return Sign(
        outline=outline,
        thickness=thickness * INCH / 2,
        panels=(PanelPlan(id="A", outline=outline, pockets=pockets), PanelPlan(id="B", outline=outline)),
        items=items,
    )


@pytest.mark.parametrize(
    ("size", "pcf", "pounds"),
    [((96, 48, 1), 15, 40.0), ((96, 48, 1.5), 15, 60.0), ((96, 48, 2), 18, 96.0), ((36, 24, 3), 15, 22.5)],
)
def test_board_alone(size, pcf, pounds):
    mass = weigh(slab(*size), pcf * POUNDS_PER_FT3_TO_KG_PER_M3)
    assert mass.total / KG_PER_POUND == pytest.approx(pounds, rel=1e-9)


def test_a_pocket_taken_out_and_a_bar_put_in():
    """22.5 lb - 2 x 12 x 0.27 in of 15 lb board, 0.05625 + a bar 12 x 1 x 1/4 in, 0.8508 = 23.29455 lb."""
    pocket = Pocket(
        id="A/bar-1",
        hardware="bar",
        panel="A",
        depth=0.27 * INCH,
        above=0.0,
        drawn=rectangle(12, 2),
        as_cut=rectangle(12, 2),
        tool="em-1/4",
        mouth=False,
    )
    bar = Item(
        name="bar",
        key="hardware[0]",
        parts=(Plate(outline=rectangle(12, 1), z=0.0, thickness=0.25 * INCH),),
        clearance=0.0,
        depth_clearance=0.0,
        split="both",
    )
    mass = weigh(slab(36, 24, 3, (pocket,), (bar,)), 15 * POUNDS_PER_FT3_TO_KG_PER_M3)
    assert mass.total / KG_PER_POUND == pytest.approx(23.29455, abs=1e-5)


def test_centre_of_gravity_of_board_and_steel():
    """22.5 lb at 18 in and a bar whose weight acts at 6 in: the weighted mean, by statics."""
    bar = Plate(outline=rectangle(12, 1), z=0.0, thickness=0.25 * INCH)
    item = Item(name="bar", key="hardware[0]", parts=(bar,), clearance=0.0, depth_clearance=0.0, split="both")
    mass = weigh(slab(36, 24, 3, (), (item,)), 15 * POUNDS_PER_FT3_TO_KG_PER_M3)
    expected = (22.5 * 18 + 0.8508 * 6) / (22.5 + 0.8508)
    assert mass.centroid[0] / INCH == pytest.approx(expected, abs=1e-5)
    assert mass.centroid[2] == pytest.approx(0.0)
