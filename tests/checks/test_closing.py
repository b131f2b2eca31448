"""Closing: the words that a person reads, and each rule on both sides of its limit."""

import re
from dataclasses import replace

import pytest

from signplan.findings import Severity

BAR = """
[[hardware]]
name = "tie bar"
clearance = {clearance}
depth_clearance = {floor}
[[hardware.part]]
shape = "flat"
size = [{long}, 30]
thickness = {thick}
center = [300, 150]
[dowels]
diameter = 10
depth = 15
at = [[40, 40], [560, 40], [560, 260], [40, 360]]
"""


def bar(clearance=1.0, *, floor=1.0, thick=10, long=120):
    return BAR.format(clearance=clearance, floor=floor, thick=thick, long=long)


def test_cavity_tight_says_where_how_much_and_what_would_do(judge):
    found = judge(bar(0.05)).the("cavity-tight")
    assert re.fullmatch(
        r"'tie bar' may not go into its pockets: at \(\S+ mm, \S+ mm, 0\.00 mm\) panel A leaves 0\.05 mm of "
        r"room, and the panels may be out by 0\.13 mm\.",
        found.message,
    )
    x, y, _ = found.spot
    assert x in (240, 360) or y in (135, 165)
    assert found.hint == "A clearance of 0.13 mm would do, or locate the panels better."
    assert (found.where, found.panel, found.unit) == ("hardware[0].clearance", "A", "mm")
    assert found.measured == pytest.approx(-0.075, abs=0.01)


def test_the_clearance_that_is_advised_does(judge):
    needed = 0.05 - judge(bar(0.05)).the("cavity-tight").measured
    assert "cavity-tight" in judge(bar(needed - 0.01)).codes
    assert "cavity-tight" not in judge(bar(needed + 0.001)).codes


def test_room_at_the_floor_is_advised_where_it_is_the_lesser(judge):
    judged = judge(bar(1.0, floor=0.2))
    deep = replace(judged.sign.items[0], parts=(replace(judged.sign.items[0].parts[0], thickness=11.0),))
    found = judged.changed(replace(judged.sign, items=(deep,))).the("cavity-tight")
    assert re.match(r"A clearance of 1\.\d+ mm and a depth_clearance of 0\.\d+ mm would do", found.hint)


def test_steel_that_does_not_go_in_at_all(judge):
    judged = judge(bar(1.0))
    fat = replace(judged.sign.items[0], parts=(replace(judged.sign.items[0].parts[0], thickness=13.0),))
    found = judged.changed(replace(judged.sign, items=(fat,))).the("cavity-tight")
    assert "does not go into its pockets" in found.message
    assert "is in the way by 0.50 mm" in found.message


@pytest.mark.parametrize(("thick", "codes"), [(78.0, {"cavity-deep"}), (77.9, {"web-thin"})])
def test_cavity_deep(judge, thick, codes):
    """Half of it and 1 mm of room make 40: the whole panel."""
    assert judge(bar(thick=thick)).codes - {"cavity-tight", "heat-tight"} == codes


def test_cavity_deep_in_words(judge):
    found = [f for f in judge(bar(thick=90)).findings if f.code == "cavity-deep"]
    assert [f.panel for f in found] == ["A", "B"]
    assert found[0].message == (
        "The pocket for 'tie bar' in panel A is 46.00 mm deep; the panel is 40.00 mm thick. It is "
        "planned as a hole right through."
    )


def test_a_pocket_is_cut_no_deeper_than_the_panel(judge):
    judged = judge(bar(thick=90))
    assert [pocket.depth for panel in judged.sign.panels for pocket in panel.pockets] == [40.0, 40.0]
    assert "cavity-tight" not in judged.codes


ROD = """
[[hardware]]
name = "hanger"
clearance = 1
[[hardware.part]]
shape = "round"
diameter = 12
from = [200, {start}]
to = [200, {end}]
"""


@pytest.mark.parametrize(("start", "end", "way"), [(250, 460, "up"), (-60, 200, "down")])
def test_hardware_not_captive_says_which_way(judge, start, end, way):
    found = judge(ROD.format(start=start, end=end)).the("hardware-not-captive")
    assert found.message == (
        f"'hanger' can slide out of the closed sign: it leaves {way}, seen from side A, without meeting "
        "board."
    )
    assert found.severity is Severity.ERROR
    assert found.spot == pytest.approx((200, (start + end) / 2))


def test_hardware_overlap_in_words(judge):
    found = judge(bar() + ROD.format(start=155, end=460).replace("200", "290")).the("hardware-overlap")
    assert found.message.startswith("'tie bar' and 'hanger' overlap by 10.00 mm at (")
    assert found.where == "hardware[1]"


def test_pocket_corner_gives_the_formula_its_numbers(judge):
    judged = judge(bar(1.0))
    bare = replace(judged.sign, panels=tuple(_without_relief(panel) for panel in judged.sign.panels))
    found = [f for f in judged.changed(bare).findings if f.code == "pocket-corner"]
    assert [f.panel for f in found] == ["A", "B"]
    assert (
        "with 1.00 mm of clearance, and no relief, a corner cut with a radius of 6.00 mm wants 1.76 mm"
        in (found[0].message)
    )


def _without_relief(panel):
    def bare(pocket):
        cleared = pocket.drawn.buffer(-6, quad_segs=32).buffer(6, quad_segs=32)
        return replace(pocket, relief=(), as_cut=type(pocket.as_cut)([cleared]))

    return replace(panel, pockets=tuple(bare(pocket) for pocket in panel.pockets))


@pytest.mark.parametrize(("clearance", "heat"), [(0.38, True), (0.40, False)])
def test_heat_tight(judge, clearance, heat):
    """500 mm over 30 C: 51.3e-6 x 500 x 30 / 2 = .385 at each end."""
    judged = judge(bar(clearance, long=500))
    assert ("heat-tight" in judged.codes) == heat
    if heat:
        assert judged.the("heat-tight").wanted == pytest.approx(0.38475)


def test_steel_that_leaves_the_sign_is_free_to_grow(judge):
    assert "heat-tight" not in judge(ROD.format(start=50, end=460).replace("= 1\n", "= 0.2\n")).codes


def test_steel_outside_the_sign_is_found_and_not_cut_for(judge):
    judged = judge(bar().replace("[300, 150]", "[900, 150]"))
    found = judged.the("hardware-outside")
    assert found.message == (
        "The steel of 'tie bar' lies outside the sign, about (900.00 mm, 150.00 mm). The sign is 600.00 mm "
        "wide and 400.00 mm high."
    )
    assert judged.codes == {"hardware-outside"}
    assert not any(panel.pockets for panel in judged.sign.panels)


def test_steel_that_runs_along_the_edge_is_found(judge):
    found = judge(bar().replace("[300, 150]", "[300, 0]").replace("clearance = 1.0\n", "clearance = 1\n"))
    assert found.the("hardware-outside").message == (
        "'tie bar' sticks out along 120.00 mm of the edge, about (300.00 mm, 0.00 mm): no wall is left "
        "beside it."
    )


def test_the_glue_plane_leaves_room_for_steel_in_one_panel(judge):
    judged = judge(bar().replace("clearance = 1.0\n", 'clearance = 1.0\nsplit = "A"\n', 1))
    assert judged.case.fits[0].room == pytest.approx(1.0, abs=0.01)
    assert judged.case.fits[0].panel == "A"


DEEP = ROD.format(start=100, end=250) + "z = {}\n"


@pytest.mark.parametrize("z", [20, -20])
def test_hardware_loose_says_how_far_it_rattles(judge, z):
    """A rod of 12 with its middle 20 from the glue plane: 14 of its pocket are empty."""
    found = judge(DEEP.format(z)).the("hardware-loose")
    assert found.severity is Severity.WARNING
    assert found.message.startswith("'hanger' lies in one panel, and 14.00 mm of its pocket stays empty")
    assert (found.where, found.measured, found.wanted) == ("hardware[0]", 14.0, 1.0)


def test_steel_that_something_else_holds_does_not_rattle(judge):
    held = DEEP.format(20).replace("clearance = 1", 'clearance = 1\nheld_by = "filler strip"')
    assert "hardware-loose" not in judge(held).codes


def test_steel_under_other_steel_does_not_rattle(judge):
    """A bar of 30 across the glue plane ends 15 up; a rod of 12 begins 1 above it, or 2."""
    over = bar(thick=30).replace("[300, 150]", "[200, 150]")
    assert "hardware-loose" not in judge(DEEP.format(22) + over).codes
    assert "hardware-loose" in judge(DEEP.format(23) + over).codes
