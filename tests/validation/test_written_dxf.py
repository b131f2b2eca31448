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


def test_drawings_are_in_the_units_of_the_job_and_clean(plan, drawings):
    expected = {"in": units.IN, "mm": units.MM}[plan.job.job.units]
    for drawing in drawings.values():
        assert drawing.units == expected
        assert not drawing.audit().errors


def test_outlines_come_back_to_the_assembly_frame(plan, drawings):
    for planned in plan.setups:
        for panel in planned.setup.panels:
            drawn = _corners(drawings[planned.setup.id], f"OUTLINE-{panel}")
            back = np.array([planned.setup.placement(panel).inverse().point(*corner) for corner in drawn])
            assert len(back)
            corners = np.array(plan.sign.panel(panel).outline.exterior.coords)
            gaps = np.linalg.norm(corners[:, None] - back[None], axis=2)
            assert gaps.min(axis=1).max() < 1e-6
            assert gaps.min(axis=0).max() < 1e-6


def test_pockets_come_back_to_the_assembly_frame(plan, drawings):
    seen = 0
    for planned in plan.setups:
        if planned.setup.face != "inner":
            continue
        inverse = {panel: planned.setup.placement(panel).inverse() for panel in planned.setup.panels}
        for item in plan.sign.items:
            layers = [
                layer.dxf.name
                for layer in drawings[planned.setup.id].layers
                if layer.dxf.name.upper() == f"POCKET-{item.name}".upper().replace(" ", "-")
                or layer.dxf.name.upper() == f"POCKET-{item.name}".upper()
            ]
            drawn = np.vstack([_corners(drawings[planned.setup.id], layer) for layer in layers])
            for panel, back in inverse.items():
                assembly = np.array([back.point(*corner) for corner in drawn])
                for pocket in plan.sign.panel(panel).pockets:
                    if pocket.hardware == item.name:
                        corners = np.vstack([np.array(p.exterior.coords) for p in pocket.as_cut.geoms])
                        nearest = np.linalg.norm(corners[:, None] - assembly[None], axis=2).min(axis=1)
                        assert nearest.max() < 1e-6
                        seen += 1
    assert seen == sum(len(panel.pockets) for panel in plan.sign.panels)
