"""What has to be done before what, and why: the shop's rules, in one table, and the graph they make.

Each rule is a name, a reason in words and the pairs that it ties. A rule stands for something physical; none
comes from the order in which a job lists its work. The order itself is `order`'s to find.
"""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from itertools import permutations
from typing import TYPE_CHECKING

import networkx as nx
import shapely
from shapely import MultiPoint, MultiPolygon
from shapely.geometry.base import BaseGeometry

from signplan.errors import SignplanError
from signplan.geometry.precision import SAME, SPECK
from signplan.geometry.shapes import EMPTY, area_of, grow
from signplan.operations import model
from signplan.operations.model import (
    Channelling,
    Clearing,
    CuttingOut,
    Drilling,
    Following,
    Grooving,
    Need,
    Operation,
    Rounding,
    Sculpting,
    Walls,
)
from signplan.sign.setups import Setup

if TYPE_CHECKING:
    Graph = nx.DiGraph[str]
else:
    Graph = nx.DiGraph

Pair = tuple[Operation, Operation]

TOUCH = 0.02
"""Clearings that share less than this, mm, along a border only touch."""

LOWERS = ("raise", "lower", "relief")
"""Treatments that make the ground which others are cut into."""

FORCES = ("rough", "channel", "rest", "relief-rough", "edge")
"""Kinds that push hard sideways and need the full hold."""


@dataclass(frozen=True, kw_only=True)
class Work:
    """All operations of a job and the setups they run in, as the rules look at them."""

    operations: tuple[Operation, ...]
    setups: tuple[Setup, ...]

    @cached_property
    def setup_of(self) -> dict[str, Setup]:
        """The setup of each operation, by id; raises SignplanError for one that has none."""
        found: dict[str, Setup] = {}
        for each in self.operations:
            for setup in self.setups:
                if each.face == setup.face and _is_on(each, setup):
                    found[each.id] = setup
            if each.id not in found:
                raise SignplanError(f"operation {each.id} belongs to no setup")
        return found

    def by_face(self) -> Iterator[list[Operation]]:
        """The operations of each panel's face together."""
        faces: dict[tuple[str, str], list[Operation]] = {}
        for each in self.operations:
            if each.panel:
                faces.setdefault((each.panel, each.face), []).append(each)
        yield from faces.values()

    def of_setup(self, setup: Setup) -> list[Operation]:
        """The operations that run in a setup."""
        return [each for each in self.operations if self.setup_of[each.id] is setup]


@dataclass(frozen=True, kw_only=True, slots=True)
class Rule:
    """One rule of the shop: the pairs (first, then) that it ties, and the reason that a person reads."""

    name: str
    reason: str
    pairs: Callable[[Work], Iterable[Pair]]


def graph(operations: Sequence[Operation], setups: Sequence[Setup]) -> Graph:
    """The operations, by id, with an edge to each from what comes before it: `rule` and `reason` on it.

    Raises:
        SignplanError: rules that contradict each other, with the operations in the circle, two operations
            of one id, or an operation that belongs to no setup.
    """
    work = Work(operations=tuple(operations), setups=tuple(setups))
    _refuse_namesakes(work.operations)
    made: Graph = nx.DiGraph()
    made.add_nodes_from(each.id for each in work.operations)
    for rule in RULES:
        for first, then in rule.pairs(work):
            if first.id != then.id and not made.has_edge(first.id, then.id):
                made.add_edge(first.id, then.id, rule=rule.name, reason=rule.reason)
    _refuse_circles(made)
    _tie_turns(made, work)
    _refuse_circles(made)
    return made


def needs_of(operations: Sequence[Operation], setups: Sequence[Setup]) -> Mapping[str, tuple[Need, ...]]:
    """For each operation those that come first, with the reason; errors as `graph`."""
    made = graph(operations, setups)
    return {
        each.id: tuple(
            Need(operation=first, reason=made.edges[first, each.id]["reason"])
            for first in made.predecessors(each.id)
        )
        for each in operations
    }


def shown(made: Graph) -> Graph:
    """The graph with only the edges that no longer way implies, reasons kept; for drawing."""
    reduced = nx.transitive_reduction(made)
    reduced.add_nodes_from(made.nodes(data=True))
    reduced.add_edges_from((u, v, made.edges[u, v]) for u, v in reduced.edges)
    return reduced


def _refuse_namesakes(operations: Sequence[Operation]) -> None:
    """Two operations of one id would become one, and the other would never be cut."""
    twice = [name for name, count in Counter(each.id for each in operations).items() if count > 1]
    if twice:
        raise SignplanError(f"two operations have the same id: {', '.join(twice)}")


def _refuse_circles(made: Graph) -> None:
    try:
        circle = nx.find_cycle(made)
    except nx.NetworkXNoCycle:
        return
    steps = "; ".join(f"{u} before {v} ({made.edges[u, v]['rule']})" for u, v, *_ in circle)
    raise SignplanError(f"the rules of work contradict each other: {steps}")


def _is_on(each: Operation, setup: Setup) -> bool:
    return each.id.startswith(f"{setup.blank_id}/") if not each.panel else each.panel in setup.panels


@lru_cache(maxsize=1024)
def _overlap(one: model.Work, other: model.Work) -> bool:
    """Whether two pieces of work on a face are cut over the same place; asked once for both panels."""
    return bool(_area(one).intersection(_area(other)).area > SPECK)


@lru_cache(maxsize=256)
def _area(work: model.Work) -> BaseGeometry:
    """What is cut, in plan, in the view of its face."""
    match work:
        case (
            Clearing(region=region)
            | Grooving(region=region)
            | Sculpting(region=region)
            | Channelling(region=region)
        ):
            return region
        case Walls(region=region):
            return region.boundary.buffer(1.0)
        case Following(lines=lines):
            return shapely.union_all([line.buffer(0.5) for line in lines])
        case Drilling(points=points, diameter=diameter):
            return MultiPoint(points).buffer(diameter / 2)
        case Rounding(outline=outline):
            return outline.boundary.buffer(1.0)
        case CuttingOut(outline=outline):
            return outline.boundary.buffer(0.5)
    return MultiPolygon()


# The rules, each a generator of pairs


def _stages(work: Work) -> Iterator[Pair]:
    for face in work.by_face():
        for one, other in permutations(face, 2):
            if one.feature == other.feature and one.stage < other.stage:
                yield one, other


def _levels(work: Work) -> Iterator[Pair]:
    for face in work.by_face():
        for one, floor, fresh in _clearings(face):
            for other in face:
                if not isinstance(other.work, Clearing | Walls) or one.feature == other.feature:
                    continue
                if floor <= other.work.top + SAME and other.work.region.intersection(fresh).area > SPECK:
                    yield one, other


def _clearings(face: list[Operation]) -> Iterator[tuple[Operation, float, MultiPolygon]]:
    """The clearings of a face with their floor and what each is the first to clear of its feature.

    So a large cutter need not wait at the deeper level for a small one at the level above, which only takes
    corners that the large one never enters.
    """
    cleared: dict[str, MultiPolygon] = {}
    deepest_top = max((each.work.top for each in face if isinstance(each.work, Clearing | Walls)), default=0)
    for each in sorted(face, key=lambda each: each.stage):
        if isinstance(each.work, Clearing) and each.work.floor <= deepest_top + SAME:
            before = cleared.get(each.feature, EMPTY)
            yield each, each.work.floor, grow(area_of(each.work.region.difference(before)), -TOUCH)
            cleared[each.feature] = area_of(before.union(each.work.region))


def _ground(work: Work) -> Iterator[Pair]:
    for face in work.by_face():
        grounds = [each for each in face if each.treatment in LOWERS and not isinstance(each.work, Walls)]
        others = [each for each in face if each.treatment in ("incise", "line", "edge")]
        for one in grounds:
            yield from ((one, other) for other in others if _overlap(one.work, other.work))


def _floors(work: Work) -> Iterator[Pair]:
    for face in work.by_face():
        floors = [each for each in face if isinstance(each.work, Clearing | Sculpting)]
        holes = [each for each in face if each.kind in ("bore", "dowel")]
        for one in floors:
            for other in holes:
                if one.feature != other.feature and _overlap(one.work, other.work):
                    yield one, other


def _edge(work: Work) -> Iterator[Pair]:
    for face in work.by_face():
        edges = [each for each in face if each.kind == "edge"]
        yield from ((one, other) for one in edges for other in face if other.kind == "cutout")


def _cutout_last(work: Work) -> Iterator[Pair]:
    for face in work.by_face():
        cutouts = [each for each in face if each.kind == "cutout"]
        yield from ((one, last) for last in cutouts for one in face if one.kind != "cutout")


def _vacuum(work: Work) -> Iterator[Pair]:
    """A heavy cut that goes through itself waits for no other: each would have to wait for each."""
    for setup in work.setups:
        together = work.of_setup(setup)
        through = [each for each in together if each.panel and each.depth > setup.blank[2]]
        through += [each for each in together if each.kind == "cutout" and each not in through]
        for one in together:
            if one.kind in FORCES and one not in through:
                yield from ((one, other) for other in through)


def _index(work: Work) -> Iterator[Pair]:
    turned = [setup for setup in work.setups if setup.turn]
    for one in work.operations:
        if one.kind == "index":
            for setup in turned:
                if setup.blank_id == work.setup_of[one.id].blank_id:
                    yield from ((one, other) for other in work.of_setup(setup))


TURN = Rule(
    name="one turn",
    reason="the blank is turned over once: its first face is finished before that",
    pairs=lambda work: (),
)

RULES: tuple[Rule, ...] = (
    Rule(
        name="index holes before the turn",
        reason="the turned blank is located by its index holes",
        pairs=_index,
    ),
    Rule(
        name="rough before rest before finish",
        reason="it works on what the roughing cutter leaves",
        pairs=_stages,
    ),
    Rule(
        name="shallow before deep",
        reason="the deeper level starts on the floor of the shallower one",
        pairs=_levels,
    ),
    Rule(
        name="ground before what is cut into it",
        reason="the ground is lowered before anything is cut into it",
        pairs=_ground,
    ),
    Rule(
        name="floors before holes",
        reason="the floor is cleared before a hole is made in it",
        pairs=_floors,
    ),
    Rule(
        name="edge before cut-out",
        reason="the edge is shaped while the panel is still held by its blank",
        pairs=_edge,
    ),
    Rule(
        name="cut-out last",
        reason="after the cut-out only tabs or a skin hold the panel",
        pairs=_cutout_last,
    ),
    Rule(
        name="heavy cuts before through cuts",
        reason="a cut through the board lets the vacuum leak, and heavy cuts need all of it",
        pairs=_vacuum,
    ),
    TURN,
)


def _tie_turns(made: Graph, work: Work) -> None:
    """Tie what a blank's first setup ends with to what its second begins with; the rest follows.

    In the order of the operations: a subgraph's own would change from run to run.
    """
    for second in work.setups:
        if not second.turn:
            continue
        firsts = [s for s in work.setups if s.blank_id == second.blank_id and not s.turn]
        for first in firsts:
            one, other = ([each.id for each in work.of_setup(setup)] for setup in (first, second))
            before, after = made.subgraph(one), made.subgraph(other)
            ends = [node for node in one if not before.out_degree(node)]
            starts = [node for node in other if not after.in_degree(node)]
            for u in ends:
                for v in starts:
                    if not made.has_edge(u, v):
                        made.add_edge(u, v, rule=TURN.name, reason=TURN.reason)
