import numpy as np
import pytest
from shapely import union_all

from signplan.documents.drawing import Area, Disc, Drawing
from signplan.documents.views import behind, cavity, inner_face, next_of_blank, on_the_table, outer_face
from signplan.plan import Plan
from signplan.sign.register import PANELS


def _shape(drawing: Drawing, role: str):  # type: ignore[no-untyped-def]
    return union_all([mark.shape for mark in drawing.marks if isinstance(mark, Area) and mark.role == role])


def test_both_sides_read_alike_though_their_outlines_are_mirrored(plan: Plan) -> None:
    a, b = outer_face(plan, "A"), outer_face(plan, "B")
    assert _shape(a, "ground").symmetric_difference(_shape(b, "ground")).area < 1
    assert _shape(a, "outline").symmetric_difference(_shape(b, "outline")).area > 1e4


def test_inner_faces_are_mirror_images(plan: Plan) -> None:
    a, b = (inner_face(plan, panel) for panel in ("A", "B"))
    dowels = [[(m.x, m.y) for m in each.marks if isinstance(m, Disc)] for each in (a, b)]
    assert [(round(plan.sign.width - x, 6), round(y, 6)) for x, y in dowels[0]] == [
        (round(x, 6), round(y, 6)) for x, y in dowels[1]
    ]


def test_the_cavity_shows_all_of_the_steel(plan: Plan) -> None:
    drawing = cavity(plan)
    x0, y0, x1, y1 = _shape(drawing, "steel").bounds
    assert drawing.box[0] <= x0
    assert drawing.box[1] <= y0
    assert drawing.box[2] >= x1
    assert drawing.box[3] >= y1


def test_with_outer_faces_up_the_pockets_lie_unseen_underneath(plan: Plan) -> None:
    drawing = on_the_table(plan, plan.setups[1].setup)
    assert _shape(drawing, "pocket").is_empty
    assert _shape(drawing, "beyond").area > 0


def test_a_blank_goes_to_its_own_next_setup(plan_mm: Plan) -> None:
    names = [after and after.setup.id for after in (next_of_blank(plan_mm, s.setup) for s in plan_mm.setups)]
    assert names == ["A-outer", None, "B-outer", None]


def test_the_recesses_behind_a_face_are_its_inner_face_mirrored(plan: Plan) -> None:
    for panel in PANELS:
        seen = {mark.label: mark for mark in behind(plan, panel).marks if isinstance(mark, Area)}
        turned = {mark.label: mark for mark in inner_face(plan, panel).marks if isinstance(mark, Area)}
        assert seen.keys() == turned.keys()
        for label, mark in seen.items():
            x0, y0, x1, y1 = turned[label].shape.bounds
            mirrored = (plan.sign.width - x1, y0, plan.sign.width - x0, y1)
            assert mark.shape.bounds == pytest.approx(mirrored, abs=1e-6)


def test_the_cavity_from_side_b_is_the_one_from_side_a_mirrored(plan: Plan) -> None:
    first, second = (
        np.array([mark.shape.bounds for mark in cavity(plan, panel).marks if mark.role == "steel"])
        for panel in PANELS
    )
    mirrored = first[:, (2, 1, 0, 3)] * (-1, 1, -1, 1) + (plan.sign.width, 0, plan.sign.width, 0)
    assert mirrored == pytest.approx(second, abs=1e-6)
