"""What a setup's DXF says, read by ezdxf and taken through the inverse placement, is the sign again."""

from pathlib import Path

import ezdxf
import numpy as np
import pytest
from ezdxf import units

from signplan.documents.setup_dxf import render_setup_dxf
from signplan.plan import Plan, make_plan

ROOT = Path(__file__).parent.parent.parent


@pytest.fixture(scope="module", params=["gannet-and-thrum", "tansyrigg-orchard"])
def plan(request) -> Plan:
    return make_plan(ROOT / "demo_jobs" / request.param)


@pytest.fixture(scope="module")
def drawings(plan, tmp_path_factory):
    """Every setup's drawing, read back."""
    folder = tmp_path_factory.mktemp("dxf")
    for planned in plan.setups:
        (folder / f"{planned.setup.id}.dxf").write_text(render_setup_dxf(plan, planned), encoding="utf-8")
    return {planned.setup.id: ezdxf.readfile(folder / f"{planned.setup.id}.dxf") for planned in plan.setups}


def _corners(drawing, layer: str) -> np.ndarray:
    """The vertices of a layer's polylines, mm."""
    scale = units.conversion_factor(drawing.units, units.MM)
    found = drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    return np.array([point for line in found for point in line.get_points("xy")]) * scale


def _off(points: np.ndarray, drawing, layer: str) -> np.ndarray:
    """How far each point, mm in the drawing's frame, is from a layer's polylines, arcs as true arcs."""
    scale = units.conversion_factor(drawing.units, units.MM)
    found = drawing.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    pieces = [piece for line in found for piece in line.virtual_entities()]
    return np.min([_off_piece(points / scale, piece) for piece in pieces], axis=0) * scale


def _off_piece(points: np.ndarray, piece) -> np.ndarray:
    start, end = (np.array([*each][:2]) for each in _ends(piece))
    if piece.dxftype() == "LINE":
        along = end - start
        share = np.clip((points - start) @ along / (along @ along), 0, 1)
        return np.linalg.norm(points - start - share[:, None] * along, axis=1)
    middle = np.array([*piece.dxf.center][:2])
    from_start = np.degrees(np.arctan2(*(points - middle).T[::-1])) - piece.dxf.start_angle
    on = from_start % 360 <= (piece.dxf.end_angle - piece.dxf.start_angle) % 360
    ring = np.abs(np.linalg.norm(points - middle, axis=1) - piece.dxf.radius)
    ends = np.min([np.linalg.norm(points - end, axis=1) for end in (start, end)], axis=0)
    return np.where(on, ring, ends)


def _ends(piece):
    if piece.dxftype() == "LINE":
        return piece.dxf.start, piece.dxf.end
    return piece.start_point, piece.end_point


def test_drawings_are_in_the_units_of_the_job_and_clean(plan, drawings):
    expected = {"in": units.IN, "mm": units.MM}[plan.job.job.units]
    for drawing in drawings.values():
        assert drawing.units == expected
        assert not drawing.audit().errors


def test_outlines_come_back_to_the_assembly_frame(plan, drawings):
    for planned in plan.setups:
        for panel in planned.setup.panels:
            place, drawing = planned.setup.placement(panel), drawings[planned.setup.id]
            drawn = _corners(drawing, f"OUTLINE-{panel}")
            back = np.array([place.inverse().point(*corner) for corner in drawn])
            assert len(back)
            corners = np.array(plan.sign.panel(panel).outline.exterior.coords)
            gaps = np.linalg.norm(corners[:, None] - back[None], axis=2)
            assert gaps.min(axis=0).max() < 1e-6
            there = np.array([place.point(*corner) for corner in corners])
            assert _off(there, drawing, f"OUTLINE-{panel}").max() < 1e-6


def test_pockets_come_back_to_the_assembly_frame(plan, drawings):
    seen = 0
    for planned in plan.setups:
        if planned.setup.face != "inner":
            continue
        drawing = drawings[planned.setup.id]
        for item in plan.sign.items:
            layers = [
                layer.dxf.name
                for layer in drawing.layers
                if layer.dxf.name.upper() == f"POCKET-{item.name}".upper().replace(" ", "-")
                or layer.dxf.name.upper() == f"POCKET-{item.name}".upper()
            ]
            for panel in planned.setup.panels:
                place = planned.setup.placement(panel)
                for pocket in plan.sign.panel(panel).pockets:
                    if pocket.hardware == item.name:
                        corners = np.vstack([np.array(p.exterior.coords) for p in pocket.as_cut.geoms])
                        there = np.array([place.point(*corner) for corner in corners])
                        assert min(_off(there, drawing, layer).max() for layer in layers) < 1e-6
                        seen += 1
    assert seen == sum(len(panel.pockets) for panel in plan.sign.panels)
