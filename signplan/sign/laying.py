"""In what order the steel is laid in, and whether it can be: one item after another, straight down.

One panel lies on the bench, inner face up; items are laid into it, then the other panel is turned over and
lowered. Every pocket is cut from the glue plane, so board never covers what was laid into it; only other
steel can be in the way. Every part is as high above its middle as below it, so of two parts that share a
shadow the one with the higher middle lies over the other.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import networkx as nx
import numpy as np
import shapely

from signplan.geometry.precision import SAME, TOUCH
from signplan.sign.model import Sign
from signplan.sign.register import PANELS, Panel

Together = tuple[str, ...]
"""Names of items that are put together and laid in as one."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Over:
    """An item that comes down after another: it lies over it at (x, y), or, without a place, comes with the
    panel that is turned over."""

    upper: str
    lower: str
    spot: tuple[float, float] | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Laying:
    """How the steel is laid in.

    Attributes:
        bench: the panel that lies on the bench.
        order: what is laid into it, first to last.
        turned: items whose pockets are all in the other panel, so that they are turned over with it.
        rings: items each of which would have to come down before the next, and the last before the first.
    """

    bench: Panel
    order: tuple[Together, ...]
    turned: tuple[Together, ...] = ()
    rings: tuple[tuple[Over, ...], ...] = ()

    @property
    def lid(self) -> Panel:
        """The panel that is turned over and lowered."""
        return "B" if self.bench == "A" else "A"


def lay(sign: Sign) -> Laying:
    """The order over the panel that is better on the bench: no rings, little to turn over; A if both do."""
    overs = tuple(_overs(sign))
    return min(
        (_on(bench, sign, overs) for bench in PANELS), key=lambda way: (len(way.rings), len(way.turned))
    )


def _on(bench: Panel, sign: Sign, overs: tuple[Over, ...]) -> Laying:
    """The order with one panel on the bench; `overs` are as seen with panel A there."""
    together = _together(sign)
    leader = {name: group[0] for group in together.values() for name in group}
    lids = [lead for lead, group in together.items() if _only_in_other(group, bench, sign)]
    first: nx.DiGraph[str] = nx.DiGraph()
    first.add_nodes_from(together)
    for over in overs:
        upper, lower = (over.upper, over.lower) if bench == "A" else (over.lower, over.upper)
        if leader[upper] != leader[lower]:
            first.add_edge(leader[lower], leader[upper], over=Over(upper=upper, lower=lower, spot=over.spot))
    for lid in lids:
        for name in together:
            if name not in lids and not first.has_edge(name, lid):
                first.add_edge(name, lid, over=Over(upper=lid, lower=name))
    order = _sorted(first)
    return Laying(
        bench=bench,
        order=tuple(together[name] for name in order if name not in lids),
        turned=tuple(together[name] for name in reversed(order) if name in lids),
        rings=tuple(_rings(first)),
    )


def _together(sign: Sign) -> dict[str, Together]:
    """What is laid in as one, by the first of each in the order of the job."""
    joined: nx.Graph[str] = nx.Graph()
    joined.add_nodes_from(item.name for item in sign.items)
    joined.add_edges_from((item.name, item.laid_with) for item in sign.items if item.laid_with)
    place = {item.name: k for k, item in enumerate(sign.items)}
    groups = [tuple(sorted(group, key=place.__getitem__)) for group in nx.connected_components(joined)]
    return {group[0]: group for group in sorted(groups, key=lambda group: place[group[0]])}


def _only_in_other(group: Together, bench: Panel, sign: Sign) -> bool:
    """Whether items have pockets, and none in the panel on the bench."""
    panels = {panel.id for panel in sign.panels for each in panel.pockets if each.hardware in group}
    return bool(panels) and bench not in panels


def _sorted(first: "nx.DiGraph[str]") -> list[str]:
    """What comes first comes first; else in the order of the job. Items of a ring stay together."""
    place = {name: k for k, name in enumerate(first)}
    knots = nx.condensation(first)
    members = {knot: sorted(knots.nodes[knot]["members"], key=place.__getitem__) for knot in knots}
    sequence = nx.lexicographical_topological_sort(knots, key=lambda knot: place[members[knot][0]])
    return [name for knot in sequence for name in members[knot]]


def _rings(first: "nx.DiGraph[str]") -> Iterator[tuple[Over, ...]]:
    """One ring of every knot, from its first item; a subgraph's own order would change from run to run."""
    place = {name: k for k, name in enumerate(first)}
    knots = [sorted(knot, key=place.__getitem__) for knot in nx.strongly_connected_components(first)]
    for knot in sorted((each for each in knots if len(each) > 1), key=lambda each: place[each[0]]):
        within = nx.DiGraph((a, b) for a, b in first.edges if a in knot and b in knot)
        yield tuple(first.edges[a, b]["over"] for a, b in nx.find_cycle(within, knot[0]))


def _overs(sign: Sign) -> Iterator[Over]:
    """Every pair of items of which one lies over the other with panel A on the bench, so that up is -z."""
    parts = [(item, part) for item in sign.items for part in item.parts]
    shadows = np.array([part.section(part.z) for _, part in parts], dtype=object)
    pairs = shapely.STRtree(shadows).query(shadows, predicate="intersects").T if parts else np.zeros((0, 2))
    found: dict[tuple[str, str], Over] = {}
    for one, other in sorted(map(tuple, pairs.tolist())):
        (upper, above), (lower, below) = parts[one], parts[other]
        pair = upper.name, lower.name
        if upper is lower or pair in found or above.z > below.z - SAME:
            continue
        common = shadows[one].intersection(shadows[other]).buffer(-TOUCH)
        if not common.is_empty:
            spot = common.representative_point()
            found[pair] = Over(upper=upper.name, lower=lower.name, spot=(spot.x, spot.y))
    yield from found.values()
