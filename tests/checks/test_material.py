"""Web and wall in words, one finding for each item."""

import pytest

BAR = """
[[hardware]]
name = "tie bar"
clearance = 1
[[hardware.part]]
shape = "flat"
size = [120, 30]
thickness = 10
center = [300, {y}]
"""
SUNK = '[[carve]]\nside = "B"\nas = "{}"\nart = {{ file = "face.dxf", layer = "ART" }}\ndepth = {}\n'


def test_web_thin_in_words(judge, outline):
    found = judge(BAR.format(y=150) + SUNK.format("lower", 26), ART=outline.buffer(-60)).the("web-thin")
    assert found.message.startswith(
        "In panel B the pocket for 'tie bar' and 'B/lower-1' leave 8.00 mm of board between them, at ("
    )
    assert found.message.endswith("10.00 mm is wanted.")
    assert (found.measured, found.wanted, found.where) == (8.0, 10.0, "hardware[0]")


def test_web_thin_prints_its_bound_where_the_carving_slopes(judge, outline):
    stroke = outline.buffer(-100)
    text = BAR.format(y=150) + SUNK.format("incise", 25) + 'tools = ["v-60"]\n'
    assert "web-thin" not in judge(text, ART=stroke).codes
    thick = BAR.format(y=150).replace("thickness = 10", "thickness = 44")
    found = judge(thick + SUNK.format("incise", 25), ART=stroke).the("web-thin")
    assert "(0.50 mm more at most, where the carving slopes)" in found.message


def test_a_pocket_that_meets_the_carving(judge, outline):
    found = judge(BAR.format(y=150) + SUNK.format("lower", 36), ART=outline.buffer(-60)).the("web-thin")
    assert "meet by 2.00 mm" in found.message
    assert found.measured == -2.0


def test_under_the_plain_face(judge):
    found = [f for f in judge(BAR.format(y=150).replace("= 10\n", "= 64\n")).findings if f.code == "web-thin"]
    assert {f.panel for f in found} == {"A", "B"}
    assert "and the face leave 7.00 mm" in found[0].message


def test_wall_thin_in_words(judge):
    found = judge(BAR.format(y=30)).the("wall-thin")
    assert found.message.startswith(
        "In panel A the pocket for 'tie bar' comes within 12.24 mm of the edge at ("
    )
    assert found.measured == pytest.approx(14 - 6 * (1 - 0.5**0.5), abs=0.01)
    assert (found.wanted, found.where) == (20.0, "hardware[0]")
