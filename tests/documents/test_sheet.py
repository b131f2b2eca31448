import io
from itertools import repeat

import pdfplumber
import pytest
from reportlab.pdfgen.canvas import Canvas

from signplan.documents.sheet import (
    PAPERS,
    Column,
    Pen,
    Space,
    height_of,
    paged,
    paper_named,
    paragraph,
    register_fonts,
    table,
    width_of,
)
from signplan.errors import SignplanError

COLUMNS = (Column("no.", 10, "right"), Column("what", 40))


@pytest.fixture(autouse=True)
def _fonts() -> None:
    register_fonts()


def _words(draw) -> list[dict[str, float]]:  # type: ignore[no-untyped-def]
    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(792, 612), invariant=1)
    draw(Pen(canvas, PAPERS["letter"]))
    canvas.save()
    return pdfplumber.open(io.BytesIO(file.getvalue())).pages[0].extract_words()


def test_paper_by_name() -> None:
    assert paper_named("A4") == PAPERS["a4"]
    with pytest.raises(SignplanError, match="use letter or a4"):
        paper_named("quarto")


def test_columns_share_a_space() -> None:
    left, right = Space(10, 20, 106, 50).columns(1, 3, gap=6)
    assert (left.x, left.width, right.x, right.right) == (10, 25, 41, 116)


def test_text_stands_where_it_is_told() -> None:
    (word,) = _words(lambda pen: pen.text(100, 50, "HERE", size=10, align="right"))
    assert word["x1"] == pytest.approx(100 * 72 / 25.4, abs=0.1)


def test_a_long_line_shrinks_to_eight_points_and_is_then_cut_short() -> None:
    words = _words(lambda pen: pen.fitted(10, 20, "wide " * 60, 80, size=20))
    assert max(word["x1"] for word in words) <= 90 * 72 / 25.4
    assert words[-1]["text"].endswith("…")  # type: ignore[attr-defined]
    assert words[0]["bottom"] - words[0]["top"] == pytest.approx(8)


def test_markup_is_only_text() -> None:
    words = _words(lambda pen: pen.flow(paragraph("a <b>bold</b> & <i"), 10, 10, 100))
    assert [word["text"] for word in words] == ["a", "<b>bold</b>", "&", "<i"]


def test_a_table_runs_over_several_pages_with_its_heading_and_loses_no_row() -> None:
    rows = [(str(k), "something to do " * (1 + k % 4)) for k in range(40)]
    parts = list(paged(table(COLUMNS, rows, 80, row_height=7), 80, repeat(90.0)))
    assert len(parts) > 2
    assert all(height_of(part, 80) <= 90 for part in parts)
    found = [
        word["text"] for part in parts for word in _words(lambda pen, part=part: pen.flow(part, 10, 10, 80))
    ]
    assert found.count("no.") == len(parts)
    assert [word for word in found if str(word).isdigit()] == [str(k) for k in range(40)]


def test_a_first_space_that_is_too_low_is_passed_over() -> None:
    parts = list(paged(table(COLUMNS, [("1", "one"), ("2", "two")], 80), 80, iter([3.0, 100.0])))
    assert len(parts) == 2
    assert parts[0] is None
    assert parts[1] is not None


def test_bands_go_right_across_and_stay_with_what_follows() -> None:
    rows = [("CHANGE TO ANOTHER TOOL, WITH A LONG NAME",), ("10", "cut"), ("20", "cut")]
    made = table(COLUMNS, rows, 60, bands=frozenset({0}))
    words = _words(lambda pen: pen.flow(made, 10, 10, 60))
    assert len({round(word["top"]) for word in words if str(word["text"]).isupper()}) <= 2


def test_widths_are_those_of_the_embedded_font() -> None:
    (word,) = _words(lambda pen: pen.text(10, 50, "MEASURED", size=12, bold=True))
    assert word["x1"] - word["x0"] == pytest.approx(width_of("MEASURED", 12, bold=True) * 72 / 25.4, abs=0.1)
