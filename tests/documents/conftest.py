"""A plan made by hand: every record that a document reads, with an outline that is nowhere symmetric."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, Point, Polygon, box

from signplan.cost.quote import Made, cost
from signplan.findings import Finding, Severity
from signplan.job.model import Job
from signplan.job.shop import Shop, Tool
from signplan.operations.model import CuttingOut, Drilling, Need, Operation, Rounding, Work
from signplan.operations.order import Order, Reload
from signplan.plan import Alternative, InputFile, Plan
from signplan.schedule.holding import holds
from signplan.schedule.model import Comparison, PlannedOperation, PlannedSetup, Schedule
from signplan.sign.assemble import ItemFit
from signplan.sign.dowels import place_dowels
from signplan.sign.hanging import hang
from signplan.sign.location import stacks
from signplan.sign.mass import weigh
from signplan.sign.model import Bar, Carving, Item, PanelPlan, Plate, Sign
from signplan.sign.pockets import Bench, pockets_of
from signplan.sign.register import PANELS, Face, Panel, Turn, view
from signplan.sign.schemes import schemes
from signplan.sign.setups import Blanks, Layout, Setup, lay_out
from signplan.sign.wind import wind_load
from signplan.timing.calibrate import UNLOGGED
from signplan.timing.estimate import band, handling_seconds, lead_seconds
from signplan.timing.feeds import cutting_data
from signplan.timing.model import Band, Seconds
from signplan.timing.pace import timed
from signplan.toolpaths.model import Move, Toolpath

INCH = 25.4


def _tool(number: int, name: str, shape: str, diameter: str, **more: object) -> dict[str, object]:
    rest: dict[str, object] = {"flutes": 2, "cutting_length": "1-3/4", "reach": "2-1/2"}
    return {"number": number, "id": name, "shape": shape, "diameter": diameter, **(rest | more)}


SHOP = {
    "units": "in",
    "name": "Fennel Row Signs",
    "machine": {
        "name": "router 1",
        "bed": [100, 60],
        "travel_z": 8,
        "feed_max": 600,
        "rapid": [1200, 1200, 400],
        "accel": [60, 60, 30],
        "rpm": [6000, 24000],
        "spindle_kw": 6.0,
        "clearance_z": 0.5,
    },
    "tool_change": {"kind": "automatic", "slots": 8, "seconds": 12.0},
    "holding": {"kind": "both", "screws": [[1, 1], [30, 0.6]]},
    "tool": [
        _tool(1, "em-1/2", "flat", "1/2"),
        _tool(2, "em-1/4", "flat", "1/4"),
        _tool(3, "em-1/8", "flat", "1/8", reach="1-1/8"),
        _tool(4, "v-60", "vee", "1/2", angle=60.0, cutting_length="7/16"),
        _tool(5, "ro-1/4", "round-over", "3/4", radius="1/4", tip="1/4"),
        _tool(6, "drill-3/8", "drill", "3/8"),
    ],
    "board": [
        {
            "id": "hdu-15",
            "density_lb_ft3": 15.0,
            "sheet": [48, 96],
            "thicknesses": ["1-1/2"],
            "chip_load": {"1/8": [0.004, 0.01], "1/4": [0.008, 0.02], "1/2": [0.015, 0.04]},
        }
    ],
}


CHIPS = ((3.175, (0.1, 0.25)), (6.35, (0.2, 0.5)), (12.7, (0.38, 1.0)))


def _shop() -> Shop:
    shop = Shop.model_validate(SHOP, context={"units": "in"})
    return shop.model_copy(update={"boards": (shop.boards[0].model_copy(update={"chip_load": CHIPS}),)})


def _job(units: str) -> Job:
    art = {"file": "art/face.dxf", "layer": "OUTLINE"}
    return Job.model_validate(
        {
            "job": {
                "number": "WQ-207",
                "title": "Wren & Quill, hanging sign",
                "units": units,
                "revision": "C",
            },
            "sign": {
                "board": "hdu-15",
                "panel": "1-1/2 in",
                "outline": art,
                "border": "1 in",
                "web": "3/8 in",
                "wall": "3/4 in",
            },
            "hardware": [
                {
                    "name": name,
                    "clearance": "0.8 mm",
                    "part": [{"shape": "round", "diameter": "3/8 in", "from": [9, 14], "to": [9, 26]}],
                }
                for name in ("left hanger", "right hanger", "weight plate")
            ],
            "dowels": {"diameter": "3/8 in", "depth": "5/8 in", "count": 4},
        },
        context={"units": units},
    )


def _outline() -> Polygon:
    """36 x 24 in: a bite out of the lower left corner and an arch that is highest on the right."""
    arch = [
        (x, 19 + 5 * math.sin(math.pi / 2 * (x - 0) / 26) if x <= 26 else 24) for x in np.linspace(0, 26, 40)
    ]
    corners = [(4, 0), (36, 0), (36, 20), (32, 24), *reversed(arch), (0, 6), (4, 6)]
    return Polygon([(x * INCH, y * INCH) for x, y in corners])


def _rod(x: float, top: float) -> tuple[Bar, Bar, Bar]:
    """A 3/8 rod with a nut and a washer on it."""

    def bar(low: float, high: float, size: float, profile: str = "round") -> Bar:
        return Bar(
            start=(x * INCH, low * INCH),
            end=(x * INCH, high * INCH),
            z=0.0,
            profile=profile,  # type: ignore[arg-type]
            width=size * INCH,
            height=size * INCH,
        )

    return bar(14.5, top, 0.375), bar(15.2, 15.55, 0.5625, "hex-flats"), bar(15.05, 15.2, 1.0)


def _items() -> tuple[Item, ...]:
    stock = ("rod 3/8", "nut 3/8", "washer 3/8")
    shared = {"clearance": 0.8, "depth_clearance": 0.6, "split": "both"}
    plate = Plate(
        outline=MultiPolygon([box(10 * INCH, 5 * INCH, 14 * INCH, 6 * INCH)]), z=3.175, thickness=6.35
    )
    return (
        Item(name="left hanger", key="hardware[0]", parts=_rod(9, 26), stock=stock, **shared),  # type: ignore[arg-type]
        Item(name="right hanger", key="hardware[1]", parts=_rod(29, 27), stock=stock, **shared),  # type: ignore[arg-type]
        Item(
            name="weight plate",
            key="hardware[2]",
            parts=(plate,),
            clearance=0.8,
            depth_clearance=0.6,
            split="A",
            held_by="epoxy",
            stock=(),
        ),
    )


def _carvings(panel: Panel, outline: Polygon) -> tuple[Carving, ...]:
    def on_face(x0: float, y0: float, x1: float, y1: float) -> Polygon:
        return view(panel, "outer", 36 * INCH).shape(box(x0 * INCH, y0 * INCH, x1 * INCH, y1 * INCH))

    letters = MultiPolygon(
        [
            *(
                on_face(8 + 5 * k, 9, 9 + 5 * k, 14).union(on_face(8 + 5 * k, 9, 11 + 5 * k, 10))
                for k in range(4)
            ),
        ]
    )
    ground = on_face(6, 7.5, 30, 15.5)
    small = MultiPolygon([on_face(10 + 2 * k, 3, 10.4 + 2 * k, 4.4) for k in range(7)])
    rim = outline.difference(outline.buffer(-0.25 * INCH))
    return (
        Carving(
            id=f"{panel}/raise-1",
            key="carve[0]",
            side=panel,
            treatment="raise",
            shape=MultiPolygon([ground.difference(letters)]),
            depth=0.3125 * INCH,
            keep=letters,
        ),
        Carving(
            id=f"{panel}/incise-1",
            key="carve[1]",
            side=panel,
            treatment="incise",
            shape=small,
            depth=0.2 * INCH,
        ),
        Carving(
            id=f"{panel}/line-1",
            key="carve[2]",
            side=panel,
            treatment="line",
            shape=MultiPolygon(),
            lines=(LineString(outline.buffer(-1.0 * INCH).exterior),),
            depth=0.1 * INCH,
        ),
        Carving(
            id=f"{panel}/bore-1",
            key="carve[3]",
            side=panel,
            treatment="bore",
            shape=MultiPolygon(
                [view(panel, "outer", 36 * INCH).shape(Point(33 * INCH, 3 * INCH)).buffer(9.525)]
            ),
            depth=0.2 * INCH,
        ),
        Carving(
            id=f"{panel}/edge-1",
            key="carve[4]",
            side=panel,
            treatment="edge",
            shape=MultiPolygon([rim]),
            depth=6.35,
        ),
    )


def _sign(shop: Shop, job: Job) -> Sign:
    outline, items = _outline(), _items()
    flats = tuple(tool for tool in shop.tools if tool.shape == "flat")
    panels = []
    for panel in PANELS:
        bench = Bench(outline=outline, wall=job.sign.wall, cutters=flats)
        pockets = tuple(pocket for item in items for pocket in pockets_of(item, panel, bench))
        panels.append(
            PanelPlan(id=panel, outline=outline, pockets=pockets, carvings=_carvings(panel, outline))
        )
    sign = Sign(
        outline=outline,
        thickness=job.sign.panel,
        panels=(panels[0], panels[1]),
        items=items,
        web=job.sign.web,
        wall=job.sign.wall,
        border=job.sign.border,
    )
    assert job.dowels
    dowels = place_dowels(sign, job.dowels)
    a, b = sign.panels
    return replace(sign, panels=(replace(a, dowels=dowels), replace(b, dowels=dowels)))


def _path(middle: tuple[float, float], reach: float, depth: float) -> Toolpath:
    """Down, round a square, up."""
    x, y = middle
    square = [
        (x + reach * a, y + reach * b, -depth) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    ]
    first = (x - reach, y - reach, 12.7)
    points = np.array([first, *square, first])
    return Toolpath(points=points, moves=np.array([Move.PLUNGE, *[Move.CUT] * 4, Move.RAPID], dtype=np.int8))


def _work(panel: Panel, face: Face, sign: Sign, cuts_out: bool) -> Iterator[Operation]:
    """Operations as a builder would make them, in a good order: tool by tool."""
    carried = sign.panel(panel)

    def made(
        name: str,
        kind: str,
        feature: str,
        tool: str,
        depth: float,
        treatment: str | None = None,
        work: Work | None = None,
    ) -> Operation:
        return Operation(
            id=f"{panel}/{face}/{name}",
            panel=panel,
            face=face,
            kind=kind,  # type: ignore[arg-type]
            feature=feature,
            treatment=treatment,
            tool=tool,
            work=work or Rounding(outline=carried.outline, depth=depth),
            depth=depth,
        )

    if face == "inner":
        yield made("dowels", "dowel", "dowels", "drill-3/8", carried.dowels[0].depth)
        for pocket in carried.pockets:
            name = pocket.id.partition("/")[2]
            yield made(f"{name}/rough", "rough", pocket.id, "em-1/4", pocket.depth)
            yield made(f"{name}/finish", "finish", pocket.id, "em-1/8", pocket.depth)
        return
    yield made("raise-1/rough", "rough", f"{panel}/raise-1", "em-1/2", 7.9375, "raise")
    yield made("raise-1/rest", "rest", f"{panel}/raise-1", "em-1/8", 7.9375, "raise")
    yield made("line-1", "line", f"{panel}/line-1", "em-1/8", 2.54, "line")
    yield made("incise-1", "incise", f"{panel}/incise-1", "v-60", 5.08, "incise")
    yield made("edge-1", "edge", f"{panel}/edge-1", "ro-1/4", 6.35, "edge")
    if cuts_out:
        out = CuttingOut(outline=carried.outline, depth=38.1, left=3.0, tabs=5, tab_width=12.0)
        yield made("cutout", "cutout", "outline", "em-1/2", 38.1, work=out)


def _index(setup: Setup) -> Operation:
    return Operation(
        id=f"{setup.blank_id}/index",
        panel="",
        face=setup.face,
        kind="index",
        feature="index",
        treatment=None,
        tool="drill-3/8",
        work=Drilling(
            points=tuple((pin.x, pin.y) for pin in setup.pins),
            diameter=9.525,
            top=0.0,
            depth=setup.blank[2] + 9.525,
        ),
        depth=setup.blank[2] + 9.525,
    )


_RANK = ("drill-3/8", "em-1/4", "em-1/8", "v-60", "ro-1/4", "em-1/2")


def _planned(setup: Setup, sign: Sign, shop: Shop, *, spindle: str, stops: int) -> PlannedSetup:
    every = [] if setup.turn else [_index(setup)]
    every += [op for panel in setup.panels for op in _work(panel, setup.face, sign, setup.cuts_out)]
    every.sort(key=lambda op: _RANK.index(op.tool))
    planned: list[PlannedOperation] = []
    before = spindle
    for number, operation in enumerate(every):
        middle = 300.0 + 40 * (number % 9), 200.0 + 31 * (number % 7)
        path = _path(middle, 90 + 20 * (number % 5), operation.depth)
        tool = shop.tool(operation.tool)
        assert isinstance(tool, Tool)
        cutting = cutting_data(tool, shop.boards[0], shop.machine, depth=operation.depth)
        needs = (Need(operation=every[0].id, reason="index holes before anything else"),) if number else ()
        planned.append(
            PlannedOperation(
                operation=operation,
                setup=setup.id,
                tool=tool,
                cutting=cutting,
                path=path,
                lead=lead_seconds(
                    planned[-1].path if planned else None,
                    path,
                    change=operation.tool != before,
                    reload=bool(stops) and number == len(every) - 2,
                    shop=shop,
                ),
                work=sum([timed(path, cutting, shop.machine)[0].seconds] * 12, Seconds()),
                needs=needs,
            )
        )
        before = operation.tool
    tools = [spindle, *(op.tool for op in every)]
    changes = sum(a != b for a, b in pairwise(tools))
    seconds = sum((each.lead + each.work for each in planned), handling_seconds(setup, shop))
    return PlannedSetup(
        setup=setup,
        operations=tuple(planned),
        first_tool=every[0].tool,
        starts_with_change=every[0].tool != spindle,
        changes=changes,
        computed=seconds,
        seconds=seconds,
        hold=UNLOGGED.hold(seconds),
        latest_start="13:45",
        reload_stops=stops,
    )


def make(
    units: str = "in", blanks: Blanks = "one", findings: Sequence[Finding] = (), turn: Turn = "side"
) -> Plan:
    shop = _shop()
    job = _job(units)
    sign = _sign(shop, job)
    layout = Layout(blanks=blanks, turn=turn, cutout="outer")
    bare, _ = lay_out(sign, layout, bed=shop.machine.bed, pins=shop.index_pins)
    setups: list[PlannedSetup] = []
    for setup in bare:
        spindle = setups[-1].operations[-1].operation.tool if setups else ""
        setups.append(_planned(setup, sign, shop, spindle=spindle, stops=int(setup is bare[-1])))
    total = sum(each.seconds.total for each in setups)
    every = [each.operation.id for setup in setups for each in setup.operations]
    changes = sum(each.changes for each in setups)
    order = Order(
        sequence=tuple(every),
        changes=changes,
        lower_bound=changes,
        proven=True,
        reloads=(Reload(before=every[-2], tool_in="ro-1/4", tool_out="em-1/4", slot=2, in_hold=True),),
    )
    comparisons = (
        Comparison(name="panel by panel, as listed", changes=changes + 14, seconds=total + 700),
        Comparison(name="panel by panel, each done well", changes=changes + 8, seconds=total + 400),
        Comparison(name="down the tool list, over and over", changes=changes + 3, seconds=total + 150),
    )
    mass, board = weigh(sign, shop.boards[0].density), shop.boards[0]
    made = Schedule(
        layout=layout,
        setups=tuple(setups),
        order=order,
        comparisons=comparisons,
        findings=(),
        seconds=sum((each.seconds for each in setups), Seconds()),
        refused="",
    )
    return Plan(
        job=job,
        shop=shop,
        board=shop.boards[0],
        inputs=(
            InputFile(path="job.toml", sha256="0f" * 32),
            InputFile(path="art/face.dxf", sha256="a1" * 32),
        ),
        sign=sign,
        layout=layout,
        setups=tuple(setups),
        order=order,
        alternatives=(
            Alternative(layout=layout, setups=len(setups), changes=changes, seconds=total, chosen=True),
            Alternative(
                layout=replace(layout, blanks="two"),
                setups=4,
                changes=changes + 3,
                seconds=total + 1500,
                chosen=False,
            ),
        ),
        comparisons=comparisons,
        fits=tuple(
            ItemFit(
                name=item.name,
                room=item.clearance - 0.05,
                room_worst=0.31 + 0.1 * k,
                spot=(228.6, 500.0, 3.0),
                panel="A",
                captive=not item.held_by,
                slides=0.8,
            )
            for k, item in enumerate(sign.items)
        ),
        stacks=stacks(sign, shop, bare),
        schemes=schemes(sign, shop, layout, bare, cutter=12.7),
        mass=mass,
        time=Band(seconds=total, low=band(total).low, high=band(total).high, reason=band(total).reason),
        calibration=UNLOGGED,
        holds=holds(setups, sign, shop, board),
        hanging=hang(sign, mass, job.hanging),
        wind=wind_load(sign, mass.total, job),
        costing=cost(Made(sign=sign, job=job, shop=shop, board=board, schedule=made)),
        findings=tuple(findings),
    )


FINDINGS = (
    Finding(
        code="cavity-tight",
        severity=Severity.ERROR,
        message="the left hanger has 0.004 in less room than it needs at its nut",
        where="hardware[0]",
        measured=-0.1,
        wanted=0.0,
        unit="mm",
        hint="give it more clearance, or a smaller cutter",
        spot=(228.6, 390.0, 4.0),
        panel="A",
    ),
    Finding(
        code="lift-weight",
        severity=Severity.NOTE,
        message="the finished sign weighs 24 lb; two people hang it",
        hint="plan the lift",
    ),
)

Maker = Callable[..., Plan]


@pytest.fixture(scope="session")
def make_plan_by_hand() -> Maker:
    return make


@pytest.fixture(scope="session")
def plan() -> Plan:
    return make()


@pytest.fixture(scope="session")
def plan_mm() -> Plan:
    return make("mm", "two")


@pytest.fixture(scope="session")
def plan_not_ready() -> Plan:
    return make(findings=FINDINGS)
