"""The traveller, read back with tools that did not write it."""

import io
import json
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pdfplumber
import pypdf
import pytest

from signplan.documents.plan_json import render_plan_json
from signplan.documents.traveller import render_traveller
from signplan.documents.words import clock, duration, exact, feed, hold_words, place, spindle, weight
from signplan.errors import SignplanError
from signplan.job.starter import starter_files
from signplan.plan import Plan, make_plan
from signplan.sign.model import Dowel

CHAPTERS = [
    "Cover",
    "Hardware and findings",
    "Cautions",
    "Blanks and stock",
    "Hardware fit",
    "Glue-up",
    "Templates",
]
WATERMARK = 50.0
"""Points; only the NOT READY across a page is this large."""


@pytest.fixture(scope="module", params=["plan", "plan_mm", "plan_not_ready"])
def read(request: pytest.FixtureRequest) -> tuple[Plan, bytes]:
    plan: Plan = request.getfixturevalue(request.param)
    return plan, render_traveller(plan, paper="a4" if plan.job.job.units == "mm" else "letter")


def _pages(pdf: bytes) -> Iterator[pdfplumber.page.Page]:
    with pdfplumber.open(io.BytesIO(pdf)) as book:
        for page in book.pages:
            yield page.filter(lambda o: o["object_type"] != "char" or _size(o) < WATERMARK)


def _size(char: dict[str, float]) -> float:
    a, b, *_ = char["matrix"]
    height = char["bottom"] - char["top"] if char["upright"] else char["x1"] - char["x0"]
    return math.inf if 0.1 < abs(math.degrees(math.atan2(b, a))) % 90 < 89.9 else height


def _plain(words: str) -> str:
    """As `_text` gives it, for a pattern."""
    return re.escape(re.sub(r"\s", " ", words))


def _text(page: pdfplumber.page.Page) -> str:
    return re.sub(r"\s+", " ", page.extract_text())


def test_no_two_words_touch_and_none_leaves_its_page(read: tuple[Plan, bytes]) -> None:
    for page in _pages(read[1]):
        _check_words(page)


def _check_words(page: pdfplumber.page.Page) -> None:
    words = page.extract_words()
    for k, a in enumerate(words):
        assert 0 <= a["x0"] < a["x1"] <= page.width
        assert 0 <= a["top"] < a["bottom"] <= page.height
        for b in words[k + 1 :]:
            across = min(a["x1"], b["x1"]) - max(a["x0"], b["x0"])
            down = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
            assert across < 0.5 or down < 0.5, (page.page_number, a["text"], b["text"])


def test_nothing_is_smaller_than_eight_points(read: tuple[Plan, bytes]) -> None:
    for page in _pages(read[1]):
        assert min(_size(char) for char in page.chars) >= 7.99


def test_every_font_is_embedded(read: tuple[Plan, bytes]) -> None:
    for page in pypdf.PdfReader(io.BytesIO(read[1])).pages:
        fonts = page["/Resources"]["/Font"]
        for font in (each.get_object() for each in fonts.values()):
            if "/FontDescriptor" in font:
                assert "/FontFile2" in font["/FontDescriptor"]
    names = {char["fontname"].partition("+")[2] for page in _pages(read[1]) for char in page.chars}
    assert names == {"DejaVuSans", "DejaVuSans-Bold"}


def test_every_page_says_what_it_belongs_to(read: tuple[Plan, bytes]) -> None:
    plan, pdf = read
    pages = list(_pages(pdf))
    for number, page in enumerate(pages, 1):
        text = _text(page)
        assert f"{plan.job.job.number} · rev {plan.job.job.revision}" in text
        assert plan.job.job.title in text
        assert f"inputs {plan.hash}" in text
        assert f"page {number} of {len(pages)}" in text
        assert ("NOT READY" in text) == (not plan.ready)


def test_a_plan_with_errors_is_marked_across_every_page(plan_not_ready: Plan) -> None:
    with pdfplumber.open(io.BytesIO(render_traveller(plan_not_ready))) as book:
        for page in book.pages:
            across = [char["text"] for char in page.chars if _size(char) >= WATERMARK]
            assert "".join(across) == "NOT READY"


def test_title_language_bookmarks_and_true_size(read: tuple[Plan, bytes]) -> None:
    plan, pdf = read
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert reader.metadata
    assert reader.metadata.title == f"{plan.job.job.number} {plan.job.job.title}, revision C: traveller"
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    names = [entry.title for entry in reader.outline]
    assert [name for name in names if name in CHAPTERS] == CHAPTERS
    assert sum(name.startswith("SETUP") for name in names) == len(plan.setups)


def test_same_plan_same_bytes(plan: Plan) -> None:
    assert render_traveller(plan) == render_traveller(plan)


def test_unknown_paper_is_refused(plan: Plan) -> None:
    with pytest.raises(SignplanError, match="unknown paper 'legal'; use letter or a4"):
        render_traveller(plan, paper="legal")


def test_numbers_on_the_pages_are_those_of_plan_json(read: tuple[Plan, bytes]) -> None:
    plan, pdf = read
    units, made = plan.job.job.units, json.loads(render_plan_json(plan))
    texts = [_text(page) for page in _pages(pdf)]
    whole = " ".join(texts)
    assert weight(made["sign"]["mass"], units) in texts[0]
    assert duration(made["time"]["seconds"]) in texts[0]
    assert f"as planned: the fewest possible {made['order']['changes']} " in texts[0]
    for setup, planned in zip(made["setups"], plan.setups, strict=True):
        assert f"{hold_words(planned)} {setup['changes']}" in texts[0]
        assert clock(setup["hold"]["seconds"]) in whole
        assert all(exact(size, units) in whole for size in setup["blank"])
    for number, each in enumerate(made["operations"], 1):
        row = rf"{number * 10} [^\d].* {_plain(spindle(each['rpm']))} {feed(each['feed'], units)} "
        assert re.search(row + re.escape(place(each["depth"], units)), whole), each["id"]
    for panel in made["panels"]:
        for pocket in panel["pockets"]:
            assert exact(pocket["depth"], units) in whole
    for item in made["hardware"]:
        assert re.search(rf"{item['name']} .*{plan.fits[0].room:.0f}", whole)


def test_dimensions_from_the_datum_are_those_of_the_placements(plan: Plan) -> None:
    """Positions in the table of numbers, taken again from plan.json by its own matrices."""
    made = json.loads(render_plan_json(plan))
    whole = " ".join(_text(page) for page in _pages(render_traveller(plan)))
    setup = made["setups"][0]
    for entry in setup["placements"]:
        (a, b, c), (d, e, f) = entry["matrix"]
        panel = next(each for each in made["panels"] if each["id"] == entry["panel"])
        for number, dowel in enumerate(panel["dowels"], 1):
            x, y = a * dowel["x"] + b * dowel["y"] + c, d * dowel["x"] + e * dowel["y"] + f
            row = f'{panel["id"]} · D{number} dowel hole 3/8" {place(x, "in")} {place(y, "in")} '
            assert row in whole


def test_reloads_stand_in_the_list_where_they_happen(plan: Plan) -> None:
    whole = " ".join(_text(page) for page in _pages(render_traveller(plan)))
    assert (
        "RELOAD (STOP, vacuum stays on, 4 min): take em-1/4 out of place 2, put in T5 ro-1/4, measure it"
        in whole
    )


def test_says_how_long_a_hold_lasts_and_where_it_may_rest(plan: Plan) -> None:
    whole = " ".join(_text(page) for page in _pages(render_traveller(plan)))
    assert f"VACUUM ON FOR {hold_words(plan.setups[0])}, start by 13:45" in whole
    assert "Safe to pause: after any operation that is ticked" in whole
    assert whole.count("Once the cut-out has begun, finish it.") == 1
    assert whole.count("CUT OUT") == whole.count("do not pause") == 2


def test_cautions_defer(plan: Plan) -> None:
    whole = " ".join(_text(page) for page in _pages(render_traveller(plan)))
    for word in ("they do not certify", "safety data sheet", "licensed engineer", "safety programme"):
        assert word in whole


def test_crowded_sheets_stay_legible_and_keep_revision_and_hash(plan: Plan) -> None:
    dowels = tuple(
        Dowel(x=150 + 31.7 * k, y=60 + (k * 97.3) % 380, diameter=9.525, depth=15.9) for k in range(22)
    )
    panels = tuple(replace(panel, dowels=dowels) for panel in plan.sign.panels)
    head = plan.job.job.model_copy(update={"title": "A title that goes on and on, " * 8})
    job = plan.job.model_copy(update={"job": head})
    crowded = replace(plan, job=job, sign=replace(plan.sign, panels=panels))
    pages = list(_pages(render_traveller(crowded)))
    for page in pages:
        _check_words(page)
        assert f"revision C · {'setup' if 'setup AB' in _text(page) else 'inputs'}" in _text(page)
        assert f"inputs {plan.hash}" in _text(page)
    open_book = next(_text(page) for page in pages if "close B over onto A" in _text(page))
    assert all(open_book.count(f"D{number} ") >= 1 for number in range(1, 23))


def test_says_so_when_the_dowels_fit_upside_down(plan: Plan) -> None:
    wide, high = plan.sign.width, plan.sign.height
    corners = [(200, 200), (wide - 200, high - 200), (200, high - 200), (wide - 200, 200)]
    dowels = tuple(Dowel(x=x, y=y, diameter=9.525, depth=15.9) for x, y in corners)
    panels = tuple(replace(panel, dowels=dowels) for panel in plan.sign.panels)
    whole = " ".join(
        _text(page)
        for page in _pages(render_traveller(replace(plan, sign=replace(plan.sign, panels=panels))))
    )
    assert "CAREFUL: these dowels fit upside down too" in whole
    assert "close one way only" not in whole


def test_a_plan_without_hardware_dowels_or_findings_still_prints(plan: Plan) -> None:
    panels = tuple(replace(panel, pockets=(), dowels=(), carvings=()) for panel in plan.sign.panels)
    bare = replace(plan, sign=replace(plan.sign, panels=panels, items=()), fits=(), comparisons=(), stacks=())
    assert render_traveller(bare).startswith(b"%PDF")


def test_every_setup_names_its_panels_on_the_drawing(read: tuple[Plan, bytes]) -> None:
    plan, pdf = read
    drawings = [_text(page) for page in _pages(pdf) if "you stand here" in page.extract_text()]
    assert len(drawings) == len(plan.setups)
    for text, planned in zip(drawings, plan.setups, strict=True):
        assert all(f" {panel} top" in text for panel in planned.setup.panels)


def _headed(plan: Plan, **head: str) -> Plan:
    return replace(plan, job=plan.job.model_copy(update={"job": plan.job.job.model_copy(update=head)}))


def test_a_long_number_never_takes_the_words_that_say_which_face_is_up(plan: Plan) -> None:
    number, title = "WQ-207/" * 20, "Hanging sign 木"
    pages = list(_pages(render_traveller(_headed(plan, number=number, title=title))))
    texts = [_text(page) for page in pages]
    for panels, face in (("A AND B", "INNER"), ("A AND B", "OUTER")):
        said = f"PANELS {panels} · {face} FACES UP"
        assert sum(said in text for text in texts) >= 4
    for page, text in zip(pages, texts, strict=True):
        _check_words(page)
        assert "rev C" in text
        assert f"inputs {plan.hash}" in text
    assert "Hanging sign □" in texts[0]
    assert "some letters are not in the print font" in texts[0]


def test_the_cost_page_of_a_shop_without_rates_gives_no_sum(plan: Plan) -> None:
    text = next(
        text for page in _pages(render_traveller(plan)) if "Cost, for a quote" in (text := _text(page))
    )
    assert "SUM – no rates stated" in text
    assert "0.00" not in text


def test_layouts_that_were_planned_are_compared(plan: Plan) -> None:
    chosen = replace(plan.alternatives[0], chosen=True)
    other = replace(chosen, chosen=False, changes=77, refused="the bed is too short")
    text = " ".join(
        _text(page) for page in _pages(render_traveller(replace(plan, alternatives=(chosen, other))))
    )
    assert "77" in text
    assert "refused: the bed is too short" in text


SLOT = """
[[hardware]]
name = "loose rod"
clearance = "1/32"
[[hardware.part]]
shape = "round"
diameter = "3/8"
from = [12, 9]
to = [12, 12]
z = "5/8"
"""


def test_steel_in_one_panel_is_told_so_on_every_page(tmp_path: Path) -> None:
    """Where it lies, that it rattles, and one box for its gauge."""
    for name, content in starter_files("in").items():
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_bytes(content)
    with (tmp_path / "job.toml").open("a") as job:
        job.write(SLOT)
    plan = make_plan(tmp_path)
    assert {p.panel for panel in plan.sign.panels for p in panel.pockets if p.hardware == "loose rod"} == {
        "A"
    }
    pages = [_text(page) for page in _pages(render_traveller(plan))]
    (told,) = [page for page in pages if "Hardware in the sign" in page]
    assert re.search(r"loose rod 1 part 0\.031 in 0\.031 in \S+ in A its pocket", told)
    assert sum("LOOSE: 0.438 in free toward the glue plane" in page for page in pages) == 1
    assert sum("loose rod: something holds it toward the glue plane" in page for page in pages) == 1
    assert sum("room to glue plane 0.438" in page for page in pages) == 1
    assert any("Hardware fit" in p and re.search(r"loose rod .* 0\.406 0\.469 –", p) for p in pages)
