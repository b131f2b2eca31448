"""A shop, a plan of two setups, and a program that is right: every test changes one thing in it."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from signplan.job.shop import Shop
from signplan.operations.model import CuttingOut, Following, Operation
from signplan.programs.check import check_against
from signplan.programs.model import Context, Dialect, FileReport, ProgramReport
from signplan.programs.moves import Batch, read_moves
from signplan.programs.source import read_pieces
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.sign.model import IndexPin
from signplan.sign.register import STAY
from signplan.sign.setups import Setup
from signplan.timing.feeds import cutting_data
from signplan.timing.model import Band, Seconds
from signplan.toolpaths.model import Move, Toolpath

SHOP = {
    "units": "mm",
    "machine": {
        "name": "router",
        "bed": [2500, 1300],
        "travel_z": 180,
        "feed_max": 10000,
        "rapid": [15000, 15000, 5000],
        "accel": [900, 700, 400],
        "rpm": [8000, 24000],
        "spindle_kw": 3.0,
        "clearance_z": 12,
    },
    "tool_change": {"kind": "automatic", "slots": 8, "seconds": 12.0},
    "holding": {"kind": "both", "screws": [[12, 188]]},
    "tool": [
        {"number": 1, "id": "em-12", "shape": "flat", "diameter": 12, "cutting_length": 45, "reach": 50},
        {"number": 2, "id": "em-6", "shape": "flat", "diameter": 6, "cutting_length": 28, "reach": 20},
        {
            "number": 3,
            "id": "v-60",
            "shape": "vee",
            "diameter": 12,
            "angle": 60.0,
            "cutting_length": 9,
            "reach": 30,
        },
        {"number": 4, "id": "drill-8", "shape": "drill", "diameter": 8, "cutting_length": 60, "reach": 70},
    ],
    "board": [
        {
            "id": "pu-240",
            "density_kg_m3": 240.0,
            "sheet": [1220, 2440],
            "thicknesses": [38],
            "chip_load": {"3": [0.05, 0.3], "6": [0.1, 0.4], "12": [0.1, 0.6]},
        }
    ],
}
BLANK = (300.0, 200.0, 38.0)

OUTER = """\
G17 G21 G40 G49 G80 G90 G94 G54
T1 M6
S18000 M3
G43 H1
G0 Z12
G0 X60 Y60
G1 Z-10 F3000
G1 X140 F6000
Y110
X60
Y60
G0 Z12
T2 M6
S18000 M3
G43 H2
G0 Z12
G0 X200 Y50
G1 Z-5 F3000
X240 F6000
G3 X240 Y90 I0 J20
G1 X200
G0 Z12
T3 M6
S18000 M3
G43 H3
G0 Z12
G0 X60 Y150
G1 Z-3 F3000
X140 F6000
G0 Z12
M5
M30
"""
"""The program of the outer face: T1 clears to 10, T2 to 5, T3 follows a line at 3."""


@pytest.fixture(scope="session")
def shop() -> Shop:
    tools = [{"flutes": 2, **tool} for tool in SHOP["tool"]]
    return Shop.model_validate({**SHOP, "tool": tools}, context={"units": "mm"})


def _operation(
    shop: Shop, setup: str, name: str, number: int, corners: list[tuple[float, ...]]
) -> PlannedOperation:
    """A planned cut along straight lines through (x, y, z) corners."""
    tool = next(tool for tool in shop.tools if tool.number == number)
    depth = -min(z for _, _, z in corners)
    first, last = corners[0], corners[-1]
    points = np.array([(*first[:2], 12.0), *corners, (*last[:2], 12.0)])
    moves = [Move.PLUNGE, *[Move.CUT] * (len(corners) - 1), Move.RAPID]
    work = CuttingOut(outline=None, depth=38.0, left=3.0, tabs=0, tab_width=0.0) if number == 4 else None
    return PlannedOperation(
        operation=Operation(
            id=f"{setup}/{name}",
            panel="A",
            face="outer" if "outer" in setup else "inner",
            kind="rough",
            feature=name,
            treatment=None,
            tool=tool.id,
            work=work or Following(lines=(), top=0.0, depth=depth),
            depth=depth,
        ),
        setup=setup,
        tool=tool,
        cutting=cutting_data(tool, shop.boards[0], shop.machine, depth=min(depth, 10.0)),
        path=Toolpath(points=points, moves=np.array(moves, dtype=np.int8)),
        lead=Seconds(),
        work=Seconds(cutting=60.0),
        needs=(),
    )


def _setup(name: str, operations: list[PlannedOperation], turn: str) -> PlannedSetup:
    return PlannedSetup(
        setup=Setup(
            id=name,
            face="outer" if "outer" in name else "inner",
            panels=("A",),
            blank=BLANK,
            placements=(("A", STAY),),
            pins=(IndexPin(x=150.0, y=10.0, diameter=10.0), IndexPin(x=150.0, y=185.0, diameter=10.0)),
            turn=turn,  # type: ignore[arg-type]
            cuts_out=bool(turn),
        ),
        operations=tuple(operations),
        first_tool=operations[0].tool.id,
        starts_with_change=True,
        changes=3,
        computed=Seconds(cutting=60.0, travel=10.0, changes=51.0, handling=300.0),
        seconds=Seconds(cutting=60.0, travel=10.0, changes=51.0, handling=300.0),
        hold=Band(seconds=121.0, low=110.0, high=150.0, reason=""),
        latest_start="",
    )


def _square(x: float, y: float, wide: float, deep: float, z: float) -> list[tuple[float, ...]]:
    """A path that goes all over a rectangle, 5 mm apart."""
    rows = np.arange(y, y + deep + 0.1, 5.0)
    ends = [(x, x + wide) if k % 2 == 0 else (x + wide, x) for k in range(len(rows))]
    return [(a, row, z) for row, pair in zip(rows.tolist(), ends, strict=True) for a in pair]


@pytest.fixture(scope="session")
def setups(shop: Shop) -> tuple[PlannedSetup, ...]:
    """`A-inner` with T2 and T1, then `A-outer`, turned onto its pins, with T1, T2 and T3."""
    inner = [
        _operation(shop, "A-inner", "pocket", 2, _square(50, 50, 60, 40, -15.0)),
        _operation(shop, "A-inner", "channel", 1, _square(150, 50, 100, 40, -12.0)),
    ]
    outer = [
        _operation(shop, "A-outer", "ground", 1, _square(60, 60, 80, 50, -10.0)),
        _operation(shop, "A-outer", "letters", 2, _square(200, 50, 60, 40, -5.0)),
        _operation(shop, "A-outer", "line", 3, [(60.0, 150.0, -3.0), (140.0, 150.0, -3.0)]),
    ]
    return _setup("A-inner", inner, ""), _setup("A-outer", outer, "side")


@pytest.fixture(scope="session")
def context(shop: Shop) -> Context:
    """The shop and its board, millimetres, no setup."""
    return Context(shop=shop, board=shop.boards[0], units="mm")


Check = Callable[..., ProgramReport]


@pytest.fixture
def check(tmp_path: Path, setups: tuple[PlannedSetup, ...], context: Context) -> Check:
    """Check programs given as {file name: text or bytes}."""

    def run(files: dict[str, str | bytes], dialect: Dialect = "rs274ngc") -> ProgramReport:
        paths = []
        for name, text in files.items():
            path = tmp_path / name
            path.write_bytes(text if isinstance(text, bytes) else text.encode("latin-1"))
            paths.append(path)
        changed = Context(shop=context.shop, board=context.board, units=context.units, dialect=dialect)
        return check_against(setups, paths, changed)

    return run


@pytest.fixture
def outer(check: Check) -> Callable[[str], FileReport]:
    """Check a text as the program of the outer face."""
    return lambda text: check({"A-outer.nc": text}).files[0]


@pytest.fixture
def right() -> str:
    """The program of the outer face, in which nothing is wrong."""
    return OUTER


@pytest.fixture
def moves_of(tmp_path: Path) -> Callable[..., list[Batch]]:
    """The batches of a program's text, in millimetres until it says otherwise."""

    def run(text: str, dialect: Dialect = "rs274ngc", size: int = 1 << 17) -> list[Batch]:
        path = tmp_path / "program.nc"
        path.write_text(text, encoding="latin-1")
        return list(read_moves(read_pieces(path, size=size), dialect, scale=1.0))

    return run
