import io

import pdfplumber
import pytest

from signplan.documents.fillable import Fillable
from signplan.documents.sheet import (
    PAPERS,
    Pen,
    Space,
    paper_named,
    paragraph,
    register_fonts,
    width_of,
)
from signplan.errors import SignplanError


@pytest.fixture(autouse=True)
def _fonts() -> None:
    register_fonts()


def _words(draw) -> list[dict[str, float]]:  # type: ignore[no-untyped-def]
    file = io.BytesIO()
    canvas = Fillable(file, pagesize=(792, 612), invariant=1)
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


def test_widths_are_those_of_the_embedded_font() -> None:
    (word,) = _words(lambda pen: pen.text(10, 50, "MEASURED", size=12, bold=True))
    assert word["x1"] - word["x0"] == pytest.approx(width_of("MEASURED", 12, bold=True) * 72 / 25.4, abs=0.1)
