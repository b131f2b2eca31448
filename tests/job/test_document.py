import contextlib
import os
from pathlib import Path

import pytest

from signplan.errors import InputError
from signplan.job.document import MOST_BYTES, excerpt, parse_document, read_document


def refusal(path: Path) -> str:
    with pytest.raises(InputError) as caught:
        read_document(path)
    return str(caught.value)


def written(tmp_path, content: bytes) -> Path:
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    return path


def test_a_missing_file(tmp_path):
    assert refusal(tmp_path / "job.toml") == f"{tmp_path}/job.toml: no such file"


def test_a_folder_where_a_file_belongs(tmp_path):
    assert refusal(tmp_path) == f"{tmp_path}: cannot be read: Is a directory"


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(tmp_path):
    path = written(tmp_path, b"a = 1")
    path.chmod(0)
    assert refusal(path) == f"{path}: cannot be read: Permission denied"


def test_a_huge_file(tmp_path):
    path = written(tmp_path, b"#" * (MOST_BYTES + 1))
    assert refusal(path) == f"{path}: is larger than a megabyte; this is no job or shop file"


def test_a_file_that_is_not_utf_8(tmp_path):
    path = written(tmp_path, 'a = 1\ntitle = "Bäckerei"'.encode("latin-1"))
    assert refusal(path) == f"{path}:2: is not UTF-8 text; save it again as UTF-8"


def test_a_byte_order_mark_is_no_mistake(tmp_path):
    assert read_document(written(tmp_path, b"\xef\xbb\xbfa = 1")).data == {"a": 1}


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            '[job]\nnumber = "HR\n',
            "job.toml:2:13: not valid TOML: illegal character '\\n'\n    number = \"HR\n                ^",
        ),
        ("a = 1\na = 2\n", "job.toml:2:6: not valid TOML: cannot overwrite a value\n    a = 2\n         ^"),
        (
            "panel = 1-1/2\n",
            "job.toml:1:10: not valid TOML: expected newline or end of document after a statement\n"
            "    panel = 1-1/2\n             ^",
        ),
        ("a = [1,", "job.toml:1:8: not valid TOML: invalid value\n    a = [1,\n           ^"),
    ],
)
def test_syntax_errors_have_line_column_and_the_line(text, message):
    with pytest.raises(InputError) as caught:
        parse_document(text, "job.toml")
    assert str(caught.value) == message


@pytest.mark.parametrize("text", ["a = " + "[" * 5000, "a = " + "9" * 5000, "a." * 3000 + "b = 1"])
def test_hostile_texts_are_refused_or_read_without_a_fault(text):
    with contextlib.suppress(InputError):
        parse_document(text, "job.toml")


def test_a_problem_stands_at_its_value_its_key_or_its_nearest_table():
    document = parse_document("[sign]\n  web = -1\n", "job.toml")
    assert str(document.problem(("sign", "web"), "is odd")) == (
        "job.toml:2:9: sign.web: is odd\n      web = -1\n            ^"
    )
    assert document.problem(("sign", "web"), "is odd", at_key=True).column == 3
    assert document.problem(("sign", "wall"), "is missing").line == 1
    assert document.problem(("work",), "is missing").line == 0


def test_an_excerpt_keeps_the_columns_and_leaves_out_long_lines():
    assert excerpt(("a\tb\x07c",), 1) == "a b c"
    assert excerpt(("x" * 500,), 1) == ""
    assert excerpt(("x",), 2) == ""
