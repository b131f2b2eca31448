"""The graph of fits: what locates what, and how far two features may be out from each other.

Nodes are features: the machine in a setup, a blank on its pins, pockets, dowel holes, an outline, a carving.
Edges are the fits that locate one from another. Between two features there is one path, and every tolerance
follows from it: the sum of its allowances is the worst case, the root of the sum of their squares the likely
one, and a sample says what 99 of 100 signs stay within.

Errors are in the plane, in any direction, assembly frame, mm. `repeatability` is how far from where it should
be the machine puts a cut.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Literal

import networkx as nx
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME
from signplan.job.shop import Shop
from signplan.sign.model import Item, Sign
from signplan.sign.register import PANELS, Face, Panel
from signplan.sign.setups import Layout, Setup, lay_out

Points = NDArray[np.float64]
Locating = Literal["index pins", "edge stops"]
Kind = Literal["pockets", "seam", "carving"]

SAMPLE = 4000
"""Signs in a sample; the 99 % figure is good to some 2 %."""

BY_HAND = 1.0
"""How far out something comes that is lined up without dowels or pins, mm; common practice."""

STEEL_GROWTH = 11.7e-6
"""Growth of steel per degree C (6.5e-6 per degree F); from memory."""

BOARD_GROWTH = 63e-6
"""Growth of rigid urethane board per degree C (35e-6 per degree F); board makers' figures are 54 to 72e-6."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Fit:
    """How one feature is located from another.

    Attributes:
        words: what it is, for a person.
        shift: how far it may be out where it locates, mm.
        pair: the two places where it locates, if it is a pair of pins: away from them the error grows, since
            the part may also turn. None: it does not turn.
    """

    words: str
    shift: float
    pair: tuple[tuple[float, float], tuple[float, float]] | None = None

    def at(self, points: Points) -> NDArray[np.float64]:
        """How far a feature may be out at each of the points, (N, 2).

        A hole on each of two pins, L apart, may be off by `shift`. On their line, s from their middle, that
        is shift max(1, 2 s / L): as much as between the pins, and more beyond them. Off their line by q the
        turn has the lever 2 q / L too, and the most that all of it does is the norm of the map from the pins
        to the point. Derived; it is the least bound.
        """
        if self.pair is None:
            return np.full(len(points), self.shift)
        first, second = np.array(self.pair)
        apart = float(np.linalg.norm(second - first))
        along = (second - first) / apart
        away = points - (first + second) / 2
        maps = np.zeros((len(points), 2, 2))
        maps[:, 0, 0] = 1
        maps[:, 1, 1] = 2 / apart * (away @ along)
        maps[:, 0, 1] = 2 / apart * (away @ (-along[1], along[0]))
        worst: NDArray[np.float64] = self.shift * np.linalg.norm(maps, ord=2, axis=(1, 2))
        return worst


@dataclass(frozen=True, kw_only=True, slots=True)
class Pair:
    """Two features, the nodes `ends` of the graph, that must agree; `item` if they are pockets of one."""

    name: str
    ends: tuple[str, str]
    kind: Kind
    item: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Stack:
    """How far two features may be out from each other, mm, and why.

    Attributes:
        name: what is compared, such as `seam edge, panel A to panel B`.
        path: the fits between them, in order, each as words.
        worst, rss: sum and root-sum-square of the allowances.
        sampled: what 99 % of a large sample stays within.
        largest: the fit that contributes most.
        kind: what sort of pair it is.
        item: the hardware whose pockets are compared; "" otherwise.
    """

    name: str
    path: tuple[str, ...]
    worst: float
    rss: float
    sampled: float
    largest: str
    kind: Kind
    item: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Scheme:
    """A way to locate the blanks and cut the outline, and the step that it leaves at the seam."""

    layout: Layout
    locating: Locating
    seam: Stack


def stacks(sign: Sign, shop: Shop, layout: Layout) -> tuple[Stack, ...]:
    """Every pair of features that matters: each item's two pockets, the seam, carving to outline."""
    graph = graph_of_fits(sign, shop, layout)
    found = [_pockets(graph, sign, item) for item in sign.items if item.split == "both"]
    found.append(_seam(graph, sign))
    found += [_carving(graph, sign, panel) for panel in PANELS if sign.panel(panel).carvings]
    return tuple(found)


def play(stacked: Sequence[Stack]) -> dict[str, float]:
    """By item, how far the walls of its pockets may close in at worst, mm.

    The item finds its own place in between, so each side loses half of what the pockets are out: the floating
    fastener of ASME Y14.5, hole = fastener + tolerance.
    """
    return {stack.item: stack.worst / 2 for stack in stacked if stack.item}


def schemes(sign: Sign, shop: Shop, layout: Layout, *, blank_error: float) -> tuple[Scheme, ...]:
    """Every way to locate and cut this sign, the smallest step at the seam first.

    `blank_error` is how far the size of a blank may be out, mm: what counts when it is turned against stops.
    """
    faces: tuple[Face, Face] = ("inner", "outer")
    ways: tuple[Locating, Locating] = ("index pins", "edge stops")
    found = []
    for cutout in faces:
        for locating in ways:
            other = Layout(blanks=layout.blanks, turn=layout.turn, cutout=cutout)
            graph = graph_of_fits(
                sign, shop, other, blank_error=blank_error if locating == "edge stops" else None
            )
            found.append(Scheme(layout=other, locating=locating, seam=_seam(graph, sign)))
    return tuple(sorted(found, key=lambda scheme: scheme.seam.worst))


def graph_of_fits(
    sign: Sign, shop: Shop, layout: Layout, *, blank_error: float | None = None
) -> "nx.Graph[str]":
    """All features of a sign made in this way, joined by the fits that locate them.

    Two panels on one blank share the errors of its turn; counting them for each errs on the safe side. With
    `blank_error` blanks are turned against edge stops, not about index pins.
    """
    graph: nx.Graph[str] = nx.Graph()
    setups, _ = lay_out(sign, layout, bed=shop.machine.bed, pins=shop.index_pins)
    for panel in PANELS:
        first, second = (setup for setup in setups if panel in setup.panels)
        for fit, one, other in _turning(panel, first, second, shop, blank_error):
            graph.add_edge(one, other, fit=fit)
        for fit, one, other in _cuts(panel, (first, second), sign, shop):
            graph.add_edge(one, other, fit=fit)
    for fit, one, other in _glued(sign):
        graph.add_edge(one, other, fit=fit)
    return graph


Edge = tuple[Fit, str, str]


def _turning(
    panel: Panel, first: Setup, second: Setup, shop: Shop, blank_error: float | None
) -> Iterator[Edge]:
    """From the machine in a blank's first setup to the machine in its second."""
    repeat = shop.machine.repeatability
    here, there = _machine(panel, first), _machine(panel, second)
    if blank_error is not None:
        yield Fit(words="blank against the stops", shift=repeat), here, f"edge of {panel}"
        words = "size of the blank, its other edge against the stops"
        yield Fit(words=words, shift=blank_error), f"edge of {panel}", there
        return
    if len(first.pins) < 2:
        yield Fit(words=f"blank of {panel} turned without pins", shift=BY_HAND), here, there
        return
    back = first.placement(panel).inverse()
    one, other = (back.point(pin.x, pin.y) for pin in first.pins)
    pair = one, other
    holes, pins = f"index holes of {panel}", f"index pins under {panel}"
    yield Fit(words=f"index holes bored with {panel}", shift=repeat, pair=pair), here, holes
    clearance = shop.index_pins.clearance / 2
    yield Fit(words=f"index pins in the blank of {panel}", shift=clearance, pair=pair), holes, pins
    yield Fit(words=f"index pins set for {panel}", shift=repeat, pair=pair), pins, there


def _cuts(panel: Panel, setups: tuple[Setup, Setup], sign: Sign, shop: Shop) -> Iterator[Edge]:
    """What the machine cuts into a panel, each from the face it is cut from."""
    repeat = shop.machine.repeatability
    by_face = {setup.face: _machine(panel, setup) for setup in setups}
    cutout = next(setup.face for setup in setups if setup.cuts_out)
    for item in sign.items:
        if item.split in ("both", panel):
            words = f"pocket of {item.name} cut in {panel}"
            yield Fit(words=words, shift=repeat), by_face["inner"], _pocket(panel, item)
    yield Fit(words=f"outline of {panel} cut", shift=repeat), by_face[cutout], f"outline of {panel}"
    yield Fit(words=f"face of {panel} carved", shift=repeat), by_face["outer"], f"carving of {panel}"
    words = f"dowel holes bored in {panel}"
    yield Fit(words=words, shift=repeat, pair=_dowel_pair(sign)), by_face["inner"], f"dowel holes of {panel}"


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


def _dowel_pair(sign: Sign) -> tuple[tuple[float, float], tuple[float, float]] | None:
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


def _pockets(graph: "nx.Graph[str]", sign: Sign, item: Item) -> Stack:
    shapes = [pocket.drawn for pocket in sign.panels[0].pockets if pocket.hardware == item.name]
    inside = shapely.union_all(shapes).intersection(sign.outline)
    pair = Pair(
        name=f"{item.name}, pocket in A to pocket in B",
        ends=(_pocket("A", item), _pocket("B", item)),
        kind="pockets",
        item=item.name,
    )
    return stack_up(graph, pair, corners(sign.outline if inside.is_empty else inside))


def _seam(graph: "nx.Graph[str]", sign: Sign) -> Stack:
    ends = "outline of A", "outline of B"
    return stack_up(
        graph, Pair(name="seam edge, panel A to panel B", ends=ends, kind="seam"), corners(sign.outline)
    )


def _carving(graph: "nx.Graph[str]", sign: Sign, panel: Panel) -> Stack:
    ends = f"carving of {panel}", f"outline of {panel}"
    pair = Pair(name=f"carving to outline, side {panel}", ends=ends, kind="carving")
    return stack_up(graph, pair, corners(sign.outline))


def corners(shape: BaseGeometry) -> Points:
    """The corners of its hull: where a turn moves it most."""
    return np.asarray(shapely.get_coordinates(shapely.convex_hull(shape).simplify(1.0)))


def stack_up(graph: "nx.Graph[str]", pair: Pair, points: Points) -> Stack:
    """The stack between two features, at the one of `points` where it is greatest."""
    nodes = nx.shortest_path(graph, *pair.ends)
    fits: list[Fit] = [graph.edges[edge]["fit"] for edge in pairwise(nodes)]
    table = np.array([fit.at(points) for fit in fits])
    allowances = table[:, int(np.argmax(table.sum(axis=0)))]
    return Stack(
        name=pair.name,
        path=tuple(fit.words for fit in fits),
        worst=float(allowances.sum()),
        rss=float(np.linalg.norm(allowances)),
        sampled=sampled(allowances),
        largest=fits[int(np.argmax(allowances))].words,
        kind=pair.kind,
        item=pair.item,
    )


def sampled(allowances: NDArray[np.float64], *, share: float = 0.99) -> float:
    """What that share of signs stays within, if each error lies anywhere within its allowance alike.

    Of many small errors this tends to sqrt(ln(100) / 2) = 1.517 times their root-sum-square.
    """
    total = (_discs(len(allowances)) * allowances).sum(axis=1)
    return float(np.quantile(np.abs(total), share))


@cache
def _discs(count: int) -> NDArray[np.complex128]:
    """Places drawn from discs of radius 1, as complex numbers, (SAMPLE, count); always the same ones."""
    random = np.random.default_rng(20240229)
    turn = random.uniform(0, 2 * np.pi, (SAMPLE, count))
    places: NDArray[np.complex128] = np.sqrt(random.uniform(0, 1, turn.shape)) * np.exp(1j * turn)
    return places


def heat(length: float, swing: float) -> float:
    """How far steel and board of that length grow apart over a swing of that many degrees C, mm."""
    return length * (BOARD_GROWTH - STEEL_GROWTH) * swing


def pins_bind(spacing_error: float, clearances: tuple[float, float]) -> bool:
    """Whether two round pins cannot enter: half the sum of their clearances is less than the error.

    One of them then needs a slot, or must be relieved.
    """
    return sum(clearances) / 2 < spacing_error
