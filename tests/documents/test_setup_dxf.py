import io
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
from numpy.typing import NDArray
from shapely import Polygon

from signplan.documents.setup_dxf import circle_of, render_setup_dxf
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup

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
    rings = [
        np.array([(x * 25.4, y * 25.4) for x, y, *_ in line.get_points()])
        for line in space.query('LWPOLYLINE[layer=="POCKET-left hanger"]')
    ]
    meant = [np.array(p.as_cut.geoms[0].exterior.coords)[:-1] for p in plan.sign.panel("A").pockets[:3]]
    assert len(rings) == 6
    for panel, drawn in (("A", rings[:3]), ("B", rings[3:])):
        for ring, wanted in zip(drawn, meant, strict=True):
            found = np.array([ways[panel].inverse().point(*point) for point in ring])
            assert _farthest(found, wanted) < 1e-6
            assert _farthest(wanted, found) < 1e-6


def _farthest(points: Points, others: Points) -> float:
    """The greatest distance from any of the points to the nearest of the others."""
    apart = np.hypot(*(points[:, None, :] - others[None, :, :]).transpose(2, 0, 1))
    return float(apart.min(axis=1).max())


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
