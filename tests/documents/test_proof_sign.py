from collections.abc import Callable
from dataclasses import replace

import pytest

from signplan.documents.proof_sign import BESIDE, every_drawing
from signplan.findings import Finding, Severity
from signplan.plan import Plan

Maker = Callable[..., Plan]


def finding(where: str, panel: str = "", spot: tuple[float, ...] = (10, 10)) -> Finding:
    return Finding(code="x", severity=Severity.ERROR, message="m", where=where, panel=panel, spot=spot)


@pytest.mark.parametrize(
    ("found", "drawings"),
    [
        (finding("carve[0]", "A"), {"side-A-face"}),
        (finding("operation B/outer/raise-1", "B"), {"side-B-face"}),
        (
            finding("hardware[2]", "B"),
            {"side-A-cavity", "side-B-inner-face", "side-B-cavity", "glue-side-B"},
        ),
        (
            finding("dowels.at[1]"),
            {f"side-{p}-{layer}" for p in "AB" for layer in ("inner-face", "cavity")}
            | {"glue-side-A", "glue-side-B"},
        ),
        (
            finding("sign.outline_b"),
            {f"side-{p}-{layer}" for p in "AB" for layer in ("face", "inner-face", "cavity")}
            | {"glue-side-A", "glue-side-B"},
        ),
        (finding("hanging", spot=()), set()),
    ],
)
def test_a_place_is_shown_where_it_can_be_seen(plan: Plan, found: Finding, drawings: set[str]) -> None:
    assert {each.id for each in every_drawing(plan) if each.shows(found)} == drawings


def test_the_layers_of_a_side_lie_on_one_another(plan: Plan) -> None:
    sides: dict[str, set[object]] = {}
    for each in every_drawing(plan):
        sides.setdefault(each.way, set()).add((each.drawing.box, each.place))
    assert {way: len(frames) for way, frames in sides.items()} == dict.fromkeys(
        ("side-A", "side-B", "glue-A", "glue-B"), 1
    )


def test_a_place_just_beside_the_sign_is_in_the_picture_and_one_far_off_is_not(
    make_plan_by_hand: Maker,
) -> None:
    near, far = (950.0, 300.0), (9500.0, 300.0)
    placed = make_plan_by_hand(findings=[finding("sign", spot=near), finding("sign", spot=far)])
    box = next(iter(every_drawing(placed))).drawing.box
    assert box[2] == pytest.approx(950.0)
    assert 950.0 < 914.4 * (1 + BESIDE) < 9500.0


def test_a_long_post_leaves_room_for_the_sign(plan: Plan) -> None:
    item = plan.sign.items[0]
    post = replace(item.parts[0], end=(item.parts[0].start[0], 5000.0))
    longer = replace(plan.sign, items=(replace(item, parts=(post, *item.parts[1:])), *plan.sign.items[1:]))
    box = next(iter(every_drawing(replace(plan, sign=longer)))).drawing.box
    assert box[3] == pytest.approx(plan.sign.height + BESIDE * plan.sign.width)
