"""Documents against published standards and independent readers."""

import io
import math
import runpy
from itertools import pairwise
from pathlib import Path

import ezdxf
import pdfplumber
import pypdf
import pypdfium2
import pytest
import zxingcpp

from signplan.documents.setup_dxf import render_setup_dxf
from signplan.documents.sheet import PAPERS
from signplan.documents.traveller import render_traveller
from signplan.documents.traveller.frame import content_of
from signplan.documents.traveller.templates import tiles
from signplan.plan import Plan

_make = runpy.run_path(str(Path(__file__).parents[1] / "documents" / "conftest.py"))["make"]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return _make()


@pytest.fixture(scope="module")
def plan_mm() -> Plan:
    return _make("mm", "two")


MM = 72 / 25.4
"""PDF units in a millimetre: default user space is 1/72 inch (ISO 32000-1:2008, 8.3.2.3)."""


@pytest.mark.parametrize(
    ("paper", "size"),
    [
        ("letter", (792.0, 612.0)),  # ANSI/ASME Y14.1: 8.5 x 11 in
        ("a4", (841.890, 595.276)),  # ISO 216: 210 x 297 mm
    ],
)
def test_page_sizes(plan: Plan, paper: str, size: tuple[float, float]) -> None:
    for page in pypdf.PdfReader(io.BytesIO(render_traveller(plan, paper=paper))).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=1e-3)


def test_prints_without_scaling(plan: Plan) -> None:
    """ISO 32000-1:2008, table 150: PrintScaling None asks for no scaling of pages."""
    root = pypdf.PdfReader(io.BytesIO(render_traveller(plan))).trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_lengths_on_templates_are_true(plan: Plan) -> None:
    """Rulers, and the diameter of a dowel hole, measured on the page: within 0.05 mm in 100 mm."""
    dowel, holes = plan.sign.panel("A").dowels[0], 0
    with pdfplumber.open(io.BytesIO(render_traveller(plan))) as book:
        pages = [page for page in book.pages if "Template tile" in page.extract_text()]
        assert len(pages) == len(tiles(plan, content_of(plan, PAPERS["letter"])))
        for page in pages:
            level = {round((line["x1"] - line["x0"]) / MM, 3) for line in page.lines}
            upright = {round((line["bottom"] - line["top"]) / MM, 3) for line in page.lines}
            for lengths in (level, upright):
                assert min(abs(each - 100.0) for each in lengths) < 0.05
                assert min(abs(each - 101.6) for each in lengths) < 0.05  # 4 in, exactly 25.4 mm each
            for curve in page.curves:
                across = (curve["x1"] - curve["x0"]) / MM
                holes += math.isclose(across, dowel.diameter, abs_tol=0.05 * dowel.diameter / 100)
    assert holes >= len(plan.sign.panel("A").dowels)


def test_tiles_overlap_and_cover_the_outline(plan: Plan) -> None:
    every = tiles(plan, content_of(plan, PAPERS["a4"]))
    rows: dict[int, list[float]] = {}
    for tile in every:
        rows.setdefault(tile.row, []).append(tile.box[0])
    width = every[0].box[2] - every[0].box[0]
    for starts in rows.values():
        steps = [b - a for a, b in pairwise(sorted(starts))]
        assert all(math.isclose(step % (width - 10.0), 0, abs_tol=1e-6) for step in steps)
    assert max(tile.box[2] for tile in every) >= plan.sign.width
    assert max(tile.box[3] for tile in every) >= plan.sign.height


def test_the_code_on_the_cover_is_read_by_another_reader(plan: Plan) -> None:
    """QR code (ISO/IEC 18004), with its quiet zone of four modules, from the page as it is printed."""
    image = pypdfium2.PdfDocument(render_traveller(plan))[0].render(scale=3).to_pil()
    found = zxingcpp.read_barcodes(image)
    assert [each.text for each in found] == [f"signplan WQ-207 rev C {plan.hash}"]


@pytest.mark.parametrize(("name", "code", "measurement"), [("plan", 1, 0), ("plan_mm", 4, 1)])
def test_dxf_units(request: pytest.FixtureRequest, name: str, code: int, measurement: int) -> None:
    """DXF reference, header variables: $INSUNITS 1 is inches, 4 millimetres; $MEASUREMENT 0 is imperial."""
    plan: Plan = request.getfixturevalue(name)
    read = ezdxf.read(io.StringIO(render_setup_dxf(plan, plan.setups[0])))
    assert (read.header["$INSUNITS"], read.header["$MEASUREMENT"]) == (code, measurement)
    wide = max(x for x, *_ in read.modelspace().query('LWPOLYLINE[layer=="BLANK"]')[0].get_points())
    assert wide * ezdxf.units.conversion_factor(code, 4) == pytest.approx(plan.setups[0].setup.blank[0])
