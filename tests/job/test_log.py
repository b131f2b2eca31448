"""The shop's log as a file: what is read, and how a damaged one is refused."""

import datetime

import pytest

from signplan.errors import InputError
from signplan.job.log import log_of
from signplan.job.read import read_log

HOLD = """\
[[hold]]
job = "HR-118"
revision = "A"
setup = "AB-inner"
date = 2026-03-09
cutting = 31.204
travel = 4.017
changes = 3.4
took = 47.5
note = "new collet"
inputs = "3f2a9b11c0de"
figures = "9c1e03ab"
"""


@pytest.fixture
def written(tmp_path):
    def write(text):
        file = tmp_path / "shop-log.toml"
        file.write_text(text)
        return file

    return write


def problems(file):
    with pytest.raises(InputError) as raised:
        read_log(file)
    return raised.value.problems


def test_a_shop_has_its_log_beside_it(tmp_path):
    assert log_of(tmp_path / "shop.toml") == tmp_path / "shop-log.toml"
    assert log_of(tmp_path / "shop-mm.toml") == tmp_path / "shop-mm-log.toml"


def test_no_file_is_no_log(tmp_path):
    assert read_log(tmp_path / "shop-log.toml") == ()


def test_a_file_without_holds_is_no_log(written):
    assert read_log(written("# nothing yet\n")) == ()


def test_a_hold_is_read(written):
    (hold,) = read_log(written(HOLD))
    assert (hold.job, hold.setup, hold.date) == ("HR-118", "AB-inner", datetime.date(2026, 3, 9))
    assert hold.computed == pytest.approx(38.621)
    assert hold.took == 47.5


def test_date_and_note_may_be_left_out(written):
    text = HOLD.replace("date = 2026-03-09\n", "").replace('note = "new collet"\n', "")
    (hold,) = read_log(written(text))
    assert (hold.date, hold.note) == (None, "")


@pytest.mark.parametrize(
    ("old", "new", "line", "message"),
    [
        ("took = 47.5", "took = 0", 21, "hold[1].took: must not be less than 0.001"),
        ("took = 47.5", "took = 1e300", 21, "hold[1].took: must not be more than 1440"),
        ("took = 47.5", "took = 1e-300", 21, "hold[1].took: must not be less than 0.001"),
        ("cutting = 31.204", "cutting = 1e300", 18, "hold[1].cutting: must not be more than 144000"),
        ("took = 47.5", "took = nan", 21, "hold[1].took: must be a finite number"),
        ("took = 47.5", 'took = "47.5"', 21, "hold[1].took: must be a number"),
        ("took = 47.5", "tock = 47.5", 21, "hold[1].tock: unknown key 'tock'; did you mean 'took'?"),
        ("took = 47.5\n", "", 13, "hold[1]: missing key 'took'"),
        ("changes = 3.4", "changes = -3.4", 20, "hold[1].changes: must not be less than 0"),
        ("took = 47.5", "took = 47,5", 21, "not valid TOML"),
    ],
)
def test_a_damaged_hold_is_refused_with_its_line_and_none_is_left_out(written, old, new, line, message):
    (problem,) = problems(written(HOLD + HOLD.replace(old, new)))
    assert problem.line == line
    assert problem.message.startswith(message)


def test_a_hold_without_work_is_refused(written):
    nothing = HOLD.replace("31.204", "0.0").replace("4.017", "0.0").replace("3.4", "0.0")
    (problem,) = problems(written(nothing))
    assert "add up to nothing" in problem.message
    assert problem.line == 1


def test_a_hold_of_next_to_no_work_is_refused(written):
    nothing = HOLD.replace("31.204", "1e-300").replace("4.017", "0.0").replace("3.4", "0.0")
    (problem,) = problems(written(nothing))
    assert "add up to nothing" in problem.message
    assert problem.line == 1


def test_half_a_file_is_refused(written):
    (problem,) = problems(written(HOLD[:100]))
    assert problem.line


def test_a_folder_in_its_place_is_refused(tmp_path):
    (tmp_path / "shop-log.toml").mkdir()
    (problem,) = problems(tmp_path / "shop-log.toml")
    assert problem.message.startswith("cannot be read")
