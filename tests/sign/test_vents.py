"""Vents: every one falls to the open and crosses nothing, whatever lies about."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import Phase, assume, given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Point, Polygon, affinity, box

from signplan.geometry.shapes import area_of
from signplan.job.shop import Tool
from signplan.sign.model import Carving, Dowel, PanelPlan, Pocket, Sign
from signplan.sign.vents import DEEP, FALL, closed_recesses, trapped, vent_cutter, vented

OUTLINE = Polygon([(0, 0), (600, 0), (600, 300), (500, 400), (0, 400)])
WEB = 6.0


def cutter(diameter, number=1, **more):
    usual = {"shape": "flat", "flutes": 2, "cutting_length": 15, "reach": 20}
    return Tool(number=number, id=f"em-{diameter:g}", diameter=diameter, **{**usual, **more})


TOOLS = (cutter(6), cutter(3), cutter(2))


def pocket(shape, name="bar", panel="A"):
    area = area_of(shape)
    return Pocket(
        id=f"{panel}/{name}-1", hardware=name, panel=panel, depth=8, above=0, drawn=area, as_cut=area,
        tool="em-6", mouth=not OUTLINE.covers(area),
    )  # fmt: skip


def dowel(x, y):
    return Dowel(x=x, y=y, diameter=10, depth=15)


def sign(*shapes, dowels=(), carvings=(), outline=OUTLINE):
    pockets = tuple(pocket(shape, f"item {k}") for k, shape in enumerate(shapes))
    a = PanelPlan(id="A", outline=outline, pockets=pockets, dowels=tuple(dowels), carvings=tuple(carvings))
    b = PanelPlan(id="B", outline=outline, dowels=tuple(dowels))
    return Sign(outline=outline, thickness=40, panels=(a, b), web=WEB, wall=10)


def ground(shape, depth):
    return Carving(
        id="A/lower-1", key="carve[0]", side="A", treatment="lower", shape=MultiPolygon([shape]), depth=depth
    )


def vents_of(made):
    return [vent for panel in made.panels for vent in panel.vents]


def test_what_has_a_mouth_and_what_has_none():
    made = sign(box(100, 100, 200, 130), box(300, 300, 320, 500), dowels=[dowel(50, 50), dowel(150, 110)])
    assert [each.name for each in closed_recesses(made)] == ["dowel 1", "item 0"]
    assert [each.name for each in trapped(made)] == ["dowel 1", "item 0"]


def test_pockets_of_both_panels_that_meet_are_one_recess():
    made = sign(box(100, 100, 200, 130))
    b = PanelPlan(id="B", outline=OUTLINE, pockets=(pocket(box(150, 120, 220, 140), "other", "B"),))
    (only,) = closed_recesses(Sign(outline=OUTLINE, thickness=40, panels=(made.panels[0], b)))
    assert only.name == "item 0 and other"


def test_straight_down_where_that_is_free():
    (vent,) = vents_of(vented(sign(box(100, 100, 200, 130)), 3.0, TOOLS))
    (x0, y0), (x1, y1) = vent.line.coords
    assert x0 == pytest.approx(x1, abs=0.01)
    assert 100 < y0 < 102
    assert y1 == pytest.approx(-1.5 - 1.0, abs=0.01)
    assert (vent.panel, vent.recess, vent.tool, vent.width, vent.depth) == ("A", "item 0", "em-3", 3, 1.5)


def test_into_an_open_recess_where_that_is_nearer():
    made = vented(sign(box(100, 200, 200, 230), box(90, 150, 700, 170)), 3.0, TOOLS)
    (vent,) = vents_of(made)
    assert 150 < vent.line.coords[-1][1] < 170
    assert trapped(made) == ()


def test_in_the_other_panel_if_more_find_a_way_there():
    """Deep ground in A's face under all that lies below the pockets."""
    carved = [ground(box(0, 0, 600, 99), 34)]
    made = vented(sign(box(250, 200, 300, 230), box(30, 100, 560, 120), carvings=carved), 3.0, TOOLS)
    assert [vent.panel for vent in vents_of(made)] == ["B", "B"]
    assert trapped(made) == ()


def test_it_goes_round_a_corner_if_it_must():
    wall = box(200, 100, 400, 190)
    made = vented(sign(box(280, 230, 320, 250), dowels=[]), 3.0, TOOLS)
    straight = vents_of(made)[0].line.length
    carved = [ground(wall, 34), ground(box(0, 0, 160, 300), 34), ground(box(440, 0, 600, 300), 34)]
    turned = sign(box(280, 230, 320, 250), carvings=carved)
    turned = Sign(
        outline=OUTLINE,
        thickness=40,
        panels=(turned.panels[0], PanelPlan(id="B", outline=OUTLINE, carvings=tuple(carved))),
        web=WEB,
    )
    (vent,) = vents_of(vented(turned, 3.0, TOOLS))
    assert len(vent.line.coords) > 2
    assert vent.line.length > straight
    aside = math.sqrt(WEB**2 - (40 - 34 - vent.depth) ** 2)
    assert vent.line.distance(wall) >= aside + vent.width / 2


def test_no_way_down_is_told_and_nothing_is_cut():
    floor = [ground(box(-1, 0, 601, 180), 34)]
    shut = sign(box(280, 230, 320, 250))
    panels = tuple(
        PanelPlan(id=p.id, outline=box(0, 0, 600, 400), pockets=p.pockets, carvings=tuple(floor))
        for p in shut.panels
    )
    made = vented(Sign(outline=box(0, 0, 600, 400), thickness=40, panels=panels, web=300.0), 3.0, TOOLS)
    assert vents_of(made) == []
    assert [each.name for each in trapped(made)] == ["item 0"]


def test_the_largest_cutter_that_is_no_wider():
    assert vent_cutter(TOOLS, 3.2).id == "em-3"
    assert vent_cutter(TOOLS, 2.9).id == "em-2"
    assert vent_cutter((*TOOLS, cutter(3.1, cutting_length=1.5)), 3.2).id == "em-3"
    assert vent_cutter(TOOLS, 1.9) is None
    (vent,) = vents_of(vented(sign(box(100, 100, 200, 130)), 1.9, TOOLS))
    assert (vent.width, vent.tool) == (1.9, "")


places = st.tuples(
    st.floats(30, 570), st.floats(30, 370), st.floats(12, 120), st.floats(12, 50), st.floats(0, 180)
)


@settings(max_examples=60, deadline=None, derandomize=True, phases=[Phase.generate])
@given(
    st.lists(places, min_size=1, max_size=6),
    st.lists(st.tuples(st.floats(25, 575), st.floats(25, 375)), max_size=4),
)
def test_every_vent_reaches_the_open_and_crosses_nothing(pockets, pegs):
    """Random pockets, some with mouths, and dowels. A vent falls all the way; but for the recess that it
    comes from and the one that it ends in, it keeps the web to every recess and to every other vent."""
    shapes = [
        affinity.rotate(box(x - w / 2, y - h / 2, x + w / 2, y + h / 2), a) for x, y, w, h, a in pockets
    ]
    shapes = [shape for k, shape in enumerate(shapes) if all(shape.distance(o) > 20 for o in shapes[:k])]
    shapes = [s for s in shapes if OUTLINE.contains(s) or s.intersection(OUTLINE).area > 50]
    spots = [Point(p) for p in pegs]
    spots = [p for k, p in enumerate(spots) if all(p.distance(o) > 30 for o in (*shapes, *spots[:k]))]
    assume(all(OUTLINE.boundary.distance(p) > 12 for p in spots))
    made = vented(sign(*shapes, dowels=[dowel(p.x, p.y) for p in spots]), 3.0, TOOLS)
    vents = vents_of(made)
    assert len({vent.panel for vent in vents}) <= 1
    everything = [*(s & OUTLINE for s in shapes), *(p.buffer(5) for p in spots)]
    shut = {each.name: each.shape for each in closed_recesses(made)}
    opened = [s for s in everything if s.intersects(OUTLINE.boundary)]
    for k, vent in enumerate(vents):
        own, points = shut[vent.recess], shapely.get_coordinates(vent.line)
        steps = np.diff(points, axis=0)
        assert (-steps[:, 1] >= FALL * np.abs(steps[:, 0])).all()
        assert own.covers(Point(points[0]))
        end = Point(points[-1])
        goals = [shape for shape in opened if shape.intersects(end)]
        assert goals or OUTLINE.distance(end) >= vent.width / 2
        rest = [s for s in everything if not s.intersects(own) and not any(s.intersects(g) for g in goals)]
        rest += [
            v.line.buffer(v.width / 2) for v in vents[:k] if not any(v.line.intersects(g) for g in goals)
        ]
        assert min((vent.line.distance(s) for s in rest), default=math.inf) >= WEB + vent.width / 2 - 0.01
        opened += [own, vent.line.buffer(vent.width / 2)]
    assert {each.name for each in trapped(made)} == set(shut) - {vent.recess for vent in vents}


@pytest.mark.parametrize(("carved", "panel"), [(40 - 1.5 - WEB, "A"), (40 - 1.5 - WEB + 0.1, "B")])
def test_it_keeps_the_web_under_the_carving(carved, panel):
    """3 wide it is 1.5 deep; a carving as deep as leaves the web over it may lie there, a deeper one not."""
    assert DEEP * 3 == 1.5
    below = ground(box(-1, -1, 601, 300), carved)
    (vent,) = vents_of(vented(sign(box(100, 100, 200, 130), carvings=[below]), 3.0, TOOLS))
    assert vent.panel == panel
