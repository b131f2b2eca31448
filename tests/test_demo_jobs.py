"""Every demo job is a golden test: what the plan says of it is kept as text that a person can read.

`sh tests/run tests/test_demo_jobs.py --regenerate` writes it anew; read the difference before you commit it.
"""

import hashlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from signplan.documents.write import write_documents
from signplan.plan import Plan, make_plan

ROOT = Path(__file__).parent.parent
GOLDEN = Path(__file__).parent / "golden"
READY = ("gannet-and-thrum", "tansyrigg-orchard")
SMALL = ("skepwell-honey", "ebbshaw-house", "quillbeck-library")
"""Small jobs that share the machine of the first for a day."""
WRONG = "crumbhollow-wrong"
JOBS = (*READY, *SMALL, WRONG)


@pytest.fixture(scope="module")
def plans() -> dict[str, Plan]:
    return {name: make_plan(ROOT / "demo_jobs" / name) for name in JOBS}


def _told(plan: Plan) -> Iterator[str]:
    """The plan in short, rounded to what a shop would notice."""
    sign, order = plan.sign, plan.order
    yield f"{plan.job.job.number} {sign.width:.1f} x {sign.height:.1f} mm, {plan.mass.total:.1f} kg"
    yield f"{order.changes} changes, least {order.lower_bound}, {len(order.reloads)} reloads, {order.proven}"
    for each in plan.alternatives:
        chosen = ", chosen" if each.chosen else ""
        yield f"blanks {each.layout.blanks}: {each.changes} changes, {each.seconds:.0f} s{chosen}"
    for habit in plan.comparisons:
        yield f"{habit.name}: {habit.changes} changes, {habit.seconds:.0f} s"
    for fit in plan.fits:
        yield f"{fit.name}: room {fit.room:.2f}, worst {fit.room_worst:.2f} mm, captive {fit.captive}"
    for stack in plan.stacks:
        yield f"{stack.name}: worst {stack.worst:.2f}, rss {stack.rss:.2f} mm; most by {stack.largest}"
    for panel in sign.panels:
        for pocket in panel.pockets:
            yield f"{pocket.id}: {pocket.depth:.2f} deep, {pocket.as_cut.area:.0f} mm2, {pocket.tool}"
        for dowel in panel.dowels:
            yield f"dowel {panel.id}: {dowel.x:.1f}, {dowel.y:.1f}"
    for planned in plan.setups:
        yield f"{planned.setup.id}: {planned.changes} changes, hold {planned.hold.seconds:.0f} s"
        for each in planned.operations:
            yield f"  {each.operation.id} {each.tool.id}: {each.path.cut_length:.0f} mm, {each.seconds:.0f} s"
    for finding in plan.findings:
        yield f"{finding.severity} [{finding.code}] {finding.where}: {finding.message}"


@pytest.mark.parametrize("name", JOBS)
def test_the_plan_is_as_it_was(name, plans, regenerate):
    golden = GOLDEN / f"{name}.txt"
    told = "\n".join(_told(plans[name])) + "\n"
    if regenerate:
        golden.parent.mkdir(exist_ok=True)
        golden.write_text(told, encoding="utf-8")
    assert told == golden.read_text(encoding="utf-8")


@pytest.mark.parametrize("name", [*READY, *SMALL])
def test_a_right_job_is_ready_and_closes_with_room_on_every_side(name, plans):
    plan = plans[name]
    assert plan.ready
    assert all(fit.room > 0 and fit.room_worst > 0 and fit.captive for fit in plan.fits)
    assert plan.order.proven


def test_every_mistake_of_the_wrong_job_is_one_finding(plans):
    errors = [finding.code for finding in plans[WRONG].findings if finding.severity == "error"]
    assert set(errors) == {
        "art-open",
        "art-outside",
        "art-too-fine",
        "bed-size",
        "cavity-tight",
        "dowel-blocked",
        "hardware-not-captive",
        "outlines-differ",
        "wall-thin",
        "web-thin",
    }
    assert len(errors) == len(set(errors)) + 1, "two dowels stand wrong"


@pytest.mark.parametrize("name", [*READY, *SMALL])
def test_pockets_of_both_panels_coincide_in_the_assembly_frame(name, plans):
    a, b = ({p.id[1:]: p for p in panel.pockets} for panel in plans[name].sign.panels)
    assert a.keys() == b.keys()
    for key, pocket in a.items():
        assert pocket.as_cut.symmetric_difference(b[key].as_cut).area < 1e-6


@pytest.mark.parametrize("name", READY)
def test_the_same_job_gives_the_same_bytes(name, plans, tmp_path):
    written = [write_documents(plans[name], tmp_path / str(turn)) for turn in range(2)]
    again = write_documents(make_plan(ROOT / "demo_jobs" / name), tmp_path / "again")
    hashes = [
        [hashlib.sha256(file.read_bytes()).hexdigest() for file in files] for files in (*written, again)
    ]
    assert hashes[0] == hashes[1] == hashes[2]
