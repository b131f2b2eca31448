"""The commands: what they print where, what they write, and their exit status."""

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from signplan.cli import app
from signplan.job.stock_tables import all_stock

DEMO_JOBS = Path(__file__).parents[1] / "demo_jobs"
WRONG = DEMO_JOBS / "crumbhollow-wrong"


def run(*arguments):
    return CliRunner().invoke(app, [str(each) for each in arguments])


@pytest.fixture(scope="module")
def starter(tmp_path_factory):
    """A new job, planned from a terminal with --json: its folder, and how that ended."""
    folder = tmp_path_factory.mktemp("work") / "sign"
    assert run("new", folder).exit_code == 0
    return folder, run("plan", folder, "--json")


@pytest.fixture(scope="module")
def wrong(tmp_path_factory):
    """The demo job that is wrong on purpose, planned: where to, and how that ended."""
    out = tmp_path_factory.mktemp("wrong") / "out"
    return out, run("plan", WRONG, "--out", out)


class TestPlan:
    def test_a_sound_job_exits_0_and_prints_one_object(self, starter):
        _, result = starter
        assert result.exit_code == 0
        assert json.loads(result.stdout)["format"] == "signplan-plan/1"

    def test_people_read_standard_error(self, starter):
        _, result = starter
        assert "J-001 Arrow, hanging sign, revision A: " in result.stderr
        assert "tool changes, the fewest possible." in result.stderr
        assert " in 2 holds, computed: no logged holds yet; " in result.stderr

    def test_every_document_is_beside_the_job(self, starter):
        folder, result = starter
        setups = {f"{setup['id']}.dxf" for setup in json.loads(result.stdout)["setups"]}
        written = {file.name for file in (folder / "plan").iterdir()}
        assert written == {"traveller.pdf", "plan.json", "proof.html", *setups}

    def test_sheets_of_another_revision_are_never_replaced_without_a_word(self, starter, tmp_path):
        folder, _ = starter
        shutil.copytree(folder, tmp_path / "sign")
        job = tmp_path / "sign" / "job.toml"
        assert "is kept in" not in run("plan", tmp_path / "sign").stderr
        job.write_text(re.sub(r'(?m)^revision = "A"', 'revision = "B"', job.read_text()))
        result = run("plan", tmp_path / "sign")
        kept = tmp_path / "sign" / "plan" / "revision-A"
        assert f"of another revision or job is kept in {kept}." in result.stderr
        assert json.loads((kept / "plan.json").read_text())["job"]["revision"] == "A"

    def test_what_is_printed_is_what_is_written(self, starter):
        folder, result = starter
        assert json.loads(result.stdout) == json.loads((folder / "plan" / "plan.json").read_text())

    def test_a_job_with_errors_exits_1_and_writes_all_the_same(self, wrong):
        out, result = wrong
        assert result.exit_code == 1
        assert "NOT READY: every page says so. Mend the errors before any board is cut." in result.stderr
        paths = result.stdout.split()
        assert paths
        assert all(Path(path).parent == out and Path(path).is_file() for path in paths)

    def test_a_refused_job_exits_2_and_writes_nothing(self, tmp_path):
        (tmp_path / "job.toml").write_text("[job]\nnumbr = 1\n")
        result = run("plan", tmp_path, "--out", tmp_path / "out")
        assert result.exit_code == 2
        assert result.stdout == ""
        assert (
            f"{tmp_path}/job.toml:2:1: job.numbr: unknown key 'numbr'; did you mean 'number'?"
            in result.stderr
        )
        assert [file.name for file in tmp_path.iterdir()] == ["job.toml"]

    def test_a_refusal_is_an_object_too(self, tmp_path):
        result = run("plan", tmp_path / "nothing", "--json")
        assert result.exit_code == 2
        assert json.loads(result.stdout) == {
            "format": "signplan-refusal/1",
            "problems": [
                {"file": str(tmp_path / "nothing"), "line": 0, "column": 0, "message": "no such file"}
            ],
        }
        assert result.stderr == f"{tmp_path}/nothing: no such file\n"

    def test_findings_are_told_errors_first_with_file_and_line(self, wrong):
        _, result = wrong
        lines = result.stderr.splitlines()
        heads = [line.split()[0] for line in lines if not line.startswith(" ")][:-3]
        assert heads == sorted(heads, key=["error", "warning", "note"].index)
        assert any(
            line.startswith("error    hardware[3], job.toml:84: 'hanger' can slide out of the closed sign")
            and line.endswith("[hardware-not-captive]")
            for line in lines
        )
        assert any(line.startswith("         -> ") for line in lines)
        assert lines[-3].startswith("CB-013 Crumbhollow Bakery, wrong on purpose, revision A: 11 errors")


class TestCheck:
    def test_a_job_with_errors_exits_1(self, tmp_path):
        assert run("new", tmp_path).exit_code == 0
        job = tmp_path / "job.toml"
        job.write_text(job.read_text().replace('"1/32"', "0"))
        result = run("check", tmp_path)
        assert (result.exit_code, result.stdout) == (1, "")
        assert "error    hardware[0].clearance, job.toml:48: " in result.stderr
        assert "[cavity-tight]" in result.stderr

    def test_it_writes_nothing(self, tmp_path):
        assert run("new", tmp_path / "sign").exit_code == 0
        before = sorted(tmp_path.rglob("*"))
        assert run("check", tmp_path / "sign", "--json").exit_code == 0
        assert sorted(tmp_path.rglob("*")) == before


class TestTraveller:
    def test_it_writes_one_file(self, starter, tmp_path):
        folder, _ = starter
        result = run("traveller", folder, "--out", tmp_path / "t.pdf")
        assert result.exit_code == 0
        assert (tmp_path / "t.pdf").read_bytes() == (folder / "plan" / "traveller.pdf").read_bytes()

    def test_a_file_of_another_revision_is_not_replaced_without_a_word(self, starter, tmp_path):
        folder, _ = starter
        shutil.copytree(folder, tmp_path / "sign")
        job = tmp_path / "sign" / "job.toml"
        told = []
        for revision in ("(ä) 1", "(ä) 1", "B"):
            job.write_text(re.sub(r'(?m)^revision = ".*"', f'revision = "{revision}"', job.read_text()))
            told.append(run("traveller", tmp_path / "sign", "--out", tmp_path / "t.pdf").stderr)
        said = f"{tmp_path / 't.pdf'} was the traveller of J-001 revision (ä) 1; it is replaced."
        assert [said in each for each in told] == [False, False, True]

    def test_paper_can_be_chosen(self, starter, tmp_path):
        from pypdf import PdfReader

        folder, _ = starter
        assert run("traveller", folder, "--out", tmp_path / "t.pdf", "--paper", "a4").exit_code == 0
        box = PdfReader(tmp_path / "t.pdf").pages[0].mediabox
        assert sorted((float(box.width), float(box.height))) == pytest.approx([595.276, 841.890], abs=1e-3)


class TestNew:
    @pytest.mark.parametrize("units", ["in", "mm"])
    def test_a_new_job_has_nothing_wrong(self, tmp_path, units):
        result = run("new", tmp_path / "sign", "--units", units)
        assert result.stdout.split() == [
            f"{tmp_path}/sign/{name}" for name in ("job.toml", "shop.toml", "art/face.svg")
        ]
        checked = run("check", tmp_path / "sign", "--json")
        assert checked.exit_code == 0
        plan = json.loads(checked.stdout)
        assert plan["job"]["units"] == units
        assert [finding for finding in plan["findings"] if finding["severity"] != "note"] == []
        assert all(item["captive"] and item["room_worst"] > 0 for item in plan["hardware"])

    def test_nothing_is_overwritten(self, tmp_path):
        (tmp_path / "shop.toml").write_text("mine")
        (tmp_path / "job.toml").symlink_to(tmp_path / "nowhere")
        result = run("new", tmp_path)
        assert result.exit_code == 2
        assert (
            result.stderr
            == f"{tmp_path}/job.toml: is there already\n{tmp_path}/shop.toml: is there already\n"
        )
        assert sorted(file.name for file in tmp_path.iterdir()) == ["job.toml", "shop.toml"]
        assert (tmp_path / "shop.toml").read_text() == "mine"


class TestWords:
    @pytest.mark.parametrize("name", ["job", "shop"])
    def test_schema(self, name):
        assert json.loads(run("schema", name).stdout)["title"] == f"signplan {name} file"

    def test_stock_lists_everything_under_its_source(self):
        shown = run("stock").stdout
        assert all(f"  {stock.name} " in shown and stock.source in shown for stock in all_stock())

    def test_stock_of_one_size(self):
        assert run("stock", "nut 3/8").stdout == (
            "ASME B18.2.2, hex nuts: greatest F, G and H (read)\n"
            "  nut 3/8                  hex    across flats 0.563 in (14.3 mm), corners 0.650 in (16.51 mm), "
            "thickness 0.337 in (8.56 mm)\n"
        )

    def test_stock_that_is_not_there(self):
        result = run("stock", "nut 7/16")
        assert result.exit_code == 2
        assert result.stderr.startswith("no built-in size 'nut 7/16'; there are nut 1/4, ")

    def test_explain(self):
        assert run("explain", "web-thin").stdout.startswith("## web-thin: too little board")
        assert run("explain").stdout.startswith("# Findings\n")
        result = run("explain", "web-thn")
        assert (result.exit_code, result.stdout) == (2, "")
        assert result.stderr == "there is no finding 'web-thn'; did you mean 'web-thin'?\n"

    def test_a_wrong_command_exits_2(self):
        assert run("plot").exit_code == 2


def test_help_loads_nothing_heavy():
    code = (
        "import sys\n"
        "sys.argv = ['signplan', '--help']\n"
        "from signplan.__main__ import main\n"
        "try: main()\n"
        "finally: print(sorted({'ezdxf', 'networkx', 'numpy', 'reportlab', 'shapely'} & set(sys.modules)))\n"
    )
    command = [sys.executable, "-c", code]
    result = subprocess.run(command, capture_output=True, text=True, check=False)
    assert result.returncode == 0
    assert "Commands:" in result.stdout
    assert result.stdout.endswith("[]\n")


class TestOrder:
    def test_it_prints_the_order_and_compares_it_with_what_people_do(self):
        result = run("order", DEMO_JOBS / "gannet-and-thrum")
        assert result.exit_code == 0
        lines = result.stdout.splitlines()
        assert lines[0] == "setup AB-inner"
        assert "10 tool changes, the fewest possible" in lines
        table = lines[lines.index("10 tool changes, the fewest possible") + 2 :]
        assert table[0].split() == [
            "tool",
            "changes",
            "AB-inner",
            "AB-outer",
            "in",
            "all",
            "by",
            "hand",
            "by",
            "changer",
        ]
        assert table[1].split() == ["as", "planned", "3", "7", "10", "61", "min", "2.8", "min"]
        for row in table[1:]:
            inner, outer, whole = [int(word) for word in row[20:].split() if word.isdigit()][:3]
            assert inner + outer == whole >= 10

    def test_its_minutes_are_those_of_the_plan_with_a_log_and_without(self, tmp_path):
        """Changes, by the shop's changer, take in the comparison what plan.json has for them."""
        shutil.copytree(DEMO_JOBS / "gannet-and-thrum", tmp_path / "job")
        shutil.copy(DEMO_JOBS / "shop.toml", tmp_path)
        for logs in (0, 3):
            for _ in range(logs):
                assert run("log", tmp_path / "job", "AB-outer", "60").exit_code == 0
            plan = json.loads(run("plan", tmp_path / "job", "--json").stdout)
            changes = plan["time"]["parts"]["changes"]
            row = next(
                line for line in run("order", tmp_path / "job").stdout.splitlines() if "as planned" in line
            )
            assert row.split()[-2] == f"{changes / 60:.1f}"

    def test_it_writes_the_graph_in_the_form_that_the_name_asks_for(self, tmp_path):
        run("order", DEMO_JOBS / "gannet-and-thrum", "--graph", tmp_path / "one.svg")
        assert [file.name for file in tmp_path.iterdir()] == ["one.svg"]


class TestDay:
    def test_a_day_is_printed_and_nothing_written(self):
        result = run("day", DEMO_JOBS / "tansyrigg-orchard", "--start", "8:00", "--until", "16:30")
        assert result.exit_code == 0
        assert result.stdout.startswith("DAY ON ROUTER: 08:00 to 16:30")

    def test_json_is_one_object(self):
        result = run("day", DEMO_JOBS / "tansyrigg-orchard", "--json", "--break", "12:00-12:30")
        assert json.loads(result.stdout)["format"] == "signplan-day/1"

    def test_hours_that_are_none_are_refused_before_anything_is_planned(self):
        result = run("day", DEMO_JOBS / "tansyrigg-orchard", "--start", "noon")
        assert result.exit_code == 2
        assert result.stderr.strip() == "--start: 'noon' is no time of day; write it as 8:00 or 16:30"

    def test_a_job_with_errors_exits_1(self):
        result = run("day", WRONG)
        assert result.exit_code == 1
        assert "NOT READY" in result.stdout

    def test_jobs_of_two_machines_are_refused(self):
        result = run("day", DEMO_JOBS / "tansyrigg-orchard", DEMO_JOBS / "gannet-and-thrum")
        assert result.exit_code == 2
        assert "a day is that of one machine" in result.stderr


class TestLog:
    @pytest.fixture
    def job(self, tmp_path):
        assert run("new", tmp_path / "sign").exit_code == 0
        return tmp_path / "sign"

    def test_a_hold_is_logged_beside_the_shop_file(self, job):
        result = run("log", job, "AB-inner", "3.5", "--date", "2026-03-09", "--note", "new collet")
        assert result.exit_code == 0
        assert result.stdout == f"{job / 'shop-log.toml'}\n"
        assert "J-001, revision A, AB-inner: 3.5 min logged; " in result.stderr
        assert result.stderr.endswith("Estimates stay as computed: 1 logged hold, 3 needed.\n")
        assert "date = 2026-03-09\n" in (job / "shop-log.toml").read_text()

    def test_from_three_on_the_traveller_says_so(self, job, tmp_path):
        from pypdf import PdfReader

        for minutes in ("3.4", "3.5", "3.6"):
            assert run("log", job, "AB-inner", minutes).exit_code == 0
        assert run("traveller", job, "--out", tmp_path / "t.pdf").exit_code == 0
        text = "\n".join(page.extract_text() for page in PdfReader(tmp_path / "t.pdf").pages)
        assert "from 3 logged holds" in text
        plan = json.loads(run("check", job, "--json").stdout)
        assert plan["time"]["reason"] == plan["setups"][0]["hold"]["reason"] == "from 3 logged holds"
        assert "shop-log.toml" in [each["path"] for each in plan["inputs"]]

    @pytest.mark.parametrize(
        ("words", "says"),
        [
            (("AB-inner", "soon"), "MINUTES: 'soon' is no length of time"),
            (("AB-middle", "3"), "J-001 has no setup 'AB-middle'; it has 'AB-inner', 'AB-outer'"),
            (("AB-inner", "3:30"), "say it again with --force"),
            (("AB-inner", "3", "--date", "9 March"), "Invalid value for '--date'"),
        ],
    )
    def test_what_cannot_be_logged_exits_2_and_writes_nothing(self, job, words, says):
        result = run("log", job, *words)
        assert (result.exit_code, result.stdout) == (2, "")
        assert says in result.stderr
        assert not (job / "shop-log.toml").exists()

    def test_a_damaged_log_stops_every_plan_and_stays_as_it_is(self, job):
        assert run("log", job, "AB-inner", "3.5").exit_code == 0
        log = job / "shop-log.toml"
        log.write_text(log.read_text().replace("took = 3.5", "took = soon"))
        before = log.read_bytes()
        for command in (("plan", job), ("check", job), ("log", job, "AB-inner", "3.5")):
            result = run(*command)
            assert result.exit_code == 2
            assert f"{log}:12:" in result.stderr
        assert log.read_bytes() == before
