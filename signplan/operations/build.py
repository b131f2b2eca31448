"""From the sign to its operations: what has to be cut, on which face, with which cutter.

What comes in: the sign (assembly frame), the job and the shop. What goes out: every operation of both panels
and faces, in the view of its face, and findings where the shop has no cutter. It orders nothing: what comes
first is `graph`'s to say.
"""

import math
from collections.abc import Iterator

from signplan.findings import Finding, Severity, worst
from signplan.geometry.shapes import area_of
from signplan.job.model import Job
from signplan.job.shop import Shop, Tool
from signplan.operations.cutters import (
    Bench,
    bench,
    clearing_cutters,
    cutout_cutter,
    hole_cutter,
    point_length,
    through_depth,
)
from signplan.operations.depths import wrong_depths
from signplan.operations.model import Channelling, CuttingOut, Drilling, Following, Operation
from signplan.operations.practice import ALLOWANCE, SKIN, TAB_SPACING, TAB_THICKNESS, TAB_WIDTH
from signplan.operations.room import room_of
from signplan.operations.shortfalls import (
    Spot,
    no_cutter,
    no_index_cutter,
    none_of,
    told_once,
    too_short,
    unknown_tool,
)
from signplan.operations.side import Feature, Made, Side
from signplan.operations.treatments import treated
from signplan.sign.carving import LOWERING
from signplan.sign.model import Channel, Pocket, Sign, Vent
from signplan.sign.register import PANELS, STAY, Face
from signplan.sign.setups import Setup
from signplan.units import fine

FACES: tuple[Face, Face] = ("inner", "outer")


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
            side = Side.of(sign, panel, face, bench=in_hand[face], units=job.job.units)
            made += _inner(side) if face == "inner" else _outer(side)
            if face == (cutout or job.work.cutout):
                made += _cut_out(side, job.work.hold_parts_by)
            in_hand[face] = side.bench
    operations = tuple(each for each in made if isinstance(each, Operation))
    findings = (each for each in made if isinstance(each, Finding))
    return operations, tuple(told_once(findings, job.job.units))


def _with_named(start: Bench, sign: Sign, face: Face) -> Bench:
    """The bench with the tools that this face needs in any case: those that pockets or carvings name."""
    if face == "inner":
        names = {pocket.tool for panel in sign.panels for pocket in panel.pockets}
    else:
        names = {name for panel in sign.panels for carving in panel.carvings for name in carving.tools}
    return start.with_tools(tool for tool in start.shop.tools if tool.id in names)


def _outer(side: Side) -> Made:
    """The carvings whose depth can be meant; those that clear large areas choose their cutters first."""
    carvings = side.sign.panel(side.panel).carvings
    ground_first = sorted(carvings, key=lambda each: (each.treatment not in LOWERING, -each.shape.area))
    for carving in ground_first:
        spot = side.feature(carving.id, carving.key).spot
        wrong = tuple(wrong_depths(carving, carvings, thickness=side.sign.thickness, spot=spot))
        yield from wrong
        if worst(wrong) is not Severity.ERROR:
            yield from treated(side, carving)


def _inner(side: Side) -> Made:
    """Pockets, the largest first so that small ones may use its roughing cutter, and dowel holes."""
    plan = side.sign.panel(side.panel)
    for pocket in sorted(plan.pockets, key=lambda each: (each.above, -each.drawn.area, each.id)):
        yield from _pocket(side, pocket)
    sizes = sorted({(dowel.diameter, dowel.depth) for dowel in plan.dowels})
    for number, (diameter, depth) in enumerate(sizes, start=1):
        alike = (dowel for dowel in plan.dowels if (dowel.diameter, dowel.depth) == (diameter, depth))
        points = [side.place.point(dowel.x, dowel.y) for dowel in alike]
        feature = side.feature("dowels" if number == 1 else f"dowels-{number}", "dowels")
        yield from side.holes(feature, "dowel", points, size=(diameter, 0.0, depth))
    if plan.vents:
        yield _vents(side, plan.vents)


def _pocket(side: Side, pocket: Pocket) -> Made:
    keys = {item.name: item.key for item in side.sign.items}
    feature = side.feature(pocket.id, keys.get(pocket.hardware, pocket.hardware))
    finish = side.bench.shop.tool(pocket.tool)
    if finish is None:
        known = unknown_tool(pocket.tool, feature.spot) if pocket.tool else None
        yield known or none_of(("flat",), feature.spot, pocket.id)
        return
    yield from too_short(finish, pocket.depth, feature.spot)
    if pocket.channel:
        yield _channel(side, pocket, pocket.channel, feature)
        return
    region = area_of(side.place.shape(pocket.drawn).intersection(side.outline))
    room = room_of(region, side.outline)
    depth = (pocket.above, pocket.depth)
    tools = clearing_cutters(room, depth, side.bench, last=finish, allowance=ALLOWANCE)
    relief = tuple(side.place.point(*point) for point in pocket.relief)
    yield from side.clear(feature, room, depth, tools=tools, relief=relief)


def _channel(side: Side, pocket: Pocket, channel: Channel, feature: Feature) -> Operation:
    """A channel is cut by its own ball-nosed cutter from the first pass to the last."""
    tool = next(tool for tool in side.bench.shop.tools if tool.id == pocket.tool)
    side.take([tool])
    work = Channelling(
        lines=tuple(side.place.shape(line) for line in channel.lines),
        region=area_of(side.place.shape(pocket.as_cut)),
        radius=channel.radius,
        depth=channel.depth,
    )
    return side.operation(feature, "channel", tool, work=work, depth=channel.depth)


def _vents(side: Side, vents: tuple[Vent, ...]) -> Operation | Finding:
    """All vents of a face are one operation."""
    feature, depth = side.feature("vents", "work.vents"), vents[0].depth
    tool = side.bench.shop.tool(vents[0].tool)
    if tool is None:
        return none_of(("flat",), feature.spot, f"vents of {fine(vents[0].width, side.units)} or less")
    side.take([tool])
    lines = tuple(side.place.shape(vent.line) for vent in vents)
    work = Following(lines=lines, top=0.0, depth=depth)
    return side.operation(feature, "vent", tool, work=work, depth=depth)


def _cut_out(side: Side, held_by: str) -> Made:
    """The outline, through the board, held by tabs or a skin."""
    feature = side.feature("outline", "sign.outline")
    thick = side.sign.thickness
    deep = through_depth(thick) if held_by == "tabs" else thick - SKIN
    tool = cutout_cutter(side.outline, deep, side.sign.border, side.bench)
    if tool is None:
        yield no_cutter(("flat",), deep, side.bench, feature.spot, "the cut-out")
        return
    tabs = max(4, math.ceil(side.outline.exterior.length / TAB_SPACING)) if held_by == "tabs" else 0
    left = TAB_THICKNESS if tabs else SKIN
    work = CuttingOut(outline=side.outline, depth=thick, left=left, tabs=tabs, tab_width=TAB_WIDTH)
    yield side.operation(feature, "cutout", tool, work=work, depth=deep)


# Index holes


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
    if job.work.locate == "edge stops":
        return
    pins = at.shop.index_pins
    diameter, below = pins.diameter + pins.clearance, pins.depth_in_spoilboard
    if hole_cutter(diameter, sign.thickness + below, at, flat_bottom=False) is None:
        spot = Spot(key="sign.panel", panel="A", back=STAY, units=job.job.units)
        yield no_index_cutter(diameter, at, spot, board=sign.thickness, below=below)
