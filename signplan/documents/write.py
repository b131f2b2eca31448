"""The only place that writes files: every document of a plan, all of them or none.

Everything is rendered first, then written to a new folder beside the target, and only then moved into place.
If a move fails, what was there before comes back.
"""

import json
import os
import re
import shutil
import tempfile
from collections.abc import Mapping
from itertools import chain, count
from pathlib import Path

from signplan.documents.plan_json import FORMAT, render_plan_json
from signplan.documents.proof import render_proof
from signplan.documents.setup_dxf import render_setup_dxf
from signplan.documents.traveller import render_traveller
from signplan.documents.traveller.frame import printed_as
from signplan.errors import SignplanError
from signplan.plan import Plan

TRAVELLER, PLAN, PROOF = "traveller.pdf", "plan.json", "proof.html"
_FILE_NAME = re.compile(r"[^A-Za-z0-9]+")


def write_documents(plan: Plan, folder: Path, *, paper: str | None = None) -> tuple[Path, ...]:
    """Write the traveller, plan.json, the proof and a DXF per setup to `folder`, all or nothing.

    Documents of an earlier plan that this one does not have (another layout's DXF) are removed; no other file
    is touched. Those of another revision, or of another job, are kept in a folder of their own.

    Returns:
        The files, in the order that a person wants them.

    Raises:
        SignplanError: the folder cannot be written, or holds a plan.json that is not ours; it is as it was.
    """
    files = render_documents(plan, paper=paper)
    try:
        _replace(folder, files, (plan.job.job.number, plan.job.job.revision))
    except OSError as error:
        raise SignplanError(
            f"{folder}: cannot be written ({error.strerror or error}); nothing was"
        ) from error
    return tuple(folder / name for name in files)


def kept_aside(plan: Plan, folder: Path) -> Path | None:
    """Where writing a plan to a folder would move the documents that it holds of another revision or job.

    Raises:
        SignplanError: the folder holds a plan.json that is not ours.
    """
    earlier, job = _earlier(folder)
    number = plan.job.job.number
    if not earlier or job == (number, plan.job.job.revision):
        return None
    return _kept_as(folder, job, same_number=job[0] == number)


def traveller_at(path: Path) -> str:
    """The number and revision of the traveller that a file holds; "" if there is none that can be read."""
    try:
        return printed_as(path.read_bytes())
    except OSError:
        return ""


def write_file(path: Path, content: bytes) -> None:
    """Write one file whole or not at all; who may read and write it stays as it was.

    Raises:
        SignplanError: it cannot be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(temporary).chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
            os.replace(temporary, path)
        except BaseException:
            Path(temporary).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise SignplanError(f"{path}: cannot be written ({error.strerror or error}); nothing was") from error


def render_documents(plan: Plan, *, paper: str | None = None) -> Mapping[str, bytes]:
    """Every document by its file name."""
    texts = {PROOF: render_proof(plan), PLAN: render_plan_json(plan)}
    texts |= {f"{each.setup.id}.dxf": render_setup_dxf(plan, each) for each in plan.setups}
    return {
        TRAVELLER: render_traveller(plan, paper=paper or paper_of(plan)),
        **{name: text.encode() for name, text in texts.items()},
    }


def paper_of(plan: Plan) -> str:
    """The paper that goes with the job's units."""
    return "letter" if plan.job.job.units == "in" else "a4"


def _replace(folder: Path, files: Mapping[str, bytes], job: tuple[str, str]) -> None:
    """Put the files of a job (number, revision) into the folder; on any trouble it stays as it was."""
    folder.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=folder.parent, prefix=f".{folder.name}.") as name:
        new, old = Path(name, "new"), Path(name, "old")
        new.mkdir()
        for file, content in files.items():
            (new / file).write_bytes(content)
        if not folder.exists():
            new.rename(folder)
            return
        earlier, its_job = _earlier(folder)
        old.mkdir()
        placed: list[Path] = []
        try:
            for file in sorted({*files, *earlier}):
                if (folder / file).exists():
                    (folder / file).rename(old / file)
            for file in files:
                (new / file).rename(folder / file)
                placed.append(folder / file)
        except OSError:
            _undo(folder, old, placed)
            raise
        if earlier and its_job != job:
            _keep(old, _kept_as(folder, its_job, same_number=its_job[0] == job[0]))


def _earlier(folder: Path) -> tuple[frozenset[str], tuple[str, str]]:
    """The documents of the plan that the folder holds, with its job's number and revision; nothing if none.

    Raises:
        SignplanError: its plan.json is not one of ours.
    """
    if not (folder / PLAN).exists():
        return frozenset(), ("", "")
    try:
        plan = json.loads((folder / PLAN).read_text(encoding="utf-8"))
        if plan["format"] != FORMAT:
            raise ValueError
        drawings = {Path(f"{setup['id']}.dxf").name for setup in plan["setups"]}
        job = str(plan["job"]["number"]), str(plan["job"]["revision"])
    except (ValueError, KeyError, TypeError):
        raise SignplanError(
            f"{folder / PLAN}: not a plan of ours, so it stays; move it, or write to another folder"
        ) from None
    return frozenset({TRAVELLER, PLAN, PROOF, *drawings}), job


def _kept_as(folder: Path, job: tuple[str, str], *, same_number: bool) -> Path:
    """Where the documents of a job go: a name of its own, even if another's reads the same in a file name."""
    number, revision = (_FILE_NAME.sub("-", each) for each in job)
    name = f"revision-{revision}" if same_number else f"job-{number}-revision-{revision}"
    names = chain([name], (f"{name}-{k}" for k in count(2)))
    return next(kept for each in names if not (kept := folder / each).exists() or _holds(kept, job))


def _holds(folder: Path, job: tuple[str, str]) -> bool:
    try:
        return _earlier(folder)[1] == job
    except (SignplanError, OSError):
        return False


def _undo(folder: Path, old: Path, placed: list[Path]) -> None:
    for file in placed:
        file.unlink()
    for kept in old.iterdir():
        kept.rename(folder / kept.name)


def _keep(old: Path, folder: Path) -> None:
    """Move superseded documents out of the way, in place of those kept for the same revision before."""
    shutil.rmtree(folder, ignore_errors=True)
    old.rename(folder)
