import io
import math
import os
import pickle
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf.document import Drawing
from ezdxf.math import bulge_to_arc
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Point, Polygon

from signplan.artwork.importer import read_artwork
from signplan.documents.setup_dxf import circle_of, render_setup_dxf
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup
from signplan.sign.model import Channel, Vent

Points = NDArray[np.float64]


def _read(text: str) -> Drawing:
    return ezdxf.read(io.StringIO(text))


def _setup(plan: Plan, name: str) -> PlannedSetup:
    return next(each for each in plan.setups if each.setup.id == name)


def _layers(drawing: Drawing) -> set[str]:
    return {entity.dxf.layer for entity in drawing.modelspace()}


def test_opens_clean(plan: Plan, plan_mm: Plan) -> None:
    for each in (plan, plan_mm):
        for setup in each.setups:
            audit = _read(render_setup_dxf(each, setup)).audit()
            assert not audit.errors
            assert not audit.fixes


def test_lines_of_channels_and_vents_are_drawn_on_layers_of_their_own(plan: Plan) -> None:
    inner = next(each for each in plan.setups if each.setup.face == "inner" and "A" in each.setup.panels)
    assert not any(layer.startswith("CHANNEL") for layer in _layers(_read(render_setup_dxf(plan, inner))))
    first, second = plan.sign.panels
    channel = Channel(lines=(LineString([(228.6, 400.0), (228.6, 600.0)]),), radius=6.35, depth=5.5)
    pockets = (replace(first.pockets[0], channel=channel), *first.pockets[1:])
    vent_line = LineString([(200.0, 48.3), (200.0, -2.5)])
    vent = Vent(panel="A", recess="dowel 1", line=vent_line, width=3.0, depth=1.5, tool="em-1/8")
    sign = replace(plan.sign, panels=(replace(first, pockets=pockets, vents=(vent,)), second))
    shown = _read(render_setup_dxf(replace(plan, sign=sign), inner))
    (line,) = (e for e in shown.modelspace() if e.dxf.layer == f"CHANNEL-{pockets[0].hardware}")
    (x0, y0), (x1, y1) = ((point[0], point[1]) for point in line.get_points())
    assert math.dist((x0, y0), (x1, y1)) == pytest.approx(200 / 25.4)
    (groove,) = (e for e in shown.modelspace() if e.dxf.layer == "VENT")
    (x0, y0), (x1, y1) = ((point[0], point[1]) for point in groove.get_points())
    assert math.dist((x0, y0), (x1, y1)) == pytest.approx(2)


def test_same_plan_same_bytes_and_the_global_option_is_put_back(plan: Plan) -> None:
    first = render_setup_dxf(plan, plan.setups[0])
    assert render_setup_dxf(plan, plan.setups[0]) == first
    assert not ezdxf.options.write_fixed_meta_data_for_testing


HASHED = """
import hashlib, pathlib, pickle, sys
from signplan.documents.setup_dxf import render_setup_dxf
plan = pickle.loads(pathlib.Path(sys.argv[1]).read_bytes())
print(hashlib.sha256(render_setup_dxf(plan, plan.setups[0]).encode()).hexdigest())
"""


def test_same_bytes_whatever_order_sets_come_in(plan: Plan, tmp_path: Path) -> None:
    """Python orders a set of names anew in every process, unless the seed is fixed."""
    (tmp_path / "plan").write_bytes(pickle.dumps(plan))
    found = {
        subprocess.run(
            [sys.executable, "-c", HASHED, str(tmp_path / "plan")],
            env=os.environ | {"PYTHONHASHSEED": str(seed)},
            check=True,
            capture_output=True,
        ).stdout
        for seed in range(4)
    }
    assert len(found) == 1


def test_one_layer_a_thing(plan: Plan) -> None:
    inner = _layers(_read(render_setup_dxf(plan, _setup(plan, "AB-inner"))))
    pockets = {"POCKET-left hanger", "POCKET-right hanger", "POCKET-weight plate"}
    assert inner == {"BLANK", "OUTLINE-A", "OUTLINE-B", "DOWEL", "PIN", *pockets}
    outer = _layers(_read(render_setup_dxf(plan, _setup(plan, "AB-outer"))))
    carvings = {"CARVE-raise-1", "CARVE-incise-1", "CARVE-line-1", "CARVE-bore-1", "CARVE-edge-1"}
    assert outer == {"BLANK", "OUTLINE-A", "OUTLINE-B", "PIN", *carvings}


def test_areas_are_closed_and_round_holes_are_circles(plan: Plan) -> None:
    for setup in plan.setups:
        space = _read(render_setup_dxf(plan, setup)).modelspace()
        assert all(line.closed for line in space.query("LWPOLYLINE"))
        for layer in ("PIN", "DOWEL", "CARVE-bore-1"):
            assert {entity.dxftype() for entity in space.query(f'*[layer=="{layer}"]')} <= {"CIRCLE"}


def test_the_inverse_placement_leads_back_to_the_assembly(plan: Plan) -> None:
    setup = _setup(plan, "AB-inner")
    space = _read(render_setup_dxf(plan, setup)).modelspace()
    ways = dict(setup.setup.placements)
    drawn = [
        np.array([(x * 25.4, y * 25.4, bulge) for x, y, bulge in line.get_points("xyb")])
        for line in space.query('LWPOLYLINE[layer=="POCKET-left hanger"]')
    ]
    meant = [np.array(p.as_cut.geoms[0].exterior.coords)[:-1] for p in plan.sign.panel("A").pockets[:3]]
    assert len(drawn) == 6
    for panel, rings in (("A", drawn[:3]), ("B", drawn[3:])):
        for ring, wanted in zip(rings, meant, strict=True):
            found = np.array([ways[panel].inverse().point(x, y) for x, y, _ in ring])
            assert _farthest(found, wanted) < 1e-6
            there = np.array([ways[panel].point(*corner) for corner in wanted])
            assert _off(there, ring) < 1e-6


def _off(corners: Points, rows: Points) -> float:
    """The greatest distance from any corner to a closed line with bulges; arcs by ezdxf."""
    off = []
    for (x, y, bulge), end in zip(rows, np.roll(rows[:, :2], -1, axis=0), strict=True):
        if bulge:
            center, start, stop, radius = bulge_to_arc((x, y), end, bulge)
            spokes = corners - (center.x, center.y)
            inside = (np.arctan2(*spokes.T[::-1]) - start + 1e-6) % math.tau <= (
                stop - start
            ) % math.tau + 2e-6
            off.append(np.where(inside, np.abs(np.hypot(*spokes.T) - radius), np.inf))
        else:
            off.append(np.array([LineString([(x, y), end]).distance(Point(corner)) for corner in corners]))
    return float(np.min(off, axis=0).max())


def _farthest(points: Points, others: Points) -> float:
    """The greatest distance from any of the points to the nearest of the others."""
    apart = np.hypot(*(points[:, None, :] - others[None, :, :]).transpose(2, 0, 1))
    return float(apart.min(axis=1).max())


PLATE = ((10, 10, 0), (250, 10, 0.41421356), (270, 30, 0), (270, 80, -0.6), (270, 120, 1), (210, 120, 0),
         (150, 150, 2.5), (130, 150, 0.2), (40, 150, 0.05), (10, 100, 0))  # fmt: skip
"""Corners with bulges: rounded, bitten, a half circle, a round head, two arcs in a row."""


def _drawn_with_arcs(path: Path) -> Polygon:
    """PLATE, a loop of lines and ARCs and a CIRCLE, drawn and read: one outline with two holes."""
    source = ezdxf.new("R2010", units=4)
    space = source.modelspace()
    space.add_lwpolyline(PLATE, format="xyb", close=True)
    space.add_line((60, 40), (100, 40))
    space.add_arc((100, 55), 15, -90, 90)
    space.add_line((100, 70), (60, 70))
    space.add_arc((60, 55), 15, 90, 270)
    space.add_circle((180, 60), 12)
    source.saveas(path)
    art, findings = read_artwork(path)
    assert not findings
    (layer,) = art.layers
    (region,) = layer.regions
    return region.shape


def _arcs(rows: Points) -> Points:
    """The arcs of a closed line, (x, y, x, y, bulge), whichever way it runs."""
    there = np.column_stack((rows[:, :2], np.roll(rows[:, :2], -1, axis=0), rows[:, 2]))[rows[:, 2] != 0]
    back = there[:, (2, 3, 0, 1, 4)] * (1, 1, 1, 1, -1)
    ahead = there[:, :4] @ (-1, -0.3, 1, 0.3) > 0
    one_way = np.where(ahead[:, None], there, back)
    return one_way[np.argsort(one_way[:, :2] @ (1, 0.3))]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_arcs_of_a_drawing_come_back_through_the_placement(
    plan: Plan, plan_mm: Plan, units: str, tmp_path: Path
) -> None:
    """Both panels, on both faces: half of the placements mirror, and turn the sign of every bulge."""
    plan = plan if units == "in" else plan_mm
    scale = 25.4 if units == "in" else 1.0
    outline = MultiPolygon([_drawn_with_arcs(tmp_path / "plate.dxf")])
    panels = tuple(replace(each, outline=outline) for each in plan.sign.panels)
    placed = replace(plan, sign=replace(plan.sign, panels=panels))
    mirrored = set()
    for setup in placed.setups:
        space = _read(render_setup_dxf(placed, setup)).modelspace()
        for panel, way in setup.setup.placements:
            lines = space.query(f'LWPOLYLINE[layer=="OUTLINE-{panel}"]')
            shell, slot = sorted(
                (np.array(line.get_points("xyb")) * (scale, scale, 1) for line in lines), key=len
            )[::-1]
            for ring, wanted in ((shell, np.array(PLATE, dtype=float)), (slot, SLOT)):
                back = [(*way.inverse().point(x, y), bulge * way.determinant) for x, y, bulge in ring]
                assert _arcs(np.array(back)) == pytest.approx(_arcs(wanted), abs=1e-6)
            (circle,) = space.query(f'CIRCLE[layer=="OUTLINE-{panel}"]')
            middle = circle.dxf.center * scale
            assert way.inverse().point(middle.x, middle.y) == pytest.approx((180, 60), abs=1e-6)
            assert circle.dxf.radius * scale == pytest.approx(12, abs=1e-6)
            mirrored.add(way.determinant)
    assert mirrored == {1, -1}


SLOT = np.array([(60, 40, 0), (100, 40, 1), (100, 70, 0), (60, 70, 1)], dtype=float)


def test_arcs_of_an_svg_are_arcs(plan: Plan, tmp_path: Path) -> None:
    """A path with an arc, and a rectangle with round corners in a group that is turned and enlarged."""
    (tmp_path / "art.svg").write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="400mm" height="300mm" viewBox="0 0 400 300">'
        '<g transform="translate(200 60) rotate(30) scale(1.5)"><rect width="80" height="50" rx="9"/></g>'
        '<path d="M20 200 H120 A50 50 0 0 1 20 200 Z"/></svg>',
        encoding="utf-8",
    )
    art, _ = read_artwork(tmp_path / "art.svg")
    outline = MultiPolygon([region.shape for region in art.layers[0].regions])
    a, b = plan.sign.panels
    placed = replace(plan, sign=replace(plan.sign, panels=(replace(a, outline=outline), b)))
    space = _read(render_setup_dxf(placed, placed.setups[0])).modelspace()
    found = [[bulge for *_, bulge in each.get_points("xyb")] for each in space.query('*[layer=="OUTLINE-A"]')]
    half, rounded = sorted((sorted(map(abs, bulges)) for bulges in found), key=len)
    assert half == pytest.approx([0, 1], abs=1e-6)
    assert rounded == pytest.approx([0] * 4 + [math.tan(math.pi / 8)] * 4, abs=1e-6)


def test_lines_without_arcs_are_drawn_as_they_are(plan: Plan) -> None:
    space = _read(render_setup_dxf(plan, plan.setups[0])).modelspace()
    (blank,) = space.query('LWPOLYLINE[layer=="BLANK"]')
    assert [bulge for *_, bulge in blank.get_points("xyb")] == [0, 0, 0, 0]


def test_a_curve_that_is_no_arc_stays_chords(plan: Plan) -> None:
    """The arch of the outline is a sine's."""
    for setup in plan.setups:
        for line in (
            _read(render_setup_dxf(plan, setup)).modelspace().query('LWPOLYLINE[layer ? "OUTLINE.*"]')
        ):
            assert not any(bulge for *_, bulge in line.get_points("xyb"))


@pytest.mark.parametrize(("name", "layer"), [("a/b: c", "POCKET-a-b- c"), ("bar (1)", "POCKET-bar (1)")])
def test_a_name_that_no_layer_may_have_is_made_one(plan: Plan, name: str, layer: str) -> None:
    a, b = plan.sign.panels
    renamed = tuple(replace(pocket, hardware=name) for pocket in a.pockets)
    sign = replace(plan.sign, panels=(replace(a, pockets=renamed), replace(b, pockets=())))
    text = render_setup_dxf(replace(plan, sign=sign), plan.setups[0])
    assert layer in _layers(_read(text))


def test_a_square_is_no_circle() -> None:
    corners = [(0, 0), (1, 0), (2, 0), (2, 1), (2, 2), (1, 2), (0, 2), (0, 1)]
    assert circle_of(Polygon(corners)) is None
