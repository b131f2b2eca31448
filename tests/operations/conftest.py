"""A shop of mm cutters, and a double-sided sign with everything on it."""

from collections.abc import Callable

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, Point, Polygon, box

from signplan.geometry.shapes import area_of
from signplan.job.model import Job
from signplan.job.shop import Shop
from signplan.sign.carving import on_their_ground
from signplan.sign.model import Carving, Dowel, HeightMap, PanelPlan, Pocket, Sign

TOOLS = [
    {"id": "em-12", "shape": "flat", "diameter": 12, "cutting_length": 50, "reach": 60},
    {"id": "em-6", "shape": "flat", "diameter": 6, "cutting_length": 30, "reach": 40},
    {"id": "em-3", "shape": "flat", "diameter": 3, "cutting_length": 12, "reach": 20},
    {"id": "v-60", "shape": "vee", "diameter": 12, "angle": 60.0, "cutting_length": 10, "reach": 30},
    {"id": "v-90", "shape": "vee", "diameter": 20, "angle": 90.0, "cutting_length": 10, "reach": 30},
    {"id": "ball-6", "shape": "ball", "diameter": 6, "cutting_length": 20, "reach": 40},
    {"id": "ro-6", "shape": "round-over", "diameter": 18, "radius": 6, "cutting_length": 12, "reach": 30},
    {"id": "drill-10", "shape": "drill", "diameter": 10, "cutting_length": 60, "reach": 70},
]
OUTLINE = Polygon([(0, 0), (600, 0), (600, 240), (420, 400), (0, 400)])
LETTERS = area_of(box(80, 200, 120, 300).union(box(150, 200, 160, 300)).union(Point(260, 250).buffer(40)))


@pytest.fixture
def shop() -> Callable[..., Shop]:
    """The shop, or one without the tools named."""

    def make(*without: str) -> Shop:
        tools = [
            {"number": k, "flutes": 2, **tool}
            for k, tool in enumerate(TOOLS, start=1)
            if tool["id"] not in without
        ]
        return Shop.model_validate(
            {
                "units": "mm",
                "machine": {
                    "name": "router",
                    "bed": [3000, 1500],
                    "travel_z": 200,
                    "feed_max": 15000,
                    "rapid": [30000, 30000, 10000],
                    "accel": [1500, 1500, 800],
                    "rpm": [6000.0, 24000.0],
                    "spindle_kw": 4.0,
                    "clearance_z": 12,
                },
                "tool_change": {"kind": "automatic", "slots": 8, "seconds": 12.0},
                "holding": {"kind": "vacuum"},
                "index_pins": {"diameter": 10, "clearance": 0.05, "depth_in_spoilboard": 9},
                "tool": tools,
                "board": [
                    {
                        "id": "foam",
                        "density_kg_m3": 240.0,
                        "sheet": [1200, 2400],
                        "thicknesses": [38],
                        "chip_load": {"3": [0.1, 0.25], "6": [0.2, 0.5], "12": [0.4, 1.0]},
                    }
                ],
            },
            context={"units": "mm"},
        )

    return make


@pytest.fixture
def job() -> Callable[..., Job]:
    """A job file's bare bones."""

    def make(**work: str) -> Job:
        return Job.model_validate(
            {
                "job": {"number": "1", "title": "t", "units": "mm"},
                "sign": {
                    "board": "foam",
                    "panel": 38,
                    "border": 40,
                    "web": 9,
                    "wall": 19,
                    "outline": {"file": "a.dxf", "layer": "OUTLINE"},
                },
                "work": work,
            },
            context={"units": "mm"},
        )

    return make


@pytest.fixture
def carving() -> Callable[..., Carving]:
    """A carving of panel A; what it does not say is empty."""

    def make(
        treatment: str, shape: MultiPolygon, depth: float, *, number: int = 1, **more: object
    ) -> Carving:
        return Carving(
            id=f"A/{treatment}-{number}",
            key=f"carve[{number}]",
            side="A",
            treatment=treatment,
            shape=area_of(shape),
            depth=depth,
            **more,
        )

    return make


@pytest.fixture
def sign() -> Callable[..., Sign]:
    """A sign whose panel A has these carvings and pockets; panel B is bare."""

    def make(*carvings: Carving, pockets: tuple[Pocket, ...] = (), dowels: tuple[Dowel, ...] = ()) -> Sign:
        stood = on_their_ground(carvings)
        first = PanelPlan(id="A", outline=OUTLINE, carvings=stood, pockets=pockets, dowels=dowels)
        return Sign(
            outline=OUTLINE,
            thickness=38.0,
            panels=(first, PanelPlan(id="B", outline=OUTLINE, dowels=dowels)),
            border=40.0,
        )

    return make


@pytest.fixture
def pocket() -> Callable[..., Pocket]:
    """A pocket of panel A."""

    def make(shape: Polygon, depth: float, *, number: int = 1, **more: object) -> Pocket:
        usual = {"above": 0.0, "tool": "em-6", "mouth": False}
        return Pocket(
            id=f"A/bar-{number}",
            hardware="bar",
            panel="A",
            depth=depth,
            drawn=area_of(shape),
            as_cut=area_of(shape),
            **{**usual, **more},
        )

    return make


@pytest.fixture
def everything(carving, sign, pocket) -> Sign:
    """One of each treatment, a stepped pocket with a mouth, and dowels."""
    ground = box(40, 160, 340, 340).difference(LETTERS)
    ramp = HeightMap(values=np.tile(np.linspace(0, 1, 40), (30, 1)), box=(380, 60, 500, 150))
    return sign(
        carving("raise", ground, 8.0, keep=LETTERS),
        carving("lower", box(40, 40, 120, 100), 5.0),
        carving("incise", area_of(box(200, 60, 300, 66)), 6.0, tools=("v-60",)),
        carving("line", MultiPolygon(), 3.0, lines=(LineString([(20, 20), (560, 20)]),), tools=("v-90",)),
        carving("relief", box(380, 60, 500, 150), 8.0, relief=ramp),
        carving("edge", MultiPolygon(), 6.0, tools=("ro-6",)),
        carving("bore", MultiPolygon([Point(x, 370).buffer(5, quad_segs=32) for x in (30, 390)]), 12.0),
        pockets=(
            pocket(box(290, 200, 310, 410), 10.0, mouth=True),
            pocket(box(285, 220, 315, 240), 16.0, number=2, above=10.0),
        ),
        dowels=(Dowel(x=60, y=60, diameter=10, depth=16), Dowel(x=520, y=80, diameter=10, depth=16)),
    )
