"""Fields, read back with pypdf and filled in with it."""

import io

import pypdf
import pytest

from signplan.documents.fillable import Fillable


def _made() -> bytes:
    file = io.BytesIO()
    canvas = Fillable(file, pagesize=(400, 300), invariant=1, pageCompression=1)
    canvas.about = "setup A-inner"
    for _ in range(2):
        canvas.tick_box(20, 20, 14, "vacuum on")
    canvas.entry(50, 20, 120, 17, "measured depth, no. 1")
    canvas.showPage()
    canvas.save()
    return file.getvalue()


def test_every_field_has_its_own_name_and_says_what_it_is() -> None:
    fields = pypdf.PdfReader(io.BytesIO(_made())).get_fields()
    assert fields
    assert {name: (field["/FT"], field["/TU"]) for name, field in fields.items()} == {
        "setup A-inner/vacuum on": ("/Btn", "vacuum on (setup A-inner)"),
        "setup A-inner/vacuum on 2": ("/Btn", "vacuum on (setup A-inner)"),
        "setup A-inner/measured depth, no 1": ("/Tx", "measured depth, no. 1 (setup A-inner)"),
    }


def test_fields_are_empty_and_nothing_has_to_be_filled_in() -> None:
    fields = pypdf.PdfReader(io.BytesIO(_made())).get_fields() or {}
    assert [field["/V"] for field in fields.values()] == ["/Off", "/Off", ""]
    assert not any(field.get("/Ff", 0) for field in fields.values())


def test_what_is_filled_in_stays() -> None:
    writer = pypdf.PdfWriter(clone_from=io.BytesIO(_made()))
    told = {"setup A-inner/vacuum on": "/Yes", "setup A-inner/measured depth, no 1": "15.9"}
    writer.update_page_form_field_values(writer.pages[0], told)
    file = io.BytesIO()
    writer.write(file)
    fields = pypdf.PdfReader(file).get_fields() or {}
    assert {name: fields[name]["/V"] for name in told} == told
    assert fields["setup A-inner/vacuum on 2"]["/V"] == "/Off"


def test_same_fields_same_bytes() -> None:
    assert _made() == _made()


@pytest.mark.parametrize(("kind", "most"), [("/XObject", 3), ("/Font", 4)])
def test_looks_and_fonts_are_written_once_for_all_fields(kind: str, most: int) -> None:
    reader = pypdf.PdfReader(io.BytesIO(_made()))
    objects = [reader.get_object(k) for k in range(1, len(reader.xref[0]) + 1)]
    found = [each for each in objects if isinstance(each, dict) and each.get("/Type") == kind]
    assert 0 < len(found) <= most
