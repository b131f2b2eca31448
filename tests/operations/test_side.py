"""One face of one panel: what it shows, what stands on its ground, and the work common to both faces."""

import pytest
from shapely import Point, box

from signplan.geometry.shapes import area_of
from signplan.operations.cutters import bench
from signplan.operations.model import Operation
from signplan.operations.room import Room
from signplan.operations.side import LAST, Side


@pytest.fixture
def side(everything, shop):
    def make(panel="A", face="outer"):
        return Side.of(everything, panel, face, bench=bench(shop(), "foam"), units="mm")

    return make


def test_a_side_shows_the_outline_as_seen_from_in_front(side):
    slanted_corner = Point(599, 399)
    assert not side("A", "outer").outline.contains(slanted_corner)
    assert side("A", "inner").outline.contains(slanted_corner)
    assert side("B", "outer").outline.contains(slanted_corner)


def test_a_feature_knows_its_way_back_to_the_assembly_frame(side):
    spot = side("A", "inner").feature("A/bar-1", "hardware[0]").spot
    assert spot.back.point(100, 50) == (500, 50)


def test_a_region_is_roughed_rested_and_finished_in_stages(side):
    work = side()
    tools = [tool for tool in work.bench.shop.tools if tool.id in ("em-12", "em-6", "em-3")]
    feature = work.feature("A/lower-9", "carve[9]", "lower")
    made = list(work.clear(feature, Room(region=area_of(box(0, 0, 90, 70))), (2.0, 8.0), tools=tools))
    assert [(each.id, each.tool, each.stage) for each in made if isinstance(each, Operation)] == [
        ("A/outer/lower-9/rough", "em-12", 0),
        ("A/outer/lower-9/rest", "em-6", 1),
        ("A/outer/lower-9/rest-2", "em-3", 2),
        ("A/outer/lower-9/finish", "em-3", LAST),
    ]
    assert {"em-12", "em-6", "em-3"} <= work.bench.in_use


def test_named_tools_that_fit_a_hole_come_first(side):
    work = side()
    em_3 = work.bench.shop.tool("em-3")
    assert em_3 is not None
    feature = work.feature("A/bore-9", "carve[9]", "bore")
    (made,) = work.holes(feature, "bore", [(50.0, 50.0)], size=(10.0, 0.0, 8.0), tools=(em_3,))
    assert isinstance(made, Operation)
    assert made.tool == "em-3"
