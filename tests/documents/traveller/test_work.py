"""Setup sheets: the hold's time, what it is from and made of, and lines for the time that it really took."""

import io
from collections.abc import Iterator
from dataclasses import replace

import pypdf
import pytest

from signplan.documents.traveller import render_traveller
from signplan.documents.words import hold_words, minutes_seconds, parts_words
from signplan.plan import Plan
from signplan.schedule.by_tool import by_tool


def _get_ready(plan: Plan) -> Iterator[str]:
    for page in pypdf.PdfReader(io.BytesIO(render_traveller(plan))).pages:
        text = " ".join(page.extract_text().split())
        if "get ready" in text:
            yield text


@pytest.fixture(scope="module")
def sheets(plan: Plan) -> list[str]:
    return list(_get_ready(plan))


def test_every_setup_has_lines_for_what_its_hold_took(plan: Plan, sheets: list[str]) -> None:
    for planned, sheet in zip(plan.setups, sheets, strict=True):
        for line in ("Vacuum on at", "Vacuum off at", "Minutes between them"):
            assert line in sheet
        assert f"signplan log JOB {planned.setup.id} MINUTES" in sheet


def test_a_hold_says_what_it_is_from_and_made_of(plan: Plan, sheets: list[str]) -> None:
    for planned, sheet in zip(plan.setups, sheets, strict=True):
        assert f"VACUUM ON FOR {hold_words(planned)}" in sheet
        assert f"Times {planned.hold.reason}. {parts_words(planned.seconds)}." in sheet


def test_each_tool_has_its_minutes(plan: Plan, sheets: list[str]) -> None:
    for planned, sheet in zip(plan.setups, sheets, strict=True):
        for each in by_tool(planned.operations):
            assert minutes_seconds(each.seconds.total) in sheet


def test_logged_holds_are_named_on_every_sheet_and_the_cover(plan: Plan) -> None:
    reason = "from 7 logged holds"
    setups = (replace(each, hold=replace(each.hold, reason=reason)) for each in plan.setups)
    logged = replace(plan, setups=tuple(setups), time=replace(plan.time, reason=reason))
    assert all(f"Times {reason}." in sheet for sheet in _get_ready(logged))
    cover = pypdf.PdfReader(io.BytesIO(render_traveller(logged))).pages[0].extract_text()
    assert reason in cover
