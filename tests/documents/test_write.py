import json
from dataclasses import replace
from pathlib import Path

import pytest

from signplan.documents.write import kept_aside, paper_of, write_documents, write_file
from signplan.errors import SignplanError
from signplan.plan import Plan


def _contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_writes_every_document(plan: Plan, tmp_path: Path) -> None:
    written = write_documents(plan, tmp_path / "plan")
    names = {"traveller.pdf", "proof.html", "plan.json", "AB-inner.dxf", "AB-outer.dxf"}
    assert {path.name for path in written} == names == set(_contents(tmp_path / "plan"))
    assert written[0].name == "traveller.pdf"
    assert [path.name for path in tmp_path.iterdir()] == ["plan"]


def test_same_plan_same_bytes(plan: Plan, tmp_path: Path) -> None:
    write_documents(plan, tmp_path / "one")
    write_documents(plan, tmp_path / "two")
    assert _contents(tmp_path / "one") == _contents(tmp_path / "two")


def test_another_layout_takes_its_old_drawings_away_and_nothing_else(
    plan: Plan, plan_mm: Plan, tmp_path: Path
) -> None:
    write_documents(plan, tmp_path / "plan")
    (tmp_path / "plan" / "notes.txt").write_text("mine")
    (tmp_path / "plan" / "other.dxf").write_text("mine too")
    write_documents(plan_mm, tmp_path / "plan")
    names = set(_contents(tmp_path / "plan"))
    assert {"notes.txt", "other.dxf", "A-inner.dxf", "B-outer.dxf"} <= names
    assert "AB-inner.dxf" not in names


def test_another_revision_is_kept_apart(plan: Plan, tmp_path: Path) -> None:
    write_documents(plan, tmp_path / "plan")
    before = _contents(tmp_path / "plan")
    changed = _renumbered(plan, revision="D")
    assert kept_aside(plan, tmp_path / "plan") is None
    assert kept_aside(changed, tmp_path / "plan") == tmp_path / "plan" / "revision-C"
    write_documents(changed, tmp_path / "plan")
    assert _contents(tmp_path / "plan" / "revision-C") == before
    assert json.loads((tmp_path / "plan" / "plan.json").read_text())["job"]["revision"] == "D"


def _renumbered(plan: Plan, **head: str) -> Plan:
    return replace(plan, job=plan.job.model_copy(update={"job": plan.job.job.model_copy(update=head)}))


def test_another_job_is_kept_apart_though_its_revision_is_the_same(plan: Plan, tmp_path: Path) -> None:
    """Their numbers differ, and two of them not in a file name."""
    folder, kept = tmp_path / "plan", []
    for number in ("WQ 207", "WQ-207", "XY-1", "WQ 207"):
        write_documents(_renumbered(plan, number=number), folder)
        kept.append(_contents(folder)["plan.json"])
    contents = _contents(folder)
    assert contents["job-WQ-207-revision-C/plan.json"] == kept[0]
    assert contents["job-WQ-207-revision-C-2/plan.json"] == kept[1]
    assert contents["job-XY-1-revision-C/plan.json"] == kept[2]


@pytest.mark.parametrize("foreign", ["{}", "not json", '{"format": "another/1"}', "[]"])
def test_a_foreign_plan_file_is_never_overwritten(plan: Plan, tmp_path: Path, foreign: str) -> None:
    (tmp_path / "plan.json").write_text(foreign)
    with pytest.raises(SignplanError, match="not a plan of ours"):
        write_documents(plan, tmp_path)
    assert _contents(tmp_path) == {"plan.json": foreign.encode()}


def test_what_cannot_be_written_leaves_everything_as_it_was(plan: Plan, tmp_path: Path) -> None:
    write_documents(plan, tmp_path / "plan")
    before = _contents(tmp_path)
    first = plan.setups[0]
    named = replace(first, setup=replace(first.setup, id="x" * 300))
    long = replace(plan, setups=(named, *plan.setups[1:]))
    with pytest.raises(SignplanError, match="cannot be written"):
        write_documents(long, tmp_path / "plan")
    assert _contents(tmp_path) == before
    assert [path.name for path in tmp_path.iterdir()] == ["plan"]


def test_a_file_where_the_folder_should_be(plan: Plan, tmp_path: Path) -> None:
    (tmp_path / "plan").write_text("a file")
    with pytest.raises(SignplanError, match="plan: cannot be written"):
        write_documents(plan, tmp_path / "plan")
    assert _contents(tmp_path) == {"plan": b"a file"}


def test_a_plan_file_that_is_not_ours_names_nothing_to_remove(plan: Plan, tmp_path: Path) -> None:
    (tmp_path / "plan").mkdir()
    (tmp_path / "keep.dxf").write_text("keep")
    foreign = {
        "format": "signplan-plan/1",
        "setups": [{"id": "../keep"}],
        "job": {"number": "", "revision": "C"},
    }
    (tmp_path / "plan" / "plan.json").write_text(json.dumps(foreign))
    write_documents(plan, tmp_path / "plan")
    assert (tmp_path / "keep.dxf").read_text() == "keep"


def test_one_file_is_replaced_whole(tmp_path: Path) -> None:
    write_file(tmp_path / "deep" / "sheet.pdf", b"one")
    write_file(tmp_path / "deep" / "sheet.pdf", b"two")
    assert _contents(tmp_path) == {"deep/sheet.pdf": b"two"}
    with pytest.raises(SignplanError, match="cannot be written"):
        write_file(tmp_path / "deep" / "sheet.pdf" / "x.pdf", b"three")


def test_who_may_write_a_file_stays_as_it_was(tmp_path: Path) -> None:
    write_file(tmp_path / "shared.toml", b"one")
    (tmp_path / "shared.toml").chmod(0o664)
    write_file(tmp_path / "shared.toml", b"two")
    assert (tmp_path / "shared.toml").stat().st_mode & 0o777 == 0o664


def test_paper_goes_with_the_units(plan: Plan, plan_mm: Plan) -> None:
    assert (paper_of(plan), paper_of(plan_mm)) == ("letter", "a4")
