"""The graph of operations as SVG and as GraphML: what comes before what, and why.

The SVG has one column for each tool block in working order, and a line for each need within a setup that no
other need implies; it says its reason when it is pointed at. The GraphML has every need.
"""

from collections.abc import Iterator
from html import escape
from itertools import groupby
from typing import TYPE_CHECKING

from signplan.plan import Plan
from signplan.schedule.model import PlannedOperation

if TYPE_CHECKING:
    import networkx as nx

COLUMN, ROW, BOX, TOP = 230, 26, 200, 64
"""Pixels: from column to column and row to row, width of a box, height of the heading."""

BETWEEN = "between setups: everything on the left is done before the next hold"

STYLE = (
    "text{font:12px sans-serif}.head{font-weight:bold}.box{fill:#fff;stroke:#000}"
    ".need{fill:none;stroke:#666}.setup{fill:#eee}.turn{stroke:#000;stroke-width:3}"
)


def render_order_graphml(plan: Plan) -> str:
    """Every operation and every need with its reason, in GraphML (graphml.graphdrawing.org)."""
    import networkx as nx

    return "\n".join(nx.generate_graphml(_graph(plan), named_key_ids=True)) + "\n"


def render_order_svg(plan: Plan) -> str:
    """The operations in columns of one tool each, with lines from what comes first."""
    columns = list(_columns(plan))
    place = {
        each.operation.id: (column * COLUMN + 15, TOP + row * ROW)
        for column, block in enumerate(columns)
        for row, each in enumerate(block)
    }
    wide, high = len(columns) * COLUMN + 10, TOP + max(map(len, columns), default=0) * ROW + 10
    marks = [*_headings(columns, high), *_lines(plan, place), *_boxes(columns, place)]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}" height="{high}" viewBox="0 0 {wide} {high}">'
        f"<title>{escape(plan.job.job.number)}: order of work, {plan.order.changes} tool changes</title>"
        f"<style>{STYLE}</style>\n" + "\n".join(marks) + "\n</svg>\n"
    )


def _graph(plan: Plan) -> "nx.DiGraph[str]":
    import networkx as nx

    graph: nx.DiGraph[str] = nx.DiGraph()
    position = {name: index for index, name in enumerate(plan.order.sequence)}
    for each in _operations(plan):
        graph.add_node(
            each.operation.id,
            setup=each.setup,
            tool=each.tool.id,
            position=position[each.operation.id],
            minutes=round(each.seconds / 60, 3),
        )
    for each in _operations(plan):
        for need in each.needs:
            graph.add_edge(need.operation, each.operation.id, reason=need.reason)
    return graph


def _operations(plan: Plan) -> Iterator[PlannedOperation]:
    return (each for setup in plan.setups for each in setup.operations)


def _columns(plan: Plan) -> Iterator[list[PlannedOperation]]:
    """The blocks of one tool in one setup, in working order."""
    for _, block in groupby(_operations(plan), key=lambda each: (each.setup, each.tool.id)):
        yield list(block)


def _headings(columns: list[list[PlannedOperation]], high: int) -> Iterator[str]:
    for number, block in enumerate(columns):
        x, first = number * COLUMN + 15, block[0]
        if number % 2:
            yield f'<rect class="setup" x="{x - 10}" y="0" width="{COLUMN}" height="{high}"/>'
        tool = f"{number + 1}. T{first.tool.number} {first.tool.id}"
        yield f'<text class="head" x="{x}" y="24">{escape(tool)}</text>'
        yield f'<text x="{x}" y="44">{escape(first.setup)}</text>'
        if number and columns[number - 1][0].setup != first.setup:
            yield f'<path class="turn" d="M{x - 11},0 V{high}"><title>{BETWEEN}</title></path>'


def _lines(plan: Plan, place: dict[str, tuple[int, int]]) -> Iterator[str]:
    import networkx as nx

    graph = _graph(plan)
    kept = nx.transitive_reduction(graph)
    setup = {each.operation.id: each.setup for each in _operations(plan)}
    for first, then in sorted(edge for edge in kept.edges if setup[edge[0]] == setup[edge[1]]):
        (x0, y0), (x1, y1) = place[first], place[then]
        start, end, mid = (x0 + BOX, y0 + 10), (x1, y1 + 10), (x0 + BOX + x1) / 2
        if x0 == x1:
            start, end, mid = (x0, y0 + 10), (x1, y1 + 10), x0 - 12
        reason = escape(f"{first} before {then}: {graph.edges[first, then]['reason']}")
        curve = f"M{start[0]},{start[1]} C{mid:g},{start[1]} {mid:g},{end[1]} {end[0]},{end[1]}"
        yield f'<path class="need" d="{curve}"><title>{reason}</title></path>'


def _boxes(columns: list[list[PlannedOperation]], place: dict[str, tuple[int, int]]) -> Iterator[str]:
    for block in columns:
        for each in block:
            x, y = place[each.operation.id]
            yield f'<rect class="box" x="{x}" y="{y}" width="{BOX}" height="20" rx="3"/>'
            yield f'<text x="{x + 6}" y="{y + 14}">{escape(each.operation.id)}</text>'
