"""The graph of fits: what locates what in a sign, and how far two of its features may be out from each other.

Nodes are features: the machine in a setup, a blank's edges, index holes and pins, pockets, the steel in them,
dowel holes, outlines, carvings. Edges are the fits that locate one from another. Between two features there
is one path, and every tolerance follows from it.

Assembly frame, mm. A machine's `repeatability` is how far from where it should be it puts a cut.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

import networkx as nx
import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME
from signplan.job.shop import Shop
from signplan.sign.fits import Fit, Place, Points, Stack, stack_up
from signplan.sign.looseness import side_play
from signplan.sign.model import Item, Sign
from signplan.sign.register import PANELS, Panel
from signplan.sign.setups import Setup

BY_HAND = 1.0
"""How far out something comes that is lined up without dowels or pins, mm; common practice."""

STEEL_GROWTH = 11.7e-6
"""Growth of steel per degree C (6.5e-6 per degree F); from memory."""

BOARD_GROWTH = 63e-6
"""Growth of rigid urethane board per degree C (35e-6 per degree F); board makers' figures are 54 to 72e-6."""

Edge = tuple[Fit, str, str]


def stacks(sign: Sign, shop: Shop, setups: Sequence[Setup]) -> tuple[Stack, ...]:
    """Every pair of features that matters: steel in its pocket, its two pockets, seam, carving to outline.

    `setups` are those that the sign is made in, each blank's two in working order.
    """
    graph = graph_of_fits(sign, shop, setups)
    return *_of_steel(graph, sign), *_of_outlines(graph, sign)


def outline_stacks(sign: Sign, shop: Shop, setups: Sequence[Setup]) -> tuple[Stack, ...]:
    """Of these only the pairs that need no steel: the seam, carving to outline."""
    return tuple(_of_outlines(graph_of_fits(replace(sign, items=()), shop, setups), sign))


def play(stacked: Sequence[Stack]) -> dict[str, float]:
    """By item, how far the walls of its pockets may close in at worst, mm.

    The item finds its own place in between, so each side loses half of what the pockets are out: the floating
    fastener of ASME Y14.5, hole = fastener + tolerance.
    """
    return {stack.item: stack.worst / 2 for stack in stacked if stack.kind == "pockets"}


def graph_of_fits(sign: Sign, shop: Shop, setups: Sequence[Setup]) -> "nx.Graph[str]":
    """All features of a sign that is made in these setups, joined by the fits that locate them: a tree."""
    graph: nx.Graph[str] = nx.Graph()
    for panel in PANELS:
        first, second = (setup for setup in setups if panel in setup.panels)
        for fit, one, other in _turning(panel, first, second, shop):
            graph.add_edge(one, other, fit=fit)
        for fit, one, other in _cuts(panel, (first, second), sign, shop):
            graph.add_edge(one, other, fit=fit)
    for fit, one, other in (*_laid_in(sign), *_glued(sign)):
        graph.add_edge(one, other, fit=fit)
    return graph


def _turning(panel: Panel, first: Setup, second: Setup, shop: Shop) -> Iterator[Edge]:
    """From the machine in a blank's first setup to the machine in its second.

    Two panels of one blank are turned together and meet the same errors, told by the same words; each sees
    them from its own place on the blank. One boring makes the index holes and those in the bed that the pins
    stand in, so its error counts in both, and the pins are as loose in both.
    """
    repeat, on_blank = shop.machine.repeatability, first.placement(panel)
    here, there, blank = _machine(panel, first), _machine(panel, second), f"blank {first.blank_id}"
    if first.locate == "edge stops":
        edge, other = f"edge of {panel}", f"opposite edge of {panel}"
        along = (1.0, 0.0) if second.turn == "side" else (0.0, 1.0)
        yield Fit(words=f"{blank} against the stops", shift=repeat, placement=on_blank), here, edge
        error = shop.holding.blank_error
        yield Fit(words=f"size of {blank}", shift=error, along=along, placement=on_blank), edge, other
        words = f"{blank} against the stops, turned over"
        yield Fit(words=words, shift=repeat, placement=on_blank), other, there
        return
    if len(first.pins) < 2:
        yield Fit(words=f"{blank} turned without pins", shift=BY_HAND, placement=on_blank), here, there
        return
    one, two = ((pin.x, pin.y) for pin in first.pins)
    holes, pins, loose = (
        f"index holes beside {panel}",
        f"index pins beside {panel}",
        shop.index_pins.clearance,
    )
    for words, shift, start, end in (
        (f"index holes bored in {blank}", repeat, here, holes),
        (f"index pins in {blank}", loose / 2, holes, pins),
        (f"index pins in the bed under {blank}", repeat + loose / 2, pins, there),
    ):
        yield Fit(words=words, shift=shift, pair=(one, two), placement=on_blank), start, end


def _cuts(panel: Panel, setups: tuple[Setup, Setup], sign: Sign, shop: Shop) -> Iterator[Edge]:
    """What the machine cuts into a panel, each from the face it is cut from."""
    repeat = shop.machine.repeatability
    by_face = {setup.face: _machine(panel, setup) for setup in setups}
    cutout = next(setup.face for setup in setups if setup.cuts_out)
    for item in sign.items:
        if panel in _pocketed(sign, item):
            words = f"pocket of {item.name} cut in {panel}"
            yield Fit(words=words, shift=repeat), by_face["inner"], _pocket(panel, item)
    yield Fit(words=f"outline of {panel} cut", shift=repeat), by_face[cutout], f"outline of {panel}"
    yield Fit(words=f"face of {panel} carved", shift=repeat), by_face["outer"], f"carving of {panel}"
    words = f"dowel holes bored in {panel}"
    yield Fit(words=words, shift=repeat, pair=_dowel_pair(sign)), by_face["inner"], f"dowel holes of {panel}"


def _laid_in(sign: Sign) -> Iterator[Edge]:
    """From the pocket that an item is laid into to the item."""
    for item in sign.items:
        for panel in _pocketed(sign, item)[:1]:
            fit = Fit(words=f"play of {item.name} in its pocket", shift=side_play(item, sign))
            yield fit, _pocket(panel, item), f"steel of {item.key}"


def _glued(sign: Sign) -> Iterator[Edge]:
    """From the dowel holes of one panel to those of the other."""
    pair = _dowel_pair(sign)
    if pair is None:
        yield Fit(words="panels lined up by hand", shift=BY_HAND), "dowel holes of A", "dowel holes of B"
        return
    for panel in PANELS:
        clearance = max(dowel.clearance for dowel in sign.panel(panel).dowels) / 2
        fit = Fit(words=f"dowels in {panel}", shift=clearance, pair=pair)
        yield fit, f"dowel holes of {panel}", "dowels"


def _dowel_pair(sign: Sign) -> tuple[Place, Place] | None:
    """The two dowels farthest apart, which hold the panels from turning; None if there are no two places."""
    places = [(dowel.x, dowel.y) for dowel in sign.panels[0].dowels]
    pairs = [(math.dist(a, b), a, b) for k, a in enumerate(places) for b in places[k + 1 :]]
    apart, *pair = max(pairs, default=(0.0, None, None))
    return (pair[0], pair[1]) if apart > SAME and pair[0] and pair[1] else None


def _machine(panel: Panel, setup: Setup) -> str:
    """A panel has the machine to itself: cut apart, two panels of one blank are located by dowels alone."""
    return f"machine with {panel}, {setup.id}"


def _pocket(panel: Panel, item: Item) -> str:
    return f"pocket of {item.key} in {panel}"


def _pocketed(sign: Sign, item: Item) -> tuple[Panel, ...]:
    """The panels that have a pocket for an item."""
    return tuple(
        panel.id for panel in sign.panels if any(pocket.hardware == item.name for pocket in panel.pockets)
    )


def _of_steel(graph: "nx.Graph[str]", sign: Sign) -> Iterator[Stack]:
    for item in sign.items:
        panels, at = _pocketed(sign, item), _corners_of(sign, item)
        for panel in panels[:1]:
            name = f"{item.name} in its pocket, to the outline of {panel}"
            fits = _path(graph, f"steel of {item.key}", f"outline of {panel}")
            yield stack_up(fits, at, name=name, kind="hardware", item=item.name)
        if panels == PANELS:
            name = f"{item.name}, pocket in A to pocket in B"
            fits = _path(graph, _pocket("A", item), _pocket("B", item))
            yield stack_up(fits, at, name=name, kind="pockets", item=item.name)


def _of_outlines(graph: "nx.Graph[str]", sign: Sign) -> Iterator[Stack]:
    everywhere = corners(sign.outline)
    fits = _path(graph, "outline of A", "outline of B")
    yield stack_up(fits, everywhere, name="seam edge, panel A to panel B", kind="seam")
    for panel in PANELS:
        if sign.panel(panel).carvings:
            fits = _path(graph, f"carving of {panel}", f"outline of {panel}")
            yield stack_up(fits, everywhere, name=f"carving to outline, side {panel}", kind="carving")


def _path(graph: "nx.Graph[str]", start: str, end: str) -> list[Fit]:
    return [graph.edges[edge]["fit"] for edge in pairwise(nx.shortest_path(graph, start, end))]


def _corners_of(sign: Sign, item: Item) -> Points:
    """The corners of an item's pockets, as far as they lie in the sign."""
    drawn = [p.drawn for panel in sign.panels for p in panel.pockets if p.hardware == item.name]
    inside = shapely.union_all(drawn).intersection(sign.outline)
    return corners(sign.outline if inside.is_empty else inside)


@lru_cache(maxsize=64)
def corners(shape: BaseGeometry) -> Points:
    """The corners of its hull: where a turn moves it most."""
    return np.asarray(shapely.get_coordinates(shapely.convex_hull(shape).simplify(1.0)))


def heat(length: float, swing: float) -> float:
    """How far steel and board of that length grow apart over a swing of that many degrees C, mm."""
    return length * (BOARD_GROWTH - STEEL_GROWTH) * swing
