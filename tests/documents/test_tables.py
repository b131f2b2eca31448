import io
from itertools import repeat

import pdfplumber
import pypdf
import pytest

from signplan.documents.fillable import Fillable
from signplan.documents.sheet import PAPERS, Pen, register_fonts
from signplan.documents.tables import Column, Entry, Tick, height_of, paged, table

COLUMNS = (Column("no.", 10, "right"), Column("what", 40))


@pytest.fixture(autouse=True)
def _fonts() -> None:
    register_fonts()


def _drawn(draw) -> bytes:  # type: ignore[no-untyped-def]
    file = io.BytesIO()
    canvas = Fillable(file, pagesize=(792, 612), invariant=1)
    canvas.about = "a table"
    draw(Pen(canvas, PAPERS["letter"]))
    canvas.save()
    return file.getvalue()


def _words(draw) -> list[dict[str, float]]:  # type: ignore[no-untyped-def]
    return pdfplumber.open(io.BytesIO(_drawn(draw))).pages[0].extract_words()


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


def test_short_and_wrapped_cells_of_a_row_start_at_the_same_edges() -> None:
    rows = [("7", "short"), ("8", "first it goes on, and then on, over the end of its line" + " and on" * 9)]
    columns = (Column("no.", 10, "right", bold=True), Column("what", 40))
    words = {
        word["text"]: word for word in _words(lambda pen: pen.flow(table(columns, rows, 80), 10, 10, 80))
    }
    assert words["7"]["x1"] == pytest.approx(words["8"]["x1"], abs=0.01)  # type: ignore[index]
    assert words["short"]["x0"] == pytest.approx(words["first"]["x0"], abs=0.01)  # type: ignore[index]


def test_boxes_and_lines_in_cells_are_fields_where_they_are_drawn() -> None:
    made = table(COLUMNS, [(Tick("first done"), Entry("first measured"))], 80, row_height=10)
    pdf = _drawn(lambda pen: pen.flow(made, 10, 10, 80))
    (page,) = pypdf.PdfReader(io.BytesIO(pdf)).pages
    box, line = (each.get_object() for each in page["/Annots"])
    assert (box["/T"], box["/TU"]) == ("a table/first done", "first done (a table)")
    drawn = sorted(pdfplumber.open(io.BytesIO(pdf)).pages[0].rects, key=lambda each: each["x0"])
    for field, shape in zip((box, line), drawn, strict=True):
        place = [shape["x0"], shape["y0"], shape["x1"], shape["y1"]]
        assert [float(each) for each in field["/Rect"]] == pytest.approx(place, abs=0.1)
    assert (line["/FT"], line["/TU"]) == ("/Tx", "first measured (a table)")
