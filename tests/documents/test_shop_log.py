"""Logging a hold: what may be typed, what is refused, and that nothing in the file is lost."""

import datetime
import shutil
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.documents.shop_log import log_hold, minutes_of, read_entry
from signplan.documents.words import as_said
from signplan.errors import InputError, SignplanError
from signplan.job.read import read_job, read_log
from signplan.plan import make_plan

DEMO_JOBS = Path(__file__).parents[2] / "demo_jobs"
NAME = "shop-log.toml"


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """A job and its plan; its shop file lies one folder up."""
    root = tmp_path_factory.mktemp("shop")
    shutil.copytree(DEMO_JOBS / "gannet-and-thrum", root / "job")
    shutil.copy(DEMO_JOBS / "shop.toml", root)
    return root, make_plan(root / "job")


@pytest.fixture
def logged(shop):
    """A call that logs a hold in a log that is empty at first; the lines that are said."""
    root, plan = shop
    (root / NAME).unlink(missing_ok=True)

    def log(setup, minutes, *, force=False, **more):
        return log_hold(read_job(root / "job"), plan, setup, read_entry(minutes, **more), force=force)

    return root / NAME, log


class TestMinutes:
    @pytest.mark.parametrize(
        ("text", "minutes"),
        [("47", 47), ("47.5", 47.5), (" 47 ", 47), ("1:05", 65), ("0:47", 47), ("1:05:30", 65.5)],
    )
    def test_what_a_person_writes(self, text, minutes):
        assert minutes_of(text) == minutes

    @pytest.mark.parametrize(
        "text", ["", "47,5", "-5", "1:75", "1:5", "abc", "nan", "inf", "1e3", "4 7", "٤٧"]
    )
    def test_what_is_no_length_of_time(self, text):
        with pytest.raises(InputError, match=r"^MINUTES: '.*' is no length of time; write minutes as 47 or"):
            minutes_of(text)

    @pytest.mark.parametrize("text", ["0", "0.0", "0:00"])
    def test_nothing_is_no_hold(self, text):
        with pytest.raises(InputError, match="more than nothing"):
            minutes_of(text)

    @pytest.mark.parametrize("text", ["0.0001", "0.0004999"])
    def test_less_than_the_log_keeps_is_no_hold(self, text):
        with pytest.raises(InputError, match=rf"^MINUTES: '{text}' is next to nothing"):
            minutes_of(text)

    @pytest.mark.parametrize("text", ["99999", "1440.1", "24:01", "999:00"])
    def test_more_than_a_day_is_a_slip_whoever_forces_it(self, text):
        with pytest.raises(InputError, match=rf"^MINUTES: '{text}' is more than a day"):
            minutes_of(text)

    @given(st.text("0123456789:.,- ehmin\n", max_size=8))
    def test_anything_else_is_refused_in_words(self, text):
        if set(text.strip()) - set("0123456789.:"):
            with pytest.raises(InputError, match=r"^MINUTES: "):
                minutes_of(text)


def test_a_note_is_one_line():
    with pytest.raises(InputError, match=r"^--note: has a line break"):
        read_entry("47", note="one\ntwo")


class TestRows:
    def test_a_hold_is_kept_as_it_was_computed(self, logged, shop):
        file, log = logged
        log("AB-outer", "41.5", date=datetime.date(2026, 3, 9), note='new "collet", 3/8″ \\')
        (hold,) = read_log(file)
        planned = shop[1].setups[1]
        assert (hold.job, hold.revision, hold.setup, hold.took) == ("GT-041", "A", "AB-outer", 41.5)
        assert (hold.date, hold.note) == (datetime.date(2026, 3, 9), 'new "collet", 3/8″ \\')
        assert hold.inputs == shop[1].hash
        for kind in ("cutting", "travel", "changes"):
            assert getattr(hold, kind) == pytest.approx(getattr(planned.computed, kind) / 60, abs=6e-4)

    def test_logging_after_calibration_does_not_build_on_it(self, logged, shop):
        file, log = logged
        for _ in range(4):
            log("AB-outer", "50")
        root, _ = shop
        again = make_plan(root / "job")
        log_hold(read_job(root / "job"), again, "AB-outer", read_entry("50"))
        *_, before, last = read_log(file)
        assert again.calibration.logged == 4
        assert last == before, "computed parts and inputs are those of before, though times are calibrated"

    def test_the_same_hold_twice_is_two_rows(self, logged):
        file, log = logged
        log("AB-inner", "4")
        log("AB-inner", "4")
        assert len(read_log(file)) == 2

    @pytest.mark.parametrize("newline", ["\n", "\r\n"])
    def test_what_is_there_stays_byte_for_byte(self, logged, newline):
        file, log = logged
        log("AB-inner", "4")
        text = ("# my own remark\n" + file.read_text().rstrip("\n")).replace("\n", newline)
        file.write_bytes(text.encode())
        log("AB-outer", "40")
        after = file.read_bytes()
        assert after.startswith(text.encode() + newline.encode())
        assert after.count(b"\n") == after.count(newline.encode())
        assert [hold.setup for hold in read_log(file)] == ["AB-inner", "AB-outer"]

    def test_the_same_holds_give_the_same_bytes(self, logged):
        file, log = logged
        contents = []
        for _ in range(2):
            file.unlink(missing_ok=True)
            log("AB-inner", "4", date=datetime.date(2026, 3, 9))
            contents.append(file.read_bytes())
        assert contents[0] == contents[1]

    def test_a_linked_log_is_followed(self, logged, tmp_path):
        file, log = logged
        (tmp_path / "shared.toml").touch()
        file.symlink_to(tmp_path / "shared.toml")
        log("AB-inner", "4")
        assert file.is_symlink()
        assert len(read_log(tmp_path / "shared.toml")) == 1


class TestRefusals:
    def test_a_setup_that_is_not_there(self, logged):
        file, log = logged
        with pytest.raises(SignplanError) as raised:
            log("AB-iner", "4")
        assert str(raised.value) == (
            "GT-041 has no setup 'AB-iner'; it has 'AB-inner', 'AB-outer'; did you mean 'AB-inner'?"
        )
        assert not file.exists()

    @pytest.mark.parametrize("minutes", ["400", "3:50", "5"])
    def test_a_slip_of_the_finger_is_refused_and_can_be_said_again(self, logged, minutes):
        file, log = logged
        with pytest.raises(
            InputError, match=r"MINUTES: \d+ min for AB-outer, where 38 min are expected; .*--force"
        ):
            log("AB-outer", minutes)
        assert not file.exists()
        log("AB-outer", minutes, force=True)
        assert len(read_log(file)) == 1

    def test_a_log_that_is_set_to_be_read_only_stays(self, logged):
        file, log = logged
        log("AB-inner", "4")
        before = file.read_bytes()
        file.chmod(0o444)
        with pytest.raises(SignplanError, match=r"shop-log.toml: is set to be read only; nothing was logged"):
            log("AB-inner", "4")
        assert file.read_bytes() == before

    def test_without_a_shop_file_there_is_a_way_out(self, tmp_path, shop):
        shutil.copytree(DEMO_JOBS / "gannet-and-thrum", tmp_path / "job")
        job = tmp_path / "job" / "job.toml"
        lines = job.read_text().splitlines(keepends=True)
        job.write_text("".join(line for line in lines if not line.startswith("shop ")))
        with pytest.raises(InputError, match=r'built-in example shop; name your own: shop = "shop.toml"'):
            log_hold(read_job(job), shop[1], "AB-inner", read_entry("4"))


class TestSaid:
    def test_minutes_are_told_as_minutes(self, logged):
        _, log = logged
        assert "AB-outer: 1440 min logged;" in log("AB-outer", "24:00", force=True)[0]
        assert "AB-outer: 41.25 min logged;" in log("AB-outer", "41.25")[0]

    def test_two_holds_are_too_few(self, logged):
        _, log = logged
        assert log("AB-outer", "41") == (
            "GT-041, revision A, AB-outer: 41 min logged; 38 min were expected, 34 min to 47 min.",
            "Estimates stay as computed: 1 logged hold, 3 needed.",
        )
        assert log("AB-outer", "41")[-1] == "Estimates stay as computed: 2 logged holds, 3 needed."

    def test_from_three_on_the_factors_are_told(self, logged):
        _, log = logged
        said = [log("AB-outer", minutes)[-1] for minutes in ("41", "42", "43")]
        assert said[-1].startswith("Estimates are from 3 logged holds: cutting x 1.")
        assert "For this hold 42 min, nine times in ten " in said[-1]

    def test_what_reads_as_the_end_of_the_band_is_not_outside(self, logged, shop):
        """Above the band by less than is said of it: `4 min` is not outside `2.8 min to 4.0 min`."""
        _, log = logged
        high = shop[1].setups[0].hold.high
        end = as_said(high)
        took = end + 2.9 if end <= high else high + 0.1
        assert not any("That is outside" in line for line in log("AB-inner", f"{took / 60:.3f}"))
        beyond = log("AB-inner", f"{(end + 7) / 60:.3f}")
        assert any("That is outside" in line for line in beyond)

    def test_a_hold_outside_its_band_is_told(self, logged):
        _, log = logged
        assert any(line.startswith("That is outside.") for line in log("AB-outer", "80"))
