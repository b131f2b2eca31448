import json
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Polygon

from signplan.documents.plan_json import as_listed, render_plan_json
from signplan.findings import Finding, Severity
from signplan.plan import Plan
from signplan.sign.model import Channel, Vent

KEYS = {
    "job": {"number", "title", "revision", "units"},
    "sign": {"width", "height", "panel_thickness", "outline", "mass", "centroid"},
    "order": {
        "changes",
        "lower_bound",
        "proven",
        "as_listed_changes",
        "reloads",
        "seconds",
        "as_listed_seconds",
    },
    "time": {"seconds", "low", "high"},
}
SETUP = {
    "id",
    "face",
    "panels",
    "blank",
    "placements",
    "index_pins",
    "operations",
    "first_tool",
    "changes",
    "seconds",
}
OPERATION = {"id", "setup", "panel", "face", "kind", "treatment", "tool", "tool_number", "rpm", "feed"}
OPERATION |= {"chip_load", "chip_really_cut", "cut_length", "depth", "seconds", "bounds", "needs"}


def test_has_every_key_that_others_rely_on(plan: Plan) -> None:
    made = json.loads(render_plan_json(plan))
    assert made["format"] == "signplan-plan/1"
    for part, keys in KEYS.items():
        assert keys <= made[part].keys()
    assert all(each.keys() >= SETUP for each in made["setups"])
    assert all(each.keys() >= OPERATION for each in made["operations"])


FINDING = {"code", "severity", "message", "where", "measured", "wanted", "unit", "hint"}


def test_a_finding_has_its_keys_and_null_for_what_is_not_finite(plan: Plan) -> None:
    finding = Finding(code="web-thin", severity=Severity.NOTE, message="", measured=math.inf)
    made = json.loads(render_plan_json(replace(plan, findings=(finding,))))["findings"][0]
    assert made.keys() >= FINDING
    assert made["measured"] is None


def test_same_plan_same_text(plan: Plan) -> None:
    assert render_plan_json(plan) == render_plan_json(plan)


def test_rings_are_closed_with_the_shell_first(plan: Plan) -> None:
    made = json.loads(render_plan_json(plan))
    for rings in [
        made["sign"]["outline"],
        *(p["as_cut"] for each in made["panels"] for p in each["pockets"]),
    ]:
        for shell, *holes in rings:
            assert shell[0] == shell[-1]
            assert all(Polygon(shell).contains(Polygon(hole)) for hole in holes)


def test_pockets_of_both_panels_coincide_in_the_assembly_frame(plan: Plan) -> None:
    panels = {each["id"]: each["pockets"] for each in json.loads(render_plan_json(plan))["panels"]}
    for a, b in zip(panels["A"], panels["B"], strict=False):
        assert a["hardware"] == b["hardware"]
        assert np.abs(np.array(a["as_cut"][0][0]) - np.array(b["as_cut"][0][0])).max() < 1e-6


def test_operations_stand_in_working_order(plan: Plan) -> None:
    made = json.loads(render_plan_json(plan))
    assert [each["id"] for each in made["operations"]] == list(plan.order.sequence)
    assert [name for setup in made["setups"] for name in setup["operations"]] == list(plan.order.sequence)


def test_time_is_told_by_operation_tool_hold_and_job_and_adds_up(plan: Plan) -> None:
    made = json.loads(render_plan_json(plan))
    for kind in ("cutting", "travel", "changes"):
        whole = made["time"]["parts"][kind]
        for name, rows in (("tools", made["tools"]), ("setups", made["setups"])):
            assert sum(each["seconds"][kind] for each in rows) == pytest.approx(whole), name
        ops = (each[part].get(kind, 0.0) for each in made["operations"] for part in ("parts", "before"))
        assert sum(ops) == pytest.approx(whole)
        for setup in made["setups"]:
            tools = sum(each["seconds"][kind] for each in setup["tools"])
            assert tools == pytest.approx(setup["seconds"][kind])
    assert made["time"]["parts"]["total"] == pytest.approx(made["time"]["seconds"])


def test_a_band_has_its_reason(plan: Plan) -> None:
    made = json.loads(render_plan_json(plan))
    for band in (made["time"], *(each["hold"] for each in made["setups"])):
        assert band["low"] < band["seconds"] < band["high"]
        assert band["reason"] == "computed: no logged holds yet"
    assert made["time"]["calibration"] == {
        "logged_holds": 0,
        "of_another_machine": 0,
        "needed": 3,
        "factors": {"cutting": 1.0, "travel": 1.0, "changes": 1.0},
        "scatter": None,
        "coverage": None,
    }


def test_a_channel_has_its_radius_and_its_line(plan: Plan) -> None:
    first, second = plan.sign.panels
    channel = Channel(lines=(LineString([(228.6, 400.0), (228.6, 600.0)]),), radius=6.35, depth=5.5)
    pockets = (replace(first.pockets[0], channel=channel), *first.pockets[1:])
    sign = replace(plan.sign, panels=(replace(first, pockets=pockets), second))
    shown = json.loads(render_plan_json(replace(plan, sign=sign)))["panels"][0]["pockets"]
    assert shown[0]["channel"] == {"radius": 6.35, "lines": [[[228.6, 400.0], [228.6, 600.0]]]}
    assert shown[1]["channel"] is None


def test_tells_every_stack_with_its_path_and_every_scheme(plan: Plan) -> None:
    made = json.loads(render_plan_json(plan))
    for stack, told in zip(plan.stacks, made["stacks"], strict=True):
        assert (told["name"], told["largest"]) == (stack.name, stack.largest)
        assert told["path"] == [share.words for share in stack.path]
        assert sum(told["allowances"]) == pytest.approx(told["worst"], abs=1e-5)
        assert told["rss"] <= told["worst"]
        assert told["sampled"] <= told["worst"]
    assert [told["seam"]["sampled"] for told in made["schemes"]] == pytest.approx(
        [scheme.seam.sampled for scheme in plan.schemes], abs=1e-6
    )
    (own,) = (told for told in made["schemes"] if told["own"])
    assert (own["blanks"], own["cutout"]) == (plan.layout.blanks, plan.layout.cutout)
    assert own["seam"]["worst"] in [told["worst"] for told in made["stacks"]]


def test_a_vent_has_its_line_and_what_it_leads_from(plan: Plan) -> None:
    first, second = plan.sign.panels
    line = LineString([(200.0, 50.0), (200.0, -2.5)])
    vent = Vent(panel="A", recess="dowel 1", line=line, width=3.0, depth=1.5, tool="em-1/8")
    sign = replace(plan.sign, panels=(replace(first, vents=(vent,)), second))
    shown = json.loads(render_plan_json(replace(plan, sign=sign)))["panels"]
    assert shown[0]["vents"] == [
        {"recess": "dowel 1", "line": [[200, 50], [200, -2.5]], "width": 3, "depth": 1.5, "tool": "em-1/8"}
    ]
    assert shown[1]["vents"] == []


def test_tells_how_the_steel_is_laid_in(plan: Plan) -> None:
    names = [item.name for item in plan.sign.items]
    assert json.loads(render_plan_json(plan))["glue_up"] == {
        "bench": "A",
        "order": [[name] for name in names],
        "turned": [],
    }


def test_finds_the_order_of_the_job_file(plan: Plan) -> None:
    listed = as_listed(plan)
    assert listed
    assert json.loads(render_plan_json(plan))["order"]["as_listed_changes"] == listed.changes
