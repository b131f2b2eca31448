from collections.abc import Callable
from dataclasses import replace

import pytest

from signplan.documents.words import (
    blocks,
    exact,
    face_up,
    faces,
    feed,
    habit,
    listing,
    marked_corner,
    operation_numbers,
    seen,
    tool_words,
    weight,
    work_words,
)
from signplan.plan import Plan
from signplan.sign.register import Turn, turned

Maker = Callable[..., Plan]


def test_a_setup_says_what_lies_up_and_from_where_it_is_seen(plan: Plan, plan_mm: Plan) -> None:
    inner, outer = (planned.setup for planned in plan.setups)
    assert face_up(inner) == "PANELS A AND B · INNER FACES UP"
    assert seen(inner) == "Seen from the glue side"
    assert faces(outer) == "panels A and B, outer faces"
    assert face_up(plan_mm.setups[0].setup) == "PANEL A · INNER FACE UP"
    assert seen(plan_mm.setups[1].setup) == "Seen from the side of A's reader"


def test_a_blank_turned_end_over_end_has_its_top_toward_the_operator(make_plan_by_hand: Maker) -> None:
    first, second = (planned.setup for planned in make_plan_by_hand(turn="end").setups)
    assert seen(first) == "Seen from the glue side"
    assert seen(second) == "Each panel seen from its reader's side, tops toward you"


@pytest.mark.parametrize("turn", ["side", "end"])
def test_the_marked_corner_is_where_the_turn_took_it(make_plan_by_hand: Maker, turn: Turn) -> None:
    first, second = (planned.setup for planned in make_plan_by_hand(turn=turn).setups)
    wide, deep, _ = first.blank
    near, right = (
        turned((wide, deep), turn).point(0, 0)[1] == 0,
        turned((wide, deep), turn).point(0, 0)[0] == wide,
    )
    assert marked_corner(first) == ""
    assert marked_corner(second) == f"{'near' if near else 'far'} {'right' if right else 'left'}"


def test_operations_are_named_by_the_number_on_the_drawing(plan: Plan) -> None:
    named = {
        each.operation.id: work_words(each.operation, "4")
        for setup in plan.setups
        for each in setup.operations
    }
    assert named["AB/index"] == "blank · drill for the index pins"
    assert named["B/inner/right-hanger-1/rough"] == "B · pocket 4 (right hanger) · clear"
    assert named["A/outer/incise-1"] == "A · 4 incise · vee grooves"
    assert named["A/outer/cutout"] == "A · CUT OUT"
    rough = next(each.operation for each in plan.setups[0].operations if each.operation.kind == "rough")
    assert work_words(replace(rough, kind="channel"), "4").endswith(" hanger) · cut the channel")
    assert work_words(replace(rough, kind="vent", feature="vents")) == f"{rough.panel} · vent grooves"


def test_numbers_run_through_the_whole_job_in_tens(plan: Plan) -> None:
    numbers = list(operation_numbers(plan).values())
    assert numbers == [10 * (k + 1) for k in range(len(numbers))]


def test_a_block_is_one_tool(plan: Plan) -> None:
    for planned in plan.setups:
        tools = [{each.operation.tool for each in block} for block in blocks(planned)]
        assert all(len(each) == 1 for each in tools)
        assert len(tools) == planned.changes + (not planned.starts_with_change)


def test_fractions_are_only_for_what_is_one() -> None:
    assert [exact(mm, "in") for mm in (38.1, 9.525, 9.9, 13.3)] == [
        '1-1/2" (1.500)',
        '3/8" (.375)',
        '25/64" (.390)',
        '.524"',
    ]


def test_feeds_weights_and_lists() -> None:
    assert (feed(254.0, "in"), feed(166.7, "mm")) == ("600", "10000")
    assert (weight(10.0, "in"), weight(10.0, "mm")) == ("22.0 lb (10.0 kg)", "10.0 kg (22.0 lb)")
    assert (listing(["a"]), listing(["a", "b", "c"]), listing([])) == ("a", "a, b and c", "")
    assert habit("as listed") == "as the job lists it"


def test_tools_are_asked_for_by_shape_and_size(plan: Plan) -> None:
    asked = [tool_words(tool, "in") for tool in plan.shop.tools]
    assert asked[0] == '1/2" flat, 2 flutes'
    assert asked[3] == '60° vee, 1/2", 2 flutes'
    assert asked[4] == '1/4" round-over, 2 flutes'
