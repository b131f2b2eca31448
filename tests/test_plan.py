"""The pipeline: its figures are of the plan that is printed."""

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
