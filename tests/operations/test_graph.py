"""What comes before what, rule by rule, and that nothing else does."""

from itertools import pairwise, product

import networkx as nx
import pytest
from shapely import MultiPolygon, Point, box

from signplan.errors import SignplanError
from signplan.operations import graph as rules
from signplan.operations.build import build_operations, index_operation
from signplan.operations.graph import RULES, Rule, graph, needs_of, shown
from signplan.sign.model import Dowel
from signplan.sign.setups import Layout, lay_out


@pytest.fixture
def planned(job, shop):
    """Operations and setups of a sign over a layout, index holes included."""

    def make(sign, blanks="one", cutout="outer"):
        setups, _ = lay_out(
            sign, Layout(blanks=blanks, turn="side", cutout=cutout), bed=(3000, 1500), pins=shop().index_pins
        )
        operations, _ = build_operations(sign, job(cutout=cutout), shop())
        index = [index_operation(setup, shop()) for setup in setups if not setup.turn]
        return [*operations, *index], setups

    return make


def before(made, first, then):
    return nx.has_path(made, first, then)


def rule_of(made, first, then):
    return made.edges[first, then]["rule"]


def test_every_edge_has_a_rule_and_a_reason(everything, planned):
    made = graph(*planned(everything))
    assert made.number_of_edges() > 20
    for _, _, edge in made.edges(data=True):
        assert edge["reason"]
        assert edge["rule"] in {rule.name for rule in RULES}


def test_needs_are_the_edges(everything, planned):
    made, needs = graph(*planned(everything)), needs_of(*planned(everything))
    assert {(need.operation, name) for name, first in needs.items() for need in first} == set(made.edges)
    assert list(needs) == [each.id for each in planned(everything)[0]]


def test_rough_comes_before_rest_before_finish(everything, planned):
    made = graph(*planned(everything))
    for first, then in pairwise(["rough", "rest", "finish"]):
        assert (
            rule_of(made, f"A/outer/raise-1/{first}", f"A/outer/raise-1/{then}")
            == "rough before rest before finish"
        )
    assert before(made, "A/outer/relief-1/relief-rough", "A/outer/relief-1/relief-finish")


def test_a_deeper_level_waits_for_the_floor_it_starts_on(everything, planned):
    made = graph(*planned(everything))
    assert rule_of(made, "A/inner/bar-1/rough", "A/inner/bar-2/rough") == "shallow before deep"
    assert not before(made, "A/inner/bar-1/finish", "A/inner/bar-2/rough"), "its walls are elsewhere"


def test_index_holes_come_before_everything_after_the_turn_and_nothing_before(everything, planned):
    made = graph(*planned(everything))
    assert all(before(made, "AB/index", node) for node in made if "/outer/" in node)
    assert not any(before(made, "AB/index", node) for node in made if "/inner/" in node)
    assert not list(made.predecessors("AB/index"))


@pytest.mark.parametrize(("blanks", "cutout"), list(product(("one", "two"), ("outer", "inner"))))
def test_a_blank_is_finished_on_one_face_before_it_is_turned(blanks, cutout, everything, planned):
    made = graph(*planned(everything, blanks, cutout))
    other = "inner" if cutout == "outer" else "outer"
    for panel in "AB":
        first = [node for node in made if node.startswith(f"{panel}/{other}/")]
        second = [node for node in made if node.startswith(f"{panel}/{cutout}/")]
        assert panel == "B" or (first and second)
        assert all(before(made, u, v) for u in first for v in second)


def test_two_blanks_do_not_wait_for_each_other(everything, planned):
    made = graph(*planned(everything, "two"))
    crossing = [(u, v) for u, v in made.edges if u[0] != v[0]]
    assert crossing == []


def test_the_cut_out_is_last_on_its_panel(everything, planned):
    made = graph(*planned(everything))
    for panel in "AB":
        others = [node for node in made if node.startswith(f"{panel}/outer/") and not node.endswith("cutout")]
        assert all(before(made, node, f"{panel}/outer/outline/cutout") for node in others)
        assert not list(made.successors(f"{panel}/outer/outline/cutout"))


def test_no_cut_out_comes_before_heavy_work_of_its_hold(everything, planned):
    together = graph(*planned(everything, "one"))
    assert (
        rule_of(together, "A/outer/raise-1/rough", "B/outer/outline/cutout")
        == "heavy cuts before through cuts"
    )
    assert not before(together, "A/outer/line-1/line", "B/outer/outline/cutout"), "a light cut may wait"
    apart = graph(*planned(everything, "two"))
    assert not before(apart, "A/outer/raise-1/rough", "B/outer/outline/cutout")


def test_through_bores_wait_for_heavy_work_too(carving, sign, planned):
    made = graph(
        *planned(
            sign(
                carving("lower", box(50, 50, 150, 120), 6.0),
                carving("bore", Point(300, 200).buffer(5, quad_segs=32), 38.0),
            )
        )
    )
    assert rule_of(made, "A/outer/lower-1/rough", "A/outer/bore-1/bore") == "heavy cuts before through cuts"


def test_heavy_cuts_that_go_through_do_not_wait_for_each_other(sign, pocket, planned):
    through = [pocket(box(x, 100, x + 60, 140), 40.0, number=n) for n, x in ((1, 100), (2, 200), (3, 300))]
    blind = pocket(box(400, 100, 460, 140), 10.0, number=4)
    made = graph(*planned(sign(pockets=(*through, blind))))
    assert not before(made, "A/inner/bar-1/rough", "A/inner/bar-2/rough")
    assert not before(made, "A/inner/bar-2/rough", "A/inner/bar-1/rough")
    for number in (1, 2, 3):
        rule = rule_of(made, "A/inner/bar-4/rough", f"A/inner/bar-{number}/rough")
        assert rule == "heavy cuts before through cuts"


def test_ground_comes_before_what_is_cut_into_it_and_only_that(carving, sign, planned):
    made = graph(
        *planned(
            sign(
                carving("lower", box(100, 100, 400, 200), 5.0),
                carving("incise", box(150, 140, 300, 146), 6.0, tools=("v-60",)),
                carving("incise", box(150, 30, 300, 36), 6.0, number=2, tools=("v-60",)),
            )
        )
    )
    assert (
        rule_of(made, "A/outer/lower-1/rough", "A/outer/incise-1/incise")
        == "ground before what is cut into it"
    )
    assert not before(made, "A/outer/lower-1/rough", "A/outer/incise-2/incise")


def test_floors_come_before_holes_in_them(carving, sign, planned):
    made = graph(
        *planned(
            sign(
                carving("lower", box(100, 100, 400, 200), 5.0),
                carving("bore", MultiPolygon([Point(150, 150).buffer(5, quad_segs=32)]), 12.0),
                carving("bore", MultiPolygon([Point(50, 50).buffer(5, quad_segs=32)]), 12.0, number=2),
            )
        )
    )
    assert rule_of(made, "A/outer/lower-1/rough", "A/outer/bore-1/bore") == "floors before holes"
    assert not before(made, "A/outer/lower-1/rough", "A/outer/bore-2/bore")


def test_dowel_holes_wait_for_nothing_they_do_not_touch(sign, pocket, planned):
    made = graph(
        *planned(
            sign(
                pockets=(pocket(box(200, 100, 260, 140), 10.0),),
                dowels=(Dowel(x=60, y=60, diameter=10, depth=16),),
            )
        )
    )
    assert not list(made.predecessors("A/inner/dowels/dowel"))


def test_the_edge_is_shaped_before_the_cut_out(everything, planned):
    made = graph(*planned(everything))
    assert made.has_edge("A/outer/edge-1/edge", "A/outer/outline/cutout")


def test_the_order_of_listing_makes_no_edge(everything, planned):
    operations, setups = planned(everything)
    assert set(graph(operations, setups).edges) == set(graph(operations[::-1], setups[::-1]).edges)


def test_two_pockets_side_by_side_are_free(sign, pocket, planned):
    made = graph(
        *planned(
            sign(
                pockets=(
                    pocket(box(100, 100, 160, 140), 10.0),
                    pocket(box(200, 100, 260, 140), 10.0, number=2),
                )
            )
        )
    )
    assert not before(made, "A/inner/bar-1/rough", "A/inner/bar-2/rough")
    assert not before(made, "A/inner/bar-2/rough", "A/inner/bar-1/rough")


def test_what_is_drawn_has_no_edge_that_others_imply(everything, planned):
    made = graph(*planned(everything))
    drawn = shown(made)
    assert drawn.number_of_edges() < made.number_of_edges()
    assert nx.transitive_closure(drawn).edges == nx.transitive_closure(made).edges
    assert all(edge["reason"] for _, _, edge in drawn.edges(data=True))


def test_rules_that_contradict_each_other_are_named(everything, planned, monkeypatch):
    def backward(work):
        by_id = {each.id: each for each in work.operations}
        yield by_id["A/outer/raise-1/finish"], by_id["A/outer/raise-1/rough"]

    more = (*RULES, Rule(name="finish first", reason="because", pairs=backward))
    monkeypatch.setattr(rules, "RULES", more)
    with pytest.raises(SignplanError, match="finish first") as error:
        graph(*planned(everything))
    assert "A/outer/raise-1/finish before A/outer/raise-1/rough (finish first)" in str(error.value)


def test_an_operation_without_a_setup_is_an_error(everything, planned):
    operations, setups = planned(everything)
    with pytest.raises(SignplanError, match="belongs to no setup"):
        graph(operations, [setup for setup in setups if setup.face == "inner"])


def test_two_operations_of_one_id_are_an_error(everything, planned):
    operations, setups = planned(everything)
    with pytest.raises(SignplanError, match=f"same id: {operations[3].id}$"):
        graph([*operations, operations[3]], setups)


def test_what_ties_a_turn_is_listed_in_the_order_of_the_operations(everything, planned):
    operations, setups = planned(everything)
    place = {each.id: number for number, each in enumerate(operations)}
    turned = [
        [place[need.operation] for need in needs if "turned over" in need.reason]
        for needs in needs_of(operations, setups).values()
    ]
    assert max(len(each) for each in turned) > 3
    assert turned == [sorted(each) for each in turned]
