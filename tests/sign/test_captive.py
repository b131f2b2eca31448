"""Captive or not: slides straight, round bends, and past items that hold."""

import math
from dataclasses import replace

import pytest

from signplan.sign.assemble import closing


def rod(x=200, start=250, end=460, *, name="rod", size=12, held_by="", clearance=1):
    return f"""
[[hardware]]
name = "{name}"
clearance = {clearance}
held_by = "{held_by}"
[[hardware.part]]
shape = "round"
diameter = {size}
from = [{x}, {start}]
to = [{x}, {end}]
"""


def also(x, y, *, size=25, thickness=10, along="[0, 1]"):
    """A disc on the rod before."""
    return f"""
[[hardware.part]]
shape = "round"
diameter = {size}
at = [{x}, {y}]
along = {along}
thickness = {thickness}
"""


def flat(name, x, y, long, wide, *, thickness=10, angle=0, clearance=1):
    return f"""
[[hardware]]
name = "{name}"
clearance = {clearance}
[[hardware.part]]
shape = "flat"
size = [{long}, {wide}]
thickness = {thickness}
center = [{x}, {y}]
angle = {angle}
"""


def fits(judge, text):
    sign = judge(text).sign
    return {fit.name: fit for fit in closing(sign, {})}


def test_a_plain_rod_leaves_through_its_mouth(judge):
    fit = fits(judge, rod())["rod"]
    assert not fit.captive
    assert (fit.way_out, fit.slides) == (90, math.inf)


@pytest.mark.parametrize("x", [0, 120])
def test_a_rod_leaves_along_its_axis_whatever_its_angle(judge, x):
    text = rod().replace("from = [200, 250]", f"from = [{200 + x}, 250]")
    fit = fits(judge, text)["rod"]
    expected = math.degrees(math.atan2(210, -x))
    assert fit.way_out == pytest.approx(expected, abs=0.01)


def test_a_rod_with_a_collar_is_held(judge):
    fit = fits(judge, rod() + also(200, 270))["rod"]
    assert fit.captive
    assert fit.way_out is None
    assert fit.slides < 1.5


def test_a_collar_no_thicker_than_the_clearance_gives_way_holds_nothing(judge):
    """The mouth is 14 wide; a collar of 13.9 passes, one of 14.1 does not."""
    assert not fits(judge, rod() + also(200, 270, size=13.9))["rod"].captive
    assert fits(judge, rod() + also(200, 270, size=14.1))["rod"].captive


def test_a_bar_with_board_all_round_it_is_held(judge):
    assert fits(judge, flat("bar", 300, 150, 120, 30))["bar"].slides < 2.5


def test_what_else_holds_it_counts(judge):
    fit = fits(judge, rod(held_by="welded stop"))["rod"]
    assert fit.captive
    assert fit.way_out == 90
    assert math.isinf(fit.slides)


def test_a_pin_holds_a_rod_only_if_the_pin_is_held(judge):
    """A cross pin through the rod's path: board holds the pin, and the pin holds the rod's head."""
    head = rod(start=200, end=460) + also(200, 210, size=13, thickness=10)
    stop = flat("stop", 200, 300, 60, 10, thickness=30, clearance=0.5)
    alone = fits(judge, head)
    assert not alone["rod"].captive
    below = flat("stop", 200, 190, 60, 10, thickness=30, clearance=0.5)
    assert not fits(judge, head + below)["rod"].captive
    through = fits(judge, head + stop)
    assert through["stop"].captive
    assert through["rod"].captive


def test_two_items_that_only_hold_each_other_are_both_free(judge):
    """Both leave through the same mouth, one behind the other: the first out frees the second."""
    first = rod(start=300, end=460, name="first")
    second = rod(start=200, end=299, name="second")
    found = fits(judge, first + second)
    assert not found["first"].captive
    assert not found["second"].captive


def test_an_item_that_leaves_round_a_bend(judge):
    """A block in a channel that turns: no straight way out."""
    block = flat("block", 100, 100, 20, 20)
    path = rod(x=200, start=100, end=460, name="up", size=40, held_by="x")
    across = """
[[hardware]]
name = "across"
clearance = 1
held_by = "x"
[[hardware.part]]
shape = "round"
diameter = 40
from = [80, 100]
to = [210, 100]
"""
    sign = judge(block + path + across).sign
    alone = replace(sign, items=sign.items[:1])
    (fit,) = closing(alone, {})
    assert not fit.captive
    assert fit.way_out in (0.0, 360.0)


def test_steel_that_overlaps_board_is_still_judged(judge):
    """A pocket too tight does not make a rod captive."""
    sign = judge(rod()).sign
    (item,) = sign.items
    fat = replace(item, parts=tuple(replace(p, width=15.0, height=15.0) for p in item.parts))
    (fit,) = closing(replace(sign, items=(fat,)), {})
    assert fit.room < 0
    assert not fit.captive
