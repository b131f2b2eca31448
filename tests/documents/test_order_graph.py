"""The graph of operations, read back by other programs."""

import io
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import networkx as nx
import pytest

from signplan.documents.order_graph import render_order_graphml, render_order_svg
from signplan.plan import Plan, make_plan

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def made() -> Plan:
    return make_plan(Path(__file__).parents[2] / "demo_jobs" / "gannet-and-thrum")


@pytest.fixture(scope="module")
def graph(made) -> nx.DiGraph:
    return nx.read_graphml(io.BytesIO(render_order_graphml(made).encode()))


def test_graphml_holds_every_operation_and_every_reason(made, graph):
    operations = {each.operation.id: each for setup in made.setups for each in setup.operations}
    assert set(graph) == set(operations)
    for name, each in operations.items():
        assert graph.nodes[name]["tool"] == each.tool.id
        assert {(need.operation, need.reason) for need in each.needs} == {
            (first, graph.edges[first, name]["reason"]) for first in graph.predecessors(name)
        }


def test_positions_are_the_working_order_and_respect_every_edge(made, graph):
    position = dict(graph.nodes(data="position"))
    assert sorted(position, key=position.get) == list(made.order.sequence)
    assert all(position[first] < position[then] for first, then in graph.edges)


def test_the_svg_names_every_operation_once_and_gives_reasons(made):
    root = ElementTree.fromstring(render_order_svg(made))
    texts = [text.text for text in root.iter(f"{SVG}text")]
    assert all(texts.count(name) == 1 for name in made.order.sequence)
    reasons = [path.find(f"{SVG}title").text for path in root.iter(f"{SVG}path")]
    assert reasons
    assert all(" before " in reason for reason in reasons)


def test_columns_are_the_tool_blocks(made):
    root = ElementTree.fromstring(render_order_svg(made))
    heads = [text.text for text in root.iter(f"{SVG}text") if text.get("class") == "head"]
    assert len(heads) == made.order.changes


def test_the_same_plan_gives_the_same_text(made):
    assert render_order_svg(made) == render_order_svg(made)
    assert render_order_graphml(made) == render_order_graphml(made)
