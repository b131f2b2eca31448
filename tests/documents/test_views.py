from shapely import union_all

from signplan.documents.drawing import Area, Disc, Drawing
from signplan.documents.views import cavity, inner_face, next_of_blank, on_the_table, outer_face
from signplan.plan import Plan


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
