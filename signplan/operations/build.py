"""From the sign to its operations: what has to be cut, on which face, with which cutter.

What comes in: the sign (assembly frame), the job and the shop. What goes out: every operation of both panels
and faces, in the view of its face, and findings where the shop has no cutter. It orders nothing: what comes
first is `graph`'s to say.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import MultiLineString, MultiPolygon, Polygon, box

from signplan.findings import Finding, Severity
from signplan.geometry.shapes import EMPTY, area_of, grow
from signplan.job.model import Job
from signplan.job.shop import Shop, Tool
from signplan.operations.cutters import (
    Bench,
    Room,
    Spot,
    bench,
    clearing_cutters,
    cutout_cutter,
    hole_cutter,
    line_cutter,
    no_cutter,
    no_hole_cutter,
    none_of,
    point_length,
    relief_cutters,
    rest_of,
    through_depth,
    too_fine,
    too_short,
    vee_cutter,
    vee_reach,
    widest_circle,
)
from signplan.operations.model import (
    Clearing,
    CuttingOut,
    Drilling,
    Following,
    Grooving,
    Kind,
    Operation,
    Rounding,
    Sculpting,
    Walls,
    Work,
)
from signplan.operations.practice import (
    ALLOWANCE,
    RELIEF_ALLOWANCE,
    SKIN,
    TAB_SPACING,
    TAB_THICKNESS,
    TAB_WIDTH,
)
from signplan.sign.model import Carving, HeightMap, Pocket, Sign
from signplan.sign.register import PANELS, Face, Panel, Placement, view
from signplan.sign.setups import Setup
from signplan.units import fine

Made = Iterator[Operation | Finding]

FACES: tuple[Face, Face] = ("inner", "outer")

LAST = 99
"""The stage of a finish: after however many cutters cleared the feature."""


def build_operations(
    sign: Sign, job: Job, shop: Shop, *, cutout: Face | None = None
) -> tuple[tuple[Operation, ...], tuple[Finding, ...]]:
    """All operations of both panels, and what the shop cannot do.

    Args:
        cutout: the face that the outlines are cut from; None: as the job says.

    Raises:
        SignplanError: the shop does not have the job's board.
    """
    start = bench(shop, job.sign.board)
    made: list[Operation | Finding] = list(_index_check(sign, start, job))
    in_hand = {face: _with_named(start, sign, face) for face in FACES}
    for panel in PANELS:
        for face in FACES:
            side = _Side.of(sign, job, in_hand[face], panel, face)
            made += side.inner() if face == "inner" else side.outer()
            if face == (cutout or job.work.cutout):
                made += side.cut_out(job.work.hold_parts_by)
            in_hand[face] = side.bench
    operations = tuple(each for each in made if isinstance(each, Operation))
    return operations, tuple(each for each in made if isinstance(each, Finding))


def _with_named(start: Bench, sign: Sign, face: Face) -> Bench:
    """The bench with the tools that this face needs in any case: those that pockets or carvings name."""
    if face == "inner":
        names = {pocket.tool for panel in sign.panels for pocket in panel.pockets}
    else:
        names = {name for panel in sign.panels for carving in panel.carvings for name in carving.tools}
    return start.with_tools(tool for tool in start.shop.tools if tool.id in names)


def index_operation(setup: Setup, shop: Shop) -> Operation:
    """The holes for the index pins of a setup's blank, in the setup's own frame.

    They go through the blank into the spoilboard, so that one boring makes both the holes that locate the
    blank after its turn and those that hold the pins.
    """
    diameter = max(pin.diameter for pin in setup.pins) + shop.index_pins.clearance
    deep = setup.blank[2] + shop.index_pins.depth_in_spoilboard
    tool = _index_tool(diameter, deep, Bench(shop=shop, board=shop.boards[0]))
    points = tuple((pin.x, pin.y) for pin in setup.pins)
    return Operation(
        id=f"{setup.blank_id}/index",
        panel="",
        face=setup.face,
        kind="index",
        feature="index",
        treatment=None,
        tool=tool.id,
        work=Drilling(points=points, diameter=diameter, top=0.0, depth=deep),
        depth=deep + point_length(tool),
    )


def _index_tool(diameter: float, deep: float, at: Bench) -> Tool:
    """The cutter for index holes; where none reaches, the one that reaches farthest (a finding says so)."""
    exact = hole_cutter(diameter, deep, at, flat_bottom=False)
    usual = exact or hole_cutter(diameter, 0.0, at, flat_bottom=False)
    return usual or max(at.shop.tools, key=lambda tool: (tool.reach, tool.id))


def _index_check(sign: Sign, at: Bench, job: Job) -> Iterator[Finding]:
    pins = at.shop.index_pins
    deep = sign.thickness + pins.depth_in_spoilboard
    if hole_cutter(pins.diameter + pins.clearance, deep, at, flat_bottom=False) is None:
        spot = Spot(key="sign.panel", panel="A", back=view("A", "outer", 0), units=job.job.units)
        size = (pins.diameter + pins.clearance, deep)
        yield replace(no_hole_cutter(size, at, spot, "index holes"), panel="")


@dataclass(kw_only=True)
class _Side:
    """One face of one panel while its operations are made; `bench` remembers the tools taken up so far."""

    sign: Sign
    job: Job
    bench: Bench
    panel: Panel
    face: Face
    place: Placement
    outline: Polygon

    @classmethod
    def of(cls, sign: Sign, job: Job, start: Bench, panel: Panel, face: Face) -> "_Side":
        place = view(panel, face, sign.width)
        outline = place.shape(sign.panel(panel).outline)
        return cls(sign=sign, job=job, bench=start, panel=panel, face=face, place=place, outline=outline)

    # What the two faces carry

    def inner(self) -> Made:
        """Pockets, the largest first so that small ones may use its roughing cutter, and dowel holes."""
        plan = self.sign.panel(self.panel)
        for pocket in sorted(plan.pockets, key=lambda each: (each.above, -each.drawn.area, each.id)):
            yield from self._pocket(pocket)
        sizes = sorted({(dowel.diameter, dowel.depth) for dowel in plan.dowels})
        for number, (diameter, depth) in enumerate(sizes, start=1):
            points = [(d.x, d.y) for d in plan.dowels if (d.diameter, d.depth) == (diameter, depth)]
            feature = "dowels" if number == 1 else f"dowels-{number}"
            spot = self._spot("dowels")
            yield from self._holes(feature, "dowel", points, (diameter, 0.0, depth), spot)

    def outer(self) -> Made:
        """The carvings; those that clear large areas choose their cutters first."""
        carvings = self.sign.panel(self.panel).carvings
        ground_first = sorted(
            carvings, key=lambda each: (each.treatment not in ("raise", "lower"), -each.shape.area)
        )
        for carving in ground_first:
            yield from self._carving(carving)

    def _carving(self, carving: Carving) -> Made:
        named = [self.bench.shop.tool(name) for name in carving.tools]
        missing = [name for name, tool in zip(carving.tools, named, strict=True) if tool is None]
        for name in missing:
            yield _unknown_tool(name, self._spot(carving.key))
        tools = () if missing else tuple(tool for tool in named if tool)
        made = {
            "raise": self._ground,
            "lower": self._ground,
            "incise": self._incise,
            "line": self._line,
            "relief": self._relief,
            "edge": self._edge,
            "bore": self._bore,
        }[carving.treatment]
        yield from made(carving, tools)

    # Pockets and ground

    def _pocket(self, pocket: Pocket) -> Made:
        spot = self._spot(pocket.hardware)
        shape = area_of(self.place.shape(pocket.drawn).intersection(self.outline))
        room = Room(region=shape, outline=self.outline)
        finish = self.bench.shop.tool(pocket.tool)
        if finish is None:
            missing = _unknown_tool(pocket.tool, spot) if pocket.tool else none_of(("flat",), spot, pocket.id)
            yield missing
            return
        yield from too_short(finish, pocket.depth, spot)
        depth = (pocket.above, pocket.depth)
        tools = clearing_cutters(room, depth, self.bench, last=finish, allowance=ALLOWANCE)
        relief = tuple(self.place.point(*point) for point in pocket.relief)
        yield from self._clear(pocket.id, None, room, depth, tools, spot, relief=relief)

    def _ground(self, carving: Carving, tools: tuple[Tool, ...]) -> Made:
        spot = self._spot(carving.key)
        room = Room(region=self._shape(carving), outline=self.outline)
        depth = (0.0, carving.depth)
        for tool in tools:
            yield from too_short(tool, carving.depth, spot)
        tools = tools or clearing_cutters(room, depth, self.bench, allowance=ALLOWANCE)
        if not tools:
            yield from self._no_clearing(room, carving, spot)
            return
        yield from too_fine(room, tools[-1], spot)
        yield from self._clear(carving.id, carving.treatment, room, depth, tools, spot)

    def _no_clearing(self, room: Room, carving: Carving, spot: Spot) -> Iterator[Finding]:
        """Either no flat cutter goes so deep, or the finest that does finds no way in."""
        flats = [t for t in self.bench.of_shape("flat") if min(t.reach, t.cutting_length) >= carving.depth]
        if flats:
            yield from too_fine(room, flats[-1], spot)
        else:
            yield no_cutter(("flat",), carving.depth, self.bench, spot, f"'{carving.treatment}'")

    def _clear(
        self,
        feature: str,
        treatment: str | None,
        room: Room,
        depth: tuple[float, float],
        tools: Sequence[Tool],
        spot: Spot,
        *,
        relief: tuple[tuple[float, float], ...] = (),
    ) -> Made:
        """Rough with the first cutter, clear the rest with the others, then the walls with the last."""
        self.bench = self.bench.with_tools(tools)
        top, floor = depth
        last = tools[-1]
        if grow(room.within(last.diameter / 2), -last.diameter / 2).is_empty:
            yield _no_way_in(feature, last, spot)
            return
        done = EMPTY
        for number, tool in enumerate(tools):
            kind: Kind = "rest" if number else "rough"
            radius = tool.diameter / 2
            region = rest_of(room, tool, done, ALLOWANCE) if number else room.reached(radius, ALLOWANCE)
            done = area_of(done.union(region))
            if region.is_empty:
                continue
            within = room.within(radius, ALLOWANCE)
            work = Clearing(region=region, within=within, top=top, floor=floor)
            yield self._operation(feature, kind, tool, work, floor, treatment, number)
        walls = Walls(
            region=room.region,
            open_at=room.open_at(last.diameter / 2 + ALLOWANCE),
            top=top,
            floor=floor,
            relief=relief,
        )
        yield self._operation(feature, "finish", last, walls, floor, treatment, LAST)

    # Grooves, lines, relief

    def _incise(self, carving: Carving, tools: tuple[Tool, ...]) -> Made:
        spot = self._spot(carving.key)
        region = self._shape(carving)
        top = self._ground_under(region)
        widest = widest_circle(region)
        vees = [tool for tool in tools if tool.shape == "vee"]
        vee = vees[0] if vees else vee_cutter(widest, carving.depth or math.inf, self.bench)
        if vee is None or (tools and not vees):
            yield from _wrong_shape(tools, ("vee",), spot, "'incise'")
            return
        if widest <= vee.tip / 2:
            yield _no_way_in(carving.id, vee, spot)
            return
        cap = top + min(carving.depth or math.inf, vee_reach(vee))
        self.bench = self.bench.with_tools([vee])
        bottom = grow(region, -((cap - top) * math.tan(vee.half_angle) + vee.tip / 2))
        cleared = EMPTY
        if not bottom.is_empty:
            flat = self._bottom_cutter(bottom, (top, cap))
            if flat:
                room = Room(region=bottom)
                cleared = room.reached(flat.diameter / 2)
                work = Clearing(region=cleared, within=bottom, top=top, floor=cap)
                yield self._operation(carving.id, "rough", flat, work, cap, "incise")
        deepest = min(cap, top + (widest - vee.tip / 2) / math.tan(vee.half_angle))
        groove = Grooving(region=region, top=top, cap=cap, cleared=cleared)
        yield self._operation(carving.id, "incise", vee, groove, max(deepest, top), "incise", LAST)

    def _bottom_cutter(self, bottom: MultiPolygon, depth: tuple[float, float]) -> Tool | None:
        """The largest flat cutter that does most of a groove's flat bottom."""
        room = Room(region=bottom)
        for tool in self.bench.of_shape("flat"):
            if min(tool.reach, tool.cutting_length) < depth[1]:
                continue
            if room.reached(tool.diameter / 2).area >= 0.6 * bottom.area:
                self.bench = self.bench.with_tools([tool])
                return tool
        return None

    def _line(self, carving: Carving, tools: tuple[Tool, ...]) -> Made:
        spot = self._spot(carving.key)
        tool = tools[-1] if tools else line_cutter(carving.depth, self.bench)
        if tool is None or tool.shape not in ("vee", "ball", "flat"):
            yield from _wrong_shape(tools, ("vee", "ball", "flat"), spot, "'line'")
            return
        self.bench = self.bench.with_tools([tool])
        lines = tuple(self.place.shape(line) for line in carving.lines)
        top = self._ground_under(area_of(MultiLineString(lines).buffer(0.1)))
        deep = top + carving.depth
        yield from too_short(tool, deep, spot)
        work = Following(lines=lines, top=top, depth=deep)
        yield self._operation(carving.id, "line", tool, work, deep, "line")

    def _relief(self, carving: Carving, tools: tuple[Tool, ...]) -> Made:
        spot = self._spot(carving.key)
        if carving.relief is None:
            return
        region = self._shape(carving)
        rough, finish = tools[0] if tools else None, tools[-1] if tools else None
        if not tools:
            rough, finish = relief_cutters(region, carving.depth, self.bench)
        rough = rough or finish
        if finish is None:
            yield no_cutter(("ball",), carving.depth, self.bench, spot, "'relief'")
            return
        for tool in {tool.id: tool for tool in (rough, finish) if tool}.values():
            yield from too_short(tool, carving.depth, spot)
        heights = self._heights(carving.relief)
        if rough and carving.depth > RELIEF_ALLOWANCE:
            work = Sculpting(region=region, heights=heights, depth=carving.depth, allowance=RELIEF_ALLOWANCE)
            deep = carving.depth - RELIEF_ALLOWANCE
            yield self._operation(carving.id, "relief-rough", rough, work, deep, "relief")
        work = Sculpting(region=region, heights=heights, depth=carving.depth, allowance=0.0)
        yield self._operation(carving.id, "relief-finish", finish, work, carving.depth, "relief", LAST)
        self.bench = self.bench.with_tools([tool for tool in (rough, finish) if tool])

    def _heights(self, heights: HeightMap) -> HeightMap:
        """The height map as this face shows it."""
        mirrored = heights.mirrored != (self.place.determinant < 0)
        lies = self.place.shape(box(*heights.box)).bounds
        return HeightMap(values=heights.values, box=lies, mirrored=mirrored)

    # Edge, holes, cut-out

    def _edge(self, carving: Carving, tools: tuple[Tool, ...]) -> Made:
        spot = self._spot(carving.key)
        tool = tools[0] if tools else self._edge_cutter(carving.depth)
        if tool is None or tool.shape not in ("round-over", "vee", "ball"):
            yield from _wrong_shape(tools, ("round-over",), spot, "'edge'")
            return
        rim = area_of(self.outline.difference(grow(self.outline, -1.0)))
        top = self._ground_under(rim, share=0.5)
        deep = top + (carving.depth or tool.radius or tool.diameter / 2)
        yield from too_short(tool, deep, spot)
        self.bench = self.bench.with_tools([tool])
        work = Rounding(outline=self.outline, depth=deep, top=top)
        yield self._operation(carving.id, "edge", tool, work, deep, "edge")

    def _edge_cutter(self, depth: float) -> Tool | None:
        """The round-over whose radius is nearest to the depth asked for, the smaller of two."""
        known = self.bench.of_shape("round-over")
        return min(known, key=lambda tool: (abs((tool.radius or 0) - depth), tool.radius), default=None)

    def _bore(self, carving: Carving, tools: tuple[Tool, ...]) -> Made:
        spot = self._spot(carving.key)
        shape = self._shape(carving)
        through = carving.depth >= self.sign.thickness
        deep = through_depth(self.sign.thickness) if through else carving.depth
        holes: dict[float, list[tuple[float, float]]] = {}
        for hole in shape.geoms:
            diameter = round(2 * math.sqrt(hole.area / math.pi), 2)
            holes.setdefault(diameter, []).append((hole.centroid.x, hole.centroid.y))
        for number, (diameter, points) in enumerate(sorted(holes.items())):
            top = self._ground_under(shape)
            feature = carving.id if not number else f"{carving.id}-{number + 1}"
            size = (diameter, min(top, deep), deep)
            yield from self._holes(feature, "bore", points, size, spot, tools=tools, treatment="bore")

    def _holes(
        self,
        feature: str,
        kind: Kind,
        points: Sequence[tuple[float, float]],
        size: tuple[float, float, float],
        spot: Spot,
        *,
        tools: tuple[Tool, ...] = (),
        treatment: str | None = None,
    ) -> Made:
        """Holes of one diameter, from `top` to `depth`; `points` of dowels come in the assembly frame."""
        diameter, top, depth = size
        if kind == "dowel":
            points = [self.place.point(*point) for point in points]
        through = depth > self.sign.thickness
        fits = [tool for tool in tools if tool.diameter <= diameter + 0.2]
        tool = fits[0] if fits else hole_cutter(diameter, depth, self.bench, flat_bottom=not through)
        if tool is None:
            yield no_hole_cutter((diameter, depth), self.bench, spot, "holes")
            return
        yield from too_short(tool, depth + point_length(tool), spot)
        self.bench = self.bench.with_tools([tool])
        work = Drilling(points=tuple(points), diameter=diameter, top=top, depth=depth)
        yield self._operation(feature, kind, tool, work, depth + point_length(tool), treatment)

    def cut_out(self, held_by: str) -> Made:
        """The outline, through the board."""
        spot = self._spot("sign.outline")
        thick = self.sign.thickness
        deep = through_depth(thick) if held_by == "tabs" else thick - SKIN
        tool = cutout_cutter(self.outline, deep, self.sign.border, self.bench)
        if tool is None:
            yield no_cutter(("flat",), deep, self.bench, spot, "the cut-out")
            return
        tabs = max(4, math.ceil(self.outline.exterior.length / TAB_SPACING)) if held_by == "tabs" else 0
        work = CuttingOut(
            outline=self.outline,
            depth=thick,
            left=TAB_THICKNESS if tabs else SKIN,
            tabs=tabs,
            tab_width=TAB_WIDTH,
        )
        yield self._operation("outline", "cutout", tool, work, deep, None)

    # Small things

    def _operation(
        self,
        feature: str,
        kind: Kind,
        tool: Tool,
        work: Work,
        depth: float,
        treatment: str | None,
        stage: int = 0,
    ) -> Operation:
        name = feature.removeprefix(f"{self.panel}/")
        last = f"{kind}-{stage}" if kind == "rest" and stage > 1 else kind
        return Operation(
            id=f"{self.panel}/{self.face}/{name}/{last}",
            panel=self.panel,
            face=self.face,
            kind=kind,
            feature=feature,
            treatment=treatment,
            tool=tool.id,
            work=work,
            depth=depth,
            stage=stage,
        )

    def _shape(self, carving: Carving) -> MultiPolygon:
        return area_of(self.place.shape(carving.shape))

    def _spot(self, key: str) -> Spot:
        return Spot(key=key, panel=self.panel, back=self.place.inverse(), units=self.job.job.units)

    def _ground_under(self, shape: MultiPolygon, share: float = 0.99) -> float:
        """Depth of the lowered ground that a shape stands on, at least for that share of its area; else 0."""
        if self.face == "inner" or shape.is_empty:
            return 0.0
        grounds = [
            each for each in self.sign.panel(self.panel).carvings if each.treatment in ("raise", "lower")
        ]
        under = [
            each.depth for each in grounds if self._shape(each).intersection(shape).area >= share * shape.area
        ]
        return max(under, default=0.0)


def _no_way_in(feature: str, tool: Tool, spot: Spot) -> Finding:
    return Finding(
        code="tool-missing",
        severity=Severity.ERROR,
        message=f"'{tool.id}' ({fine(tool.diameter, spot.units)}) finds no way into {feature}",
        where=spot.key,
        measured=tool.diameter,
        unit="mm",
        panel=spot.panel,
        hint="add a smaller cutter to the shop file, or make the place wider",
    )


def _wrong_shape(
    tools: tuple[Tool, ...], shapes: tuple[str, ...], spot: Spot, what: str
) -> Iterator[Finding]:
    """The job named a cutter of another shape. That the shop has none is said where it was looked for."""
    if tools:
        yield none_of(shapes, spot, what)


def _unknown_tool(name: str, spot: Spot) -> Finding:
    return Finding(
        code="tool-missing",
        severity=Severity.ERROR,
        message=f"the shop has no tool '{name}'",
        where=spot.key,
        panel=spot.panel,
        hint="use the id of a tool of the shop file",
    )
