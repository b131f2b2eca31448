"""Assembly: what a person reads who cannot lay the steel in."""

from dataclasses import replace

import pytest

ROD = """
[[hardware]]
name = "rod"
clearance = 1.0
{more}
[[hardware.part]]
shape = "round"
diameter = 12
from = [300, 100]
to = [300, 200]
"""
YOKE = """
[[hardware]]
name = "yoke"
clearance = 1.0
[[hardware.part]]
shape = "flat"
size = [60, 30]
thickness = 6
center = [270, 150]
z = 12
[[hardware.part]]
shape = "flat"
size = [60, 30]
thickness = 6
center = [270, 150]
z = -12
[[hardware.part]]
shape = "flat"
size = [10, 30]
thickness = 18
center = [245, 150]
"""
PEGS = """
[dowels]
diameter = 10
depth = 15
at = [[40, 40], [560, 40], [560, 260], [40, 360]]
"""
PLATE = """
[[hardware]]
name = "{name}"
clearance = 1.0
split = "{split}"
held_by = "{held_by}"
[[hardware.part]]
shape = "flat"
size = [60, 30]
thickness = 6
center = [{x}, 150]
"""


def test_a_ring_is_told_with_its_places_and_the_way_out(judge):
    found = judge(ROD.format(more="") + YOKE + PEGS).the("assembly-order")
    assert found.message == (
        "'rod' and 'yoke' cannot be laid into panel A one after the other: 'yoke' lies over 'rod' at "
        "(297.00 mm, 150.00 mm), and 'rod' lies over 'yoke' at (297.00 mm, 150.00 mm)."
    )
    assert (found.where, found.spot, found.panel) == ("hardware[0]", found.spot, "A")
    assert "laid_with" in found.hint


def test_what_is_put_together_first_is_no_ring(judge):
    assert judge(ROD.format(more='laid_with = "yoke"') + YOKE + PEGS).codes == set()


def test_steel_that_falls_out_of_the_panel_that_is_turned(judge):
    def both(split, held_by=""):
        left = PLATE.format(name="left", split="A", held_by="", x=200)
        return judge(left + PLATE.format(name="right", split=split, held_by=held_by, x=400) + PEGS)

    found = both("B").the("assembly-turned")
    assert found.message.startswith("'right' lies wholly in panel B, other steel wholly in panel A.")
    assert (found.where, found.panel, found.spot) == ("hardware[1].split", "B", (400, 150))
    assert both("A").codes == both("B", "epoxy").codes == set()


def test_a_recess_without_a_vent_is_told_where_vents_are_asked_for(judge):
    plate = PLATE.format(name="left", split="both", held_by="", x=200) + PEGS
    vented = judge(plate + "[work]\nvents = 3\n")
    assert vented.codes == judge(plate).codes == set()
    a, b = vented.sign.panels
    assert len(a.vents) == 5
    bare = vented.changed(replace(vented.sign, panels=(replace(a, vents=a.vents[1:]), b)))
    found = bare.the("glue-trapped")
    assert found.message.startswith(
        "No vent leads from the closed recess of 'dowel 1' at (40.00 mm, 40.00 mm):"
    )
    assert (found.where, found.spot) == ("work.vents", pytest.approx((40, 40)))
