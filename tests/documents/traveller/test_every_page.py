"""What holds on every page of every demo job, on both papers, read back with independent readers."""

import ctypes
import io
from collections.abc import Iterator
from itertools import pairwise

import pypdf
import pypdfium2
import pypdfium2.raw as pdfium
import pytest
import zxingcpp

from signplan.plan import Plan

STOP = "NOT READY"
TOUCH = 0.6
"""Two texts may share this much, points: the side bearings of their letters."""

Printed = tuple[Plan, bytes]
Box = tuple[float, float, float, float]


def _pages(pdf: bytes) -> Iterator[tuple[int, pypdfium2.PdfPage, pypdfium2.PdfTextPage]]:
    for number, page in enumerate(pypdfium2.PdfDocument(pdf), 1):
        yield number, page, page.get_textpage()


def _chars(text: pypdfium2.PdfTextPage) -> Iterator[tuple[str, float, float, Box]]:
    """Every printed character: itself, its size in points, its angle in radians, its box."""
    for k in range(text.count_chars()):
        letter = chr(pdfium.FPDFText_GetUnicode(text, k))
        if not letter.isspace() and not pdfium.FPDFText_IsGenerated(text, k):
            size, angle = pdfium.FPDFText_GetFontSize(text, k), pdfium.FPDFText_GetCharAngle(text, k)
            yield letter, _scale(text, k) * size, angle, text.get_charbox(k, loose=False)


def _scale(text: pypdfium2.PdfTextPage, k: int) -> float:
    matrix = pdfium.FS_MATRIX()
    pdfium.FPDFText_GetMatrix(text, k, ctypes.byref(matrix))
    return float((matrix.a**2 + matrix.b**2) ** 0.5)


def test_no_text_is_smaller_than_eight_points(printed: Printed) -> None:
    for number, _, text in _pages(printed[1]):
        small = [(letter, size) for letter, size, _, _ in _chars(text) if size < 7.99]
        assert not small, number


def test_no_two_letters_touch_and_none_leaves_its_page(printed: Printed) -> None:
    """The words across the page are behind all others and do not count."""
    for number, page, text in _pages(printed[1]):
        boxes = [(*box, letter) for letter, size, _, box in _chars(text) if size < 50]
        boxes.sort()
        for k, (x0, y0, x1, y1, letter) in enumerate(boxes):
            assert 0 <= x0 <= x1 <= page.get_width(), (number, letter)
            assert 0 <= y0 <= y1 <= page.get_height(), (number, letter)
            for other in boxes[k + 1 :]:
                if other[0] > x1 - TOUCH:
                    break
                down = min(y1, other[3]) - max(y0, other[1])
                assert down < TOUCH, (number, letter, other[4], (x0, y0))


def test_every_page_says_what_it_belongs_to(printed: Printed) -> None:
    plan, pdf = printed
    pages = [(number, text.get_text_range()) for number, _, text in _pages(pdf)]
    head, setups = plan.job.job, {each.setup.id for each in plan.setups}
    for number, text in pages:
        assert f"{head.number} · rev {head.revision}" in text
        assert f"inputs {plan.hash}" in text
        assert f"page {number} of {len(pages)}" in text
        if text.count("SETUP ") and "operations" in text.split("rev")[0]:
            assert any(f"setup {each} · " in text for each in setups)


def test_not_ready_goes_across_every_page_while_errors_are_open(printed: Printed) -> None:
    plan, pdf = printed
    for number, _, text in _pages(pdf):
        across = "".join(letter for letter, size, angle, _ in _chars(text) if size > 50 and 0.3 < angle < 6)
        assert across == ("" if plan.ready else STOP.replace(" ", "")), number


def test_title_language_bookmarks_and_printing_at_true_size(printed: Printed) -> None:
    plan, pdf = printed
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    root = reader.trailer["/Root"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert plan.job.job.title in reader.metadata.title
    places = [reader.get_destination_page_number(entry) for entry in reader.outline]
    assert places[0] == 0
    assert all(a < b for a, b in pairwise(places))
    last = reader.outline[-1]
    assert last.title == "Templates"
    tiles = [page.extract_text() for page in reader.pages[places[-1] + 1 :]]
    assert all("Template tile" in text for text in tiles)
    assert f"last {len(tiles)} page" in reader.pages[places[-1]].extract_text().replace("\n", " ")


def test_fields_have_names_of_their_own_and_say_what_they_are(printed: Printed) -> None:
    plan, pdf = printed
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    widgets = [each.get_object() for page in reader.pages for each in page.get("/Annots", ())]
    names = [widget["/T"] for widget in widgets]
    assert len(set(names)) == len(names) == len(reader.get_fields() or {})
    assert all(widget["/TU"].strip() for widget in widgets)
    assert all(widget["/F"] & 4 for widget in widgets), "printed with the page"
    said = [(widget["/FT"], widget["/TU"]) for widget in widgets]
    for setup in plan.setups:
        about = f"(setup {setup.setup.id})"
        assert sum(kind == "/Btn" and about in text and "operation" in text for kind, text in said) == len(
            setup.operations
        )
        for tool in {each.tool.number for each in setup.operations}:
            assert any(text.startswith(f"T{tool} ") and about in text for _, text in said)
    texts = " ".join(text for kind, text in said if kind == "/Tx")
    for words in ("lot", "middle", "measured depth", "Artwork", "Clamps on at", "Closed at", "initials"):
        assert words in texts


def test_fields_lie_on_the_page_and_apart(printed: Printed) -> None:
    for page in pypdf.PdfReader(io.BytesIO(printed[1])).pages:
        rects = [tuple(float(v) for v in each.get_object()["/Rect"]) for each in page.get("/Annots", ())]
        for k, (x0, y0, x1, y1) in enumerate(rects):
            assert 0 < x0 < x1 < page.mediabox.width
            assert 0 < y0 < y1 < page.mediabox.height
            for a0, b0, a1, b1 in rects[k + 1 :]:
                assert min(x1, a1) - max(x0, a0) < 0.5 or min(y1, b1) - max(y0, b0) < 0.5


def test_the_square_code_is_read_from_the_cover_as_printed(printed: Printed) -> None:
    plan, pdf = printed
    head = plan.job.job
    found = zxingcpp.read_barcodes(pypdfium2.PdfDocument(pdf)[0].render(scale=2.5).to_pil())
    assert [each.text for each in found] == [f"signplan {head.number} rev {head.revision} {plan.hash}"]


@pytest.mark.parametrize(
    "words",
    ["safe to pause", "VACUUM OFF", "GO: must enter", "NO-GO: must not", "stick-out", "measured", "start by"],
)
def test_what_the_operator_looks_for_is_there(job: Printed, words: str) -> None:
    assert any(words in text.get_text_range() for _, _, text in _pages(job[1]))


def test_no_word_of_a_heading_is_broken(printed: Printed) -> None:
    """Where a column is too narrow for its heading, letters of it end up on a line of their own."""
    for number, _, text in _pages(printed[1]):
        alone = [line for line in text.get_text_range().split("\r\n") if line in {"d", "t", "e", "s", "ed"}]
        assert not alone, number
