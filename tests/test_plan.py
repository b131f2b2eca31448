"""The pipeline: its figures are of the plan that is printed."""

import re
import shutil
from pathlib import Path

import pytest

from signplan.errors import InputError
from signplan.plan import Plan, make_plan
from signplan.sign.location import stacks

ROOT = Path(__file__).parents[1]


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "tansyrigg-orchard")


def test_fits_are_those_of_the_setups_that_are_planned(plan: Plan) -> None:
    setups = [planned.setup for planned in plan.setups]
    assert plan.stacks == stacks(plan.sign, plan.shop, setups)


def test_the_plans_own_scheme_is_in_the_ranking_with_its_own_seam(plan: Plan) -> None:
    (own,) = (scheme for scheme in plan.schemes if scheme.own)
    (seam,) = (stack for stack in plan.stacks if stack.kind == "seam")
    assert (own.layout, own.seam) == (plan.layout, seam)


def test_what_a_drawing_lacks_is_told_where_the_job_asks_for_it(tmp_path: Path) -> None:
    source = ROOT / "demo_jobs" / "tansyrigg-orchard"
    text = (source / "job.toml").read_text().replace('"../shop', f'"{source.parent}/shop')
    shutil.copytree(source / "art", tmp_path / "art")
    (tmp_path / "job.toml").write_text(text.replace('layer = "outline"', 'layer = "edge"', 1))
    with pytest.raises(InputError) as caught:
        make_plan(tmp_path)
    (problem,) = caught.value.problems
    assert problem.file == str(tmp_path / "job.toml")
    assert 'layer = "edge"' in problem.excerpt
    assert problem.message.startswith("sign.outline.layer: no layer 'edge' in art/")


def skepwell(folder: Path, work: str) -> Plan:
    """That demo job with more said of its work.

    Of its layouts only one blank, turned like a page, has room for its index pins; one blank turned end over
    end would be quicker.
    """
    source = ROOT / "demo_jobs" / "skepwell-honey"
    text = (source / "job.toml").read_text().replace('"../shop', f'"{source.parent}/shop')
    shutil.copytree(source / "art", folder / "art")
    (folder / "job.toml").write_text(text.replace("[work]\n", f"[work]\n{work}\n"))
    return make_plan(folder)


def test_a_layout_without_room_for_its_pins_is_not_chosen(tmp_path: Path) -> None:
    plan = skepwell(tmp_path, 'turn = "auto"')
    refused = {(each.layout.blanks, each.layout.turn): each.refused for each in plan.alternatives}
    pinless = "no room for two index pins"
    assert refused == {
        ("one", "side"): "",
        ("one", "end"): pinless,
        ("two", "side"): pinless,
        ("two", "end"): pinless,
    }
    assert (plan.layout.blanks, plan.layout.turn) == ("one", "side")
    assert min(plan.alternatives, key=lambda each: each.seconds).layout.turn == "end"
    assert plan.ready


def test_what_another_way_would_change_offers_no_layout_without_room_for_its_pins(tmp_path: Path) -> None:
    plan = skepwell(tmp_path, "")
    for each in plan.schemes:
        told = [other.refused for other in plan.alternatives if other.layout == each.layout]
        assert told in ([], [each.refused])
    assert not [each for each in plan.costing.variants if each.name.startswith("blanks")]


@pytest.mark.parametrize(
    ("turn", "instead"), [("auto", 'blanks = "one"'), ("end", 'blanks = "one", turn = "side"')]
)
def test_where_every_layout_is_refused_the_findings_say_so(tmp_path: Path, turn: str, instead: str) -> None:
    plan = skepwell(tmp_path, f'blanks = "two"\nturn = "{turn}"')
    blocked = [each for each in plan.findings if each.code == "pins-blocked"]
    assert [each.message[:8] for each in blocked] == ["Blank A,", "Blank B,"]
    (hint,) = {each.hint for each in blocked}
    assert hint == f'This would do (work): {instead}; or locate = "edge stops". Or widen the border.'
    assert not plan.ready


def test_of_layouts_that_are_all_refused_one_that_lies_on_the_bed_is_taken(tmp_path: Path) -> None:
    """A shop whose bed takes one panel: two blanks lie on it, without room for their pins, one does not."""
    shop = (ROOT / "demo_jobs" / "shop.toml").read_text()
    (tmp_path / "shop.toml").write_text(re.sub(r"(?m)^bed +=.*$", "bed = [28, 28]", shop))
    (tmp_path / "job").mkdir()
    source = ROOT / "demo_jobs" / "skepwell-honey"
    shutil.copytree(source, tmp_path / "job", dirs_exist_ok=True)
    plan = make_plan(tmp_path / "job")
    assert {each.layout.blanks: each.refused for each in plan.alternatives} == {
        "one": "blank AB is larger than the bed",
        "two": "no room for two index pins",
    }
    assert plan.layout.blanks == "two"
    assert "pins-blocked" in {each.code for each in plan.findings}


def test_edge_stops_need_no_room_for_pins(tmp_path: Path) -> None:
    plan = skepwell(tmp_path, 'turn = "auto"\nlocate = "edge stops"')
    assert {each.refused for each in plan.alternatives} == {""}
    assert min(plan.alternatives, key=lambda each: each.seconds).chosen
