"""How long tool paths take, each beside the least that its library needs for the same work.

    python tests/benchmarks/toolpaths_speed.py

prints one line a part: seconds, and the ratio to a bare loop over the same library in the same run; last, all
paths of each demo job with a relief of more than a million points put on its side A.
"""

import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyvoronoi
import shapely
from shapely import MultiPolygon, box

from signplan.artwork.importer import read_artwork
from signplan.geometry.medial import SCALE, medial_axis
from signplan.geometry.shapes import area_of
from signplan.job.shop import Machine, Tool
from signplan.operations.build import build_operations
from signplan.operations.model import Clearing, Operation, Sculpting, Work
from signplan.operations.practice import RELIEF_ALLOWANCE, STEPOVER
from signplan.plan import make_plan
from signplan.sign.model import HeightMap
from signplan.toolpaths.cut import cut

JOBS = Path(__file__).parents[2] / "demo_jobs"
ART = JOBS / "gannet-and-thrum" / "art" / "face.dxf"
WHOLE_JOB = 5.0
"""Seconds of one processor that all paths of a job with a large relief may take."""

ROUTER = Machine(
    name="router",
    bed=(3000, 1500),
    travel_z=200,
    feed_max=15000,
    rapid=(30000, 30000, 10000),
    accel=(1500, 1500, 800),
    rpm=(6000, 24000),
    spindle_kw=3,
    clearance_z=10,
)


def tool(shape: str, diameter: float) -> Tool:
    return Tool(number=1, id=shape, shape=shape, diameter=diameter, flutes=2, cutting_length=60, reach=70)


def operation(kind: str, cutter: Tool, work: Work) -> Operation:
    return Operation(
        id="x",
        panel="A",
        face="outer",
        kind=kind,
        feature="x",
        treatment=None,
        tool=cutter.id,
        work=work,
        depth=8,
    )


def least(run: Callable[[], object], times: int = 3) -> float:
    """Seconds of the fastest of a few runs."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        run()
        best = min(best, time.perf_counter() - start)
    return best


def told(name: str, ours: float, floor: float, what: str) -> None:
    print(f"{name:34s} {ours:7.3f} s   {ours / floor:5.1f} x {what} ({floor:.3f} s)")


def clearing(letters: MultiPolygon) -> None:
    """The ground round lettering by rings, against the bare offsets of the same room."""
    x0, y0, x1, y1 = letters.bounds
    ground = area_of(box(x0 - 40, y0 - 40, x1 + 40, y1 + 40).difference(letters))
    cutter = tool("flat", 6)
    made = operation("rough", cutter, Clearing(region=ground, within=ground, top=0, floor=8))

    def offsets() -> None:
        room = ground.buffer(-3)
        while not room.is_empty:
            room = room.buffer(-STEPOVER * 6)

    told("clearing round lettering", least(lambda: cut(made, cutter, ROUTER)), least(offsets), "bare offsets")


def axis(letters: MultiPolygon) -> None:
    """The medial axis of lettering, against the bare diagram of its segments."""

    def diagram() -> None:
        for part in letters.geoms:
            builder = pyvoronoi.Pyvoronoi(SCALE)
            for ring in shapely.get_rings(part):
                points = shapely.get_coordinates(ring).round(4)
                for start, end in zip(points[:-1].tolist(), points[1:].tolist(), strict=True):
                    if start != end:
                        builder.AddSegment([start, end])
            builder.Construct()

    told("medial axis of lettering", least(lambda: medial_axis(letters)), least(diagram), "bare diagram")


def waves(points: int, allowance: float) -> Sculpting:
    """A square relief whose finish by a 6 mm ball has about so many points."""
    side = (points / 2 / 1.15) ** 0.5 * 0.69
    ramp = np.add.outer(np.sin(np.linspace(0, 30, 800)), np.cos(np.linspace(0, 40, 800))) / 4 + 0.5
    heights = HeightMap(values=ramp, box=(0, 0, side, side))
    return Sculpting(region=area_of(box(0, 0, side, side)), heights=heights, depth=8, allowance=allowance)


def relief(points: int) -> None:
    """A relief of so many path points, against one maximum of such a field for each place under the ball."""
    ball = tool("ball", 6)
    work = waves(points, 0)
    path = cut(operation("relief-finish", ball, work), ball, ROUTER)
    field = np.random.default_rng(1).random((int(points**0.5), int(points**0.5)), dtype=np.float32)
    other = field[::-1].copy()

    def maxima() -> None:
        for _ in range(400):
            np.maximum(field, other, out=field)

    seconds = least(lambda: cut(operation("relief-finish", ball, work), ball, ROUTER), 2)
    told(f"relief of {len(path.points):,} points", seconds, least(maxima, 2), "400 bare maxima")


def job(name: str) -> None:
    """Every path of a demo job, each as often as it is cut, and a relief roughed and finished besides."""
    plan = make_plan(JOBS / name)
    operations, _ = build_operations(plan.sign, plan.job, plan.shop)
    works = [(each, plan.shop.tool(each.tool)) for each in operations]
    rough, finish = tool("flat", 12.7), tool("ball", 6)
    works.append((operation("relief-rough", rough, waves(1_250_000, RELIEF_ALLOWANCE)), rough))
    works.append((operation("relief-finish", finish, waves(1_250_000, 0)), finish))
    start = time.process_time()
    points = [len(cut(each, cutter, plan.shop.machine).points) for each, cutter in works if cutter]
    seconds = time.process_time() - start
    line = f"{name}: {len(points)} paths, {sum(points):,} points, {points[-1]:,} of them a relief's finish"
    print(f"{line}: {seconds:.2f} s of one processor, wanted under {WHOLE_JOB:g} s")


def main() -> None:
    artwork, _ = read_artwork(ART)
    layer = artwork.layer("LETTERS")
    assert layer is not None
    letters = MultiPolygon([region.shape for region in layer.regions])
    print(f"lettering: {len(shapely.get_coordinates(letters)):,} points")
    clearing(letters)
    axis(letters)
    relief(100_000)
    relief(1_000_000)
    for name in ("gannet-and-thrum", "tansyrigg-orchard"):
        job(name)


if __name__ == "__main__":
    main()
