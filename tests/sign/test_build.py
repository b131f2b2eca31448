"""The whole sign: what is asked for on both panels, and that everything across the glue plane agrees."""

import pytest
from shapely import Point, Polygon, affinity, box

from signplan.errors import InputError
from signplan.sign.build import build_sign
from signplan.sign.register import turned, view

JOB = """
[[hardware]]
name = "hanger"
clearance = 1
[[hardware.part]]
shape = "round"
diameter = 12
from = [200, 250]
to = [200, 460]
[[hardware.part]]
shape = "hex"
across_flats = 19
at = [200, 270]
along = [0, 1]
thickness = 10
[[carve]]
side = "both"
as = "incise"
art = { file = "face.dxf", layer = "FLAG" }
depth = 4
[[carve]]
side = "A"
as = "edge"
[dowels]
diameter = 10
depth = 15
"""
FLAG = Polygon([(40, 60), (90, 60), (90, 66), (46, 66), (46, 110), (40, 110)])


@pytest.fixture
def sign(judge):
    return judge(JOB, FLAG=FLAG).sign


def test_it_is_as_thick_and_wide_as_asked_for(sign):
    assert (sign.width, sign.height, sign.thickness) == (600, 400, 40)
    assert (sign.web, sign.wall, sign.border) == (10, 20, 40)


def test_pockets_of_both_panels_coincide(sign):
    """A pocket that was mirrored once too often or too seldom would lie at x = 400."""
    a, b = sign.panels
    assert [p.id for p in a.pockets] == ["A/hanger-1", "A/hanger-2"]
    for one, other in zip(a.pockets, b.pockets, strict=True):
        assert one.as_cut.hausdorff_distance(other.as_cut) < 1e-6
        assert one.as_cut.covers(Point(200, 270))


def test_on_the_table_the_inner_faces_are_mirror_images(sign):
    """Seen from their own inner faces the rod is 400 from the left on A and 200 from the left on B."""
    a, b = (view(panel, "inner", 600).shape(sign.panel(panel).pockets[0].as_cut) for panel in "AB")
    assert a.centroid.x == pytest.approx(400)
    assert b.centroid.x == pytest.approx(200)
    assert a.equals_exact(affinity.scale(b, -1, 1, origin=(300, 0)), 1e-6, normalize=True)


def test_art_reads_right_on_both_outer_faces(sign):
    for panel in sign.panels:
        seen = view(panel.id, "outer", 600).shape(panel.carvings[0].shape)
        assert seen.equals(FLAG)


def test_art_and_pocket_of_a_panel_lie_as_they_will_on_a_blank_that_is_turned(sign):
    """Inner face first, then turned like a page: the pocket under the flag is under the flag from behind."""
    inner = view("A", "inner", 600)
    over = inner.then(turned((600, 400), "side"))
    outer = view("A", "outer", 600)
    assert over.point(200, 270) == outer.point(200, 270)


def test_carvings_are_numbered_and_only_on_their_side(sign):
    assert [c.id for c in sign.panel("A").carvings] == ["A/incise-1", "A/edge-1"]
    assert [c.id for c in sign.panel("B").carvings] == ["B/incise-1"]


def test_dowels_are_the_same_in_both_panels(sign):
    assert sign.panels[0].dowels == sign.panels[1].dowels
    assert len(sign.panels[0].dowels) == 4


def test_a_job_without_dowels_has_none(judge):
    assert judge("").sign.panels[0].dowels == ()


def test_hardware_may_leave_through_an_outline_of_its_own(judge):
    """Side B stands back where the rod leaves: its mouth is cut at its own edge."""
    b = Polygon([(0, 0), (600, 0), (600, 390), (100, 390), (0, 290)])
    judged = judge('outline_b = { file = "face.dxf", layer = "B" }\n' + JOB, FLAG=FLAG, B=b)
    tops = [panel.pockets[0].drawn.bounds[3] - panel.outline.bounds[3] for panel in judged.sign.panels]
    assert tops == pytest.approx([tops[0]] * 2)


def test_findings_of_both_sides_come_back(judge):
    judged = judge(JOB.replace('layer = "FLAG"', 'layer = "FAR"'), FAR=box(590, 60, 620, 70))
    assert sorted(f.panel for f in judged.findings if f.code == "art-outside") == ["A", "B"]


def test_a_layer_that_is_not_there_stops_the_program(draw, read_job, shop, outline):
    files = {"face.dxf": draw({"OUTLINE": outline})}
    with pytest.raises(InputError, match=r"carve\[0\]\.art\.layer: no layer 'FLAG'"):
        build_sign(read_job(JOB), shop, files, {})


def test_the_same_sign_every_time(judge):
    assert judge(JOB, FLAG=FLAG).sign == judge(JOB, FLAG=FLAG).sign


def test_names_that_differ_by_a_capital_have_pockets_of_their_own(judge):
    part = '[[hardware.part]]\nshape = "flat"\nsize = [60, 20]\nthickness = 8\ncenter = [{}, 150]\n'
    text = "".join(
        f'[[hardware]]\nname = "{name}"\nclearance = 1\n{part.format(x)}'
        for name, x in (("bar", 150), ("Bar", 400))
    )
    pockets = [pocket for panel in judge(text).sign.panels for pocket in panel.pockets]
    assert [pocket.id for pocket in pockets] == ["A/bar-1", "A/bar-2-1", "B/bar-1", "B/bar-2-1"]
