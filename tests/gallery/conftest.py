"""A job of a few lines, its drawing and the gallery's shop in a folder, and `signplan check` run on it."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from typer.testing import CliRunner

from signplan.cli import app
from signplan.plan import Plan, make_plan

SHOP = Path(__file__).with_name("shop.toml")

HEAD = """
[job]
number = "G-1"
title = "one of the gallery"
units = "mm"
shop = "shop.toml"
[sign]
board = "hdu"
panel = 40
border = 40
web = 10
wall = 20
outline = { file = "face.dxf", layer = "OUTLINE" }
"""


@pytest.fixture
def write(tmp_path: Path, outline: Polygon) -> Callable[..., Path]:
    """Write a job, whose head ends inside the table [sign], and give its folder."""

    def write_job(
        text: str, *, outline: Polygon = outline, blank_error: float = 0.8, **layers: BaseGeometry
    ) -> Path:
        (tmp_path / "job.toml").write_text(HEAD + text)
        shop = SHOP.read_text().replace("blank_error = 0.8", f"blank_error = {blank_error}")
        (tmp_path / "shop.toml").write_text(shop)
        _draw(tmp_path / "face.dxf", {"OUTLINE": outline, **layers})
        return tmp_path

    return write_job


@pytest.fixture
def check(write: Callable[..., Path]) -> Callable[..., list[str]]:
    """Check a job as `write` has it, and give the codes of its findings."""

    def check_job(text: str, **more: Any) -> list[str]:
        result = CliRunner().invoke(app, ["check", str(write(text, **more)), "--json"])
        findings = json.loads(result.stdout)["findings"]
        assert result.exit_code == any(finding["severity"] == "error" for finding in findings)
        return [finding["code"] for finding in findings]

    return check_job


@pytest.fixture
def planned(write: Callable[..., Path]) -> Callable[..., Plan]:
    """Plan a job as `write` has it."""
    return lambda text, **more: make_plan(write(text, **more))


def _draw(file: Path, layers: dict[str, BaseGeometry]) -> None:
    document = ezdxf.new()
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    for layer, shape in layers.items():
        for part in getattr(shape, "geoms", [shape]):
            rings = [part] if isinstance(part, LineString) else [part.exterior, *part.interiors]
            for ring in rings:
                corners, closed = list(ring.coords), isinstance(part, Polygon)
                corners = corners[:-1] if closed else corners
                space.add_lwpolyline(corners, close=closed, dxfattribs={"layer": layer})
    document.saveas(file)
