"""Shops and jobs that cannot be cut, from the command line: a finding or a clear error, no wrong number."""

import json
import math
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from signplan.cli import app

RELIEF = """[[carve]]
side = "both"
as = "relief"
image = "art/heights.png"
art = { file = "art/face.svg", layer = "ground" }
depth = DEPTH

"""


def run(*arguments):
    return CliRunner().invoke(app, [str(each) for each in arguments])


@pytest.fixture
def job(tmp_path) -> Path:
    """A sound job and its shop, in millimetres."""
    assert run("new", tmp_path / "sign", "--units", "mm").exit_code == 0
    return tmp_path / "sign"


def change(file: Path, *pairs: tuple[str, str]) -> None:
    text = file.read_text()
    for pattern, put in pairs:
        text, count = re.subn(pattern, put, text, flags=re.MULTILINE)
        assert count, pattern
    file.write_text(text)


def with_relief(job: Path, depth: float, heights: np.ndarray) -> None:
    """The job with a relief instead of its carvings."""
    Image.fromarray((255 * heights).astype(np.uint8)).save(job / "art" / "heights.png")
    text = (job / "job.toml").read_text()
    before, after = text.index("[[carve]]"), text.index("[[hardware]]")
    (job / "job.toml").write_text(text[:before] + RELIEF.replace("DEPTH", str(depth)) + text[after:])


def planned(job: Path) -> dict:
    """The plan that is written in spite of its errors; every number of it is one."""
    result = run("plan", job, "--json")
    assert result.exit_code == 1, result.output
    made = json.loads(result.stdout)
    times = [made["time"]["seconds"], *(each["seconds"]["total"] for each in made["setups"])]
    assert all(0 < each < math.inf for each in times)
    for each in made["operations"]:
        assert each["feed"] > 0
        assert each["seconds"] > 0
        assert None not in each["bounds"]
    return made


def errors(made: dict) -> list[str]:
    return [each["code"] for each in made["findings"] if each["severity"] == "error"]


@pytest.mark.parametrize(
    ("line", "put", "said"),
    [
        (r"^feed_max = \d+", "feed_max = 0", "machine.feed_max: must be more than 0"),
        (r"^feed_max = \d+", "feed_max = nan", "machine.feed_max: nan is not a length"),
        (r"^rapid    = \[20000", "rapid    = [inf", "machine.rapid[0]: inf is not a length"),
        (r"^accel    = \[1200", "accel    = [0", "machine.accel[0]: must be more than 0"),
        (r"^accel    = \[1200", "accel    = [nan", "machine.accel[0]: nan is not a length"),
        (r"^corner_tolerance = 0.05", "corner_tolerance = -1", "must not be less than 0"),
        (r"^clearance_z = 12", "clearance_z = 0.001", "they must pass 2.0 mm"),
        (r"^rpm      = \[6000", "rpm      = [0", "machine.rpm[0]: must be more than 0"),
    ],
)
def test_a_machine_that_cannot_be_is_refused_with_its_line(job, line, put, said):
    change(job / "shop.toml", (line, put))
    result = run("plan", job)
    assert result.exit_code == 2
    assert said in result.stderr
    assert re.search(r"shop\.toml:\d+:\d+: machine\.", result.stderr)
    assert not (job / "plan").exists()


@pytest.mark.parametrize("depth", ["nan", "0", "-3", "inf"])
def test_a_depth_that_is_none_is_refused(job, depth):
    change(job / "job.toml", (r"^depth  = 8\b", f"depth  = {depth}"))
    result = run("plan", job)
    assert result.exit_code == 2
    assert re.search(r"job\.toml:\d+:\d+: carve\[0\]\.depth: ", result.stderr)


def test_cutters_that_are_all_too_short_are_told(job):
    change(job / "shop.toml", (r"^cutting_length = .*", "cutting_length = 2"), (r"^reach  = .*", "reach = 3"))
    assert set(errors(planned(job))) == {"tool-reach"}


def test_places_that_no_cutter_enters_are_told(job):
    """All flat cutters are 12 mm: no way into the pockets of the washers."""
    change(job / "shop.toml", (r"^diameter = (3|6)$", "diameter = 12"))
    assert {"tool-missing", "cavity-tight"} <= set(errors(planned(job)))


def test_a_carving_deeper_than_the_panel_is_told_and_not_cut(job):
    change(job / "job.toml", (r"^depth  = 8\b", "depth  = 45"))
    made = planned(job)
    assert "carving-deep" in errors(made)
    assert min(each["bounds"][2] for each in made["operations"] if each["face"] == "outer") > -41


@pytest.mark.parametrize("depth", [40, 45])
def test_heights_larger_than_the_panel_are_told_and_not_cut(job, depth):
    with_relief(job, depth, np.tile(np.linspace(0, 1, 60), (40, 1)))
    made = planned(job)
    assert "carving-deep" in errors(made)
    assert not [each for each in made["operations"] if each["treatment"] == "relief"]


def test_heights_deeper_than_any_ball_reaches_are_told_and_not_cut(job):
    with_relief(job, 30, np.tile(np.linspace(0, 1, 60), (40, 1)))
    made = planned(job)
    assert "tool-reach" in errors(made)
    assert not [each for each in made["operations"] if each["treatment"] == "relief"]
