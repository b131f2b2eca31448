"""The table of docs/time.md is what its command prints; set SIGNPLAN_SLOW=1 for all of its rows."""

import os
import re
from pathlib import Path
from runpy import run_path

import pytest

ROOT = Path(__file__).parents[2]
COMMAND = ROOT / "tests" / "benchmarks" / "motion_accuracy.py"
SLOW = os.environ.get("SIGNPLAN_SLOW") == "1"


def rows(text: str) -> dict[str, list[float]]:
    """Errors in percent by what they are of; "< x" counts as zero."""
    found = {}
    for line in text.splitlines():
        what, *numbers = (cell.strip() for cell in line.strip("| ").split(" | "))
        if len(numbers) == 3 and all(re.match(r"[<+-]", each) for each in numbers):
            found[what] = [0.0 if "<" in each else float(each) for each in numbers]
    return found


@pytest.fixture(scope="module")
def page() -> dict[str, list[float]]:
    return rows((ROOT / "docs" / "time.md").read_text())


def test_the_command_prints_the_rows_of_the_page(page, capsys, monkeypatch):
    monkeypatch.syspath_prepend(str(COMMAND.parent))
    if SLOW:
        run_path(str(COMMAND), run_name="__main__")
    else:
        parts = run_path(str(COMMAND))
        parts["lines"]()
        parts["polylines"]()
    printed = rows(capsys.readouterr().out)
    assert len(printed) == (15 if SLOW else 5)
    assert printed.keys() <= page.keys()
    for what, errors in printed.items():
        assert errors == pytest.approx(page[what], abs=0.015), what


def test_the_page_names_the_command_and_every_row(page):
    text = (ROOT / "docs" / "time.md").read_text()
    assert ".venv/bin/python tests/benchmarks/motion_accuracy.py" in text
    assert len(page) == 15
