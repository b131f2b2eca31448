"""Slabs: the board of each panel from every floor to the face."""

import numpy as np
import pytest
from shapely import box

from signplan.geometry.shapes import area_of
from signplan.sign.cavity import depths, distinct, height, near, section, sections, slabs, widest
from signplan.sign.model import Bar, PanelPlan, Plate, Pocket, Sign

OUTLINE = box(0, 0, 100, 80)


def pocket(panel, above, depth, shape):
    area = area_of(shape)
    return Pocket(
        id=f"{panel}-{depth}", hardware="h", panel=panel, depth=depth, above=above, drawn=area, as_cut=area,
        tool="t", mouth=False,
    )  # fmt: skip


@pytest.fixture
def sign():
    stepped = (pocket("A", 0, 5, box(10, 10, 60, 40)), pocket("A", 5, 12, box(20, 20, 30, 30)))
    panels = PanelPlan(id="A", outline=OUTLINE, pockets=stepped), PanelPlan(id="B", outline=OUTLINE)
    return Sign(outline=OUTLINE, thickness=30, panels=panels)


def test_a_slab_begins_at_every_floor(sign):
    found = [(slab.panel, slab.floor, round(slab.board.area)) for slab in slabs(sign)]
    assert found == [("A", 0, 8000 - 1500), ("A", 5, 8000 - 100), ("A", 12, 8000), ("B", 0, 8000)]


def test_what_is_cut_deeper_than_a_floor_is_open_there(sign):
    first, second, last, other = (OUTLINE.difference(slab.board) for slab in slabs(sign))
    assert first.equals(box(10, 10, 60, 40))
    assert second.equals(box(20, 20, 30, 30))
    assert last.is_empty
    assert other.is_empty


def test_close_by_a_slab_is_the_same(sign):
    local = near(slabs(sign)[0], (5, 5, 70, 50))
    assert local.board.area == 65 * 45 - 1500


ROD = Bar(start=(0, 0), end=(10, 0), z=2, profile="round", width=10, height=10)


def test_depths_count_into_each_panel():
    assert depths(ROD, "A") == (-3, 7, 2)
    assert depths(ROD, "B") == (-7, 3, -2)
    assert (height(4, "A"), height(4, "B")) == (4, -4)


@pytest.mark.parametrize(
    ("panel", "floor", "at"),
    [("A", 0, 2), ("A", 5, 5), ("A", 7, None), ("B", 0, 0), ("B", 1, 1), ("B", 3, None), ("A", -9, 2)],
)
def test_the_widest_section_below_a_floor(panel, floor, at):
    assert widest(ROD, panel, floor) == at


def test_sections_of_a_rod_at_several_depths():
    shapes = sections(ROD, "A", np.array([2.0, 5.0, 7.0]))
    assert [round(shape.bounds[3], 6) for shape in shapes] == [5, 4, 0]
    assert shapes[2].geom_type == "LineString"


def test_a_section_in_panel_b_is_at_negative_height():
    assert section(ROD, "B", 1.0).bounds[3] == pytest.approx(4.0)


def test_a_plate_is_the_same_at_every_depth():
    plate = Plate(outline=area_of(box(0, 0, 5, 5)), z=0, thickness=4)
    assert section(plate, "A", 1.0).equals(box(0, 0, 5, 5))


def test_distinct_values_in_order():
    assert distinct([3.0, 1.0, 3.0 + 1e-9, 2.0]) == [1.0, 2.0, 3.0]
