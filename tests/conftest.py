"""What all tests share: the switch that writes golden files anew, libraries kept from writing outside, and a
way to build and judge a sign from a few lines of a job file and shapes for its layers; no file is read.
"""

import os
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.artwork.model import Artwork, Layer, Line, Region
from signplan.checks.case import Case
from signplan.checks.judge import check_sign
from signplan.findings import Finding, in_reading_order
from signplan.job.model import Job
from signplan.job.shop import Shop
from signplan.sign.assemble import closing
from signplan.sign.build import build_sign
from signplan.sign.location import play, stacks
from signplan.sign.model import Sign
from signplan.sign.register import Face
from signplan.sign.schemes import schemes
from signplan.sign.setups import Layout, lay_out

collect_ignore_glob = ["benchmarks/*", "artwork/hostile.py"]
"""Programs of their own: run by hand, or by a test."""


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--regenerate", action="store_true", help="write the golden files anew")


def pytest_configure(config: pytest.Config) -> None:
    cache = Path(__file__).parent.parent / ".venv" / "cache"
    os.environ.setdefault("XDG_CACHE_HOME", str(cache))


@pytest.fixture
def regenerate(request: pytest.FixtureRequest) -> bool:
    """Whether golden files are to be written instead of compared."""
    return bool(request.config.getoption("--regenerate"))


SHOP = """
units = "mm"
[machine]
name = "router"
bed = [2500, 1300]
travel_z = 200
feed_max = 10000
rapid = [15000, 15000, 5000]
accel = [900, 900, 400]
rpm = [8000, 24000]
spindle_kw = 3
clearance_z = 12
[tool_change]
kind = "automatic"
slots = 8
[holding]
kind = "vacuum"
[[tool]]
number = 1
id = "em-12"
shape = "flat"
diameter = 12
flutes = 2
cutting_length = 50
reach = 60
[[tool]]
number = 2
id = "em-6"
shape = "flat"
diameter = 6
flutes = 2
cutting_length = 30
reach = 36
[[tool]]
number = 3
id = "em-3"
shape = "flat"
diameter = 3
flutes = 2
cutting_length = 15
reach = 20
[[tool]]
number = 5
id = "v-60"
shape = "vee"
angle = 60
diameter = 12
flutes = 2
cutting_length = 10
reach = 30
[[tool]]
number = 6
id = "v-90"
shape = "vee"
angle = 90
diameter = 16
flutes = 2
cutting_length = 8
reach = 30
[[tool]]
number = 7
id = "ro-6"
shape = "round-over"
radius = 6
diameter = 18
flutes = 2
cutting_length = 12
reach = 32
[[board]]
id = "hdu"
density_kg_m3 = 240
sheet = [1220, 2440]
thicknesses = [30, 40, 50]
chip_load = { "3" = [0.1, 0.25], "12" = [0.38, 1.0] }
"""

HEAD = """
[job]
number = "T-1"
title = "a sign under test"
units = "mm"
[sign]
board = "hdu"
panel = 40
border = 40
web = 10
wall = 20
outline = { file = "face.dxf", layer = "OUTLINE" }
"""

OUTLINE = Polygon([(0, 0), (600, 0), (600, 300), (500, 400), (0, 400)])
"""No symmetry: a missing mirror cannot hide in it."""

LAYOUT = Layout(blanks="two", turn="side", cutout="outer")
CUTTER = 12.0

Layers = Mapping[str, BaseGeometry]


@dataclass(frozen=True)
class Judged:
    """A sign that was built and judged."""

    case: Case
    findings: tuple[Finding, ...]

    @property
    def sign(self) -> Sign:
        return self.case.sign

    @property
    def codes(self) -> set[str]:
        return {finding.code for finding in self.findings}

    def the(self, code: str) -> Finding:
        """The one finding of that code."""
        (found,) = (finding for finding in self.findings if finding.code == code)
        return found

    def changed(self, sign: Sign) -> "Judged":
        """The same job with another sign, judged again: for what no job file can ask for."""
        return _judge(sign, self.case.job, self.case.shop)


def drawing(layers: Layers, name: str = "face.dxf") -> Artwork:
    """A drawing that holds these shapes: areas as regions, lines as open lines."""
    return Artwork(name=name, units="mm", layers=tuple(_layer(n, shape) for n, shape in layers.items()))


def _layer(name: str, shape: BaseGeometry) -> Layer:
    parts = list(getattr(shape, "geoms", [shape]))
    regions = [part for part in parts if isinstance(part, Polygon)]
    lines = [part for part in parts if isinstance(part, LineString)]
    return Layer(
        name=name,
        regions=tuple(Region(shape=part, sources=(f"{name}-{k}",)) for k, part in enumerate(regions)),
        lines=tuple(Line(shape=part, sources=(f"{name}-{k}",)) for k, part in enumerate(lines)),
    )


def job_of(text: str) -> Job:
    return Job.model_validate(tomllib.loads(HEAD + text), context={"units": "mm"})


def _judge(sign: Sign, job: Job, shop: Shop) -> Judged:
    cutout: Face = "inner" if job.work.cutout == "inner" else "outer"
    layout = replace(LAYOUT, locate=job.work.locate, cutout=cutout)
    setups, _ = lay_out(sign, layout, bed=shop.machine.bed, pins=shop.index_pins, cutter=CUTTER)
    stacked = stacks(sign, shop, setups)
    fits = closing(sign, play(stacked))
    ranked = schemes(sign, shop, layout, setups, cutter=CUTTER)
    case = Case(sign=sign, fits=fits, stacks=stacked, job=job, shop=shop, schemes=ranked)
    return Judged(case=case, findings=check_sign(case))


@pytest.fixture(scope="session")
def shop() -> Shop:
    return Shop.model_validate(tomllib.loads(SHOP), context={"units": "mm"})


@pytest.fixture(scope="session")
def judge(shop: Shop) -> Callable[..., Judged]:
    """Build and judge a sign from the lines of a job after its head, and the shapes on its layers.

    The head ends inside the table [sign].
    """

    def judge_job(
        text: str, *, outline: Polygon = OUTLINE, shop: Shop = shop, **layers: BaseGeometry
    ) -> Judged:
        job = job_of(text)
        files = {"face.dxf": drawing({"OUTLINE": outline, **layers})}
        heights = {"heights.png": np.linspace(0, 1, 64).reshape(8, 8)}
        sign, findings = build_sign(job, shop, files, heights)
        judged = _judge(sign, job, shop)
        return replace(judged, findings=in_reading_order((*findings, *judged.findings)))

    return judge_job


@pytest.fixture(scope="session")
def draw() -> Callable[..., Artwork]:
    return drawing


@pytest.fixture(scope="session")
def read_job() -> Callable[..., Job]:
    return job_of


@pytest.fixture(scope="session")
def outline() -> Polygon:
    return OUTLINE
