"""The registration sheets, read back: every pair and every scheme of the plan, with its figures."""

import io
from dataclasses import replace

import pypdf
import pytest

from signplan.documents.traveller import render_traveller
from signplan.documents.words import room
from signplan.plan import Plan


def sheets(plan: Plan, title: str) -> str:
    """The text of all pages that have these words in their title, in one line."""
    found = []
    for page in pypdf.PdfReader(io.BytesIO(render_traveller(plan))).pages:
        text = " ".join(page.extract_text().split())
        found += [text] if title in text else []
    return " ".join(found)


@pytest.fixture(scope="module")
def text(plan: Plan) -> str:
    return sheets(plan, "Registration ·")


def test_every_pair_has_its_figures_its_path_and_what_contributes_most(plan: Plan, text: str) -> None:
    units = plan.job.job.units
    assert len(plan.stacks) == 8
    for stack in plan.stacks:
        figures = " ".join(room(figure, units) for figure in (stack.worst, stack.rss, stack.sampled))
        way = " + ".join(f"{share.words} {room(share.allowance, units)}" for share in stack.path)
        assert f"{stack.name} {figures} {stack.largest} {way}" in text


def test_every_scheme_is_ranked_and_the_plans_own_is_marked(plan: Plan, text: str) -> None:
    units = plan.job.job.units
    rows = []
    for scheme in plan.schemes:
        carving = room(scheme.carving.sampled, units) if scheme.carving else "–"
        turned = "about index pins" if scheme.layout.locate == "index pins" else "against edge stops"
        step = f"{room(scheme.seam.sampled, units)} {room(scheme.seam.worst, units)} {carving}"
        own = "THIS PLAN " if scheme.own else ""
        rows.append(f"{own}{scheme.layout.blanks} {turned} {scheme.layout.cutout} face {step}")
    places = [text.index(row) for row in rows]
    assert places == sorted(places)
    assert text.count("THIS PLAN") == 1


def test_a_scheme_that_cannot_be_used_says_why(plan: Plan) -> None:
    why = "blank AB is larger than the bed"
    last = replace(plan.schemes[-1], refused=why)
    found = sheets(replace(plan, schemes=(*plan.schemes[:-1], last)), "Registration ·")
    assert found.count(why) == 1


def test_a_blank_that_is_turned_against_stops_is_pushed_against_them(plan: Plan) -> None:
    setups = tuple(
        replace(each, setup=replace(each.setup, locate="edge stops", pins=())) for each in plan.setups
    )
    stopped = replace(plan, setups=setups)
    assert "P index pin" not in sheets(stopped, "SETUP 1 of")
    turned = sheets(stopped, "get ready")
    assert "pushed into the corner stops; its right edge of before now lies against the left stop" in turned
    assert "seat on the index pins" not in turned
