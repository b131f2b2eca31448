"""A job file and its shop file to records, with every problem of both at once.

Reads the two TOML files and looks which art files exist. Knows nothing of what is inside the artwork.
"""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from pydantic import ValidationError

from signplan.errors import InputError, Problem
from signplan.job import rules
from signplan.job.document import Document, excerpt, parse_document, read_document
from signplan.job.fields import Table
from signplan.job.log import LoggedHold, ShopLog, log_of
from signplan.job.model import Job
from signplan.job.positions import spell
from signplan.job.shop import Shop
from signplan.job.wording import problems_of

JOB_FILE = "job.toml"
EXAMPLE_SHOP = "example_shop.toml"
"""Package data: the shop of a job that names none."""

_T = TypeVar("_T", bound=Table)
Places = Mapping[str, tuple[int, int]]


@dataclass(frozen=True, kw_only=True, slots=True)
class LoadedJob:
    """A job, its shop and the shop's log, read and sound in themselves.

    Attributes:
        folder: the job's folder, from which its art paths count.
        shop_file: None for the built-in example shop.
        places, shop_places: key path (`hardware[1].part[0].stock`) to (line, column) in each file.
        lines: of the job file.
        log: the shop's logged holds, in the order of its file.
    """

    job: Job
    shop: Shop
    folder: Path
    job_file: Path
    shop_file: Path | None
    places: Places
    shop_places: Places
    lines: tuple[str, ...] = ()
    log: tuple[LoggedHold, ...] = ()

    @property
    def log_file(self) -> Path | None:
        """Where the shop's log lies, or would lie; None for the built-in example shop, which has none."""
        return log_of(self.shop_file) if self.shop_file else None

    def placed(self, problem: Problem) -> Problem:
        """A problem with what the job asks of another file, placed where the job asks for it."""
        key = problem.key
        path = _nearest(key, self.places)
        if not path:
            return problem
        line, column = self.places[path]
        return Problem(
            file=str(self.job_file),
            message=f"{key}: {problem.message}",
            line=line,
            column=column,
            excerpt=excerpt(self.lines, line),
        )

    def locate(self, where: str) -> str:
        """`job.toml:41` for a key path of either file, or for something below one; else nothing."""
        for file, places in ((self.job_file, self.places), (self.shop_file, self.shop_places)):
            path = _nearest(where, places)
            if path and file:
                return f"{file.name}:{places[path][0]}"
        return ""


def _nearest(where: str, places: Places) -> str:
    """The key path itself, or the nearest table round it that has a place; "" if none has."""
    while where and where not in places:
        where = where[: max(where.rfind("."), where.rfind("["), 0)]
    return where


def read_job(path: Path) -> LoadedJob:
    """Read a job, its shop, and the shop's log if there is one.

    Args:
        path: a job file, or the folder of a `job.toml`.

    Raises:
        InputError: with every problem of job and shop, or of the log, each with its place.
    """
    job_file = _job_file(path)
    document = read_document(job_file)
    head = document.data.get("job")
    shop_name = head.get("shop") if isinstance(head, dict) else None
    job, problems = _validated(Job, document, units=head)
    try:
        shop_file, shop_document = _shop_document(job_file, shop_name, document)
        shop, shop_problems = _validated(Shop, shop_document, units=shop_document.data)
    except InputError as error:
        raise InputError(*problems, *error.problems) from None
    if job is None or shop is None:
        raise InputError(*problems, *shop_problems)
    problems = (
        *rules.job_problems(job, shop, document, folder=job_file.parent),
        *rules.shop_problems(shop, shop_document),
    )
    if problems:
        raise InputError(*problems)
    return LoadedJob(
        job=job,
        shop=shop,
        folder=job_file.parent,
        job_file=job_file,
        shop_file=shop_file,
        places=_places(document),
        shop_places=_places(shop_document),
        lines=document.lines,
        log=read_log(log_of(shop_file)) if shop_file else (),
    )


def read_log(path: Path) -> tuple[LoggedHold, ...]:
    """The holds that a shop logged; none if there is no such file.

    Raises:
        InputError: the file cannot be read, or a hold in it is not as it should be; none is left out.
    """
    if not path.exists():
        return ()
    log, problems = _validated(ShopLog, read_document(path), units=None)
    if log is None:
        raise InputError(*problems)
    return log.holds


def _job_file(path: Path) -> Path:
    """The job file that a path means; opening it says what else may be wrong."""
    if not path.is_dir():
        return path
    job_file = path / JOB_FILE
    if not job_file.exists():
        raise InputError(Problem(file=str(path), message=f"there is no {JOB_FILE} in this folder"))
    return job_file


def _shop_document(job_file: Path, name: Any, job: Document) -> tuple[Path | None, Document]:
    """The shop file that the job names, or the built-in example."""
    if not isinstance(name, str):
        text = files("signplan.job").joinpath(EXAMPLE_SHOP).read_text("utf-8")
        return None, parse_document(text, f"built-in {EXAMPLE_SHOP}")
    path = Path(os.path.normpath(job_file.parent / name))
    try:
        missing = not path.is_file()
    except (OSError, ValueError):
        missing = True
    if missing:
        raise InputError(job.problem(("job", "shop"), f"there is no shop file '{name}'"))
    return path, read_document(path)


def _validated(model: type[_T], document: Document, *, units: Any) -> tuple[_T | None, tuple[Problem, ...]]:
    """The record of a file, or its problems. `units`: the table of the file that states its units."""
    stated = units.get("units") if isinstance(units, dict) else None
    context = {"units": stated if stated in ("in", "mm") else "mm"}
    try:
        return model.model_validate(document.data, context=context, by_alias=True, by_name=False), ()
    except ValidationError as error:
        return None, problems_of(error, model, document)


def _places(document: Document) -> Places:
    return {spell(path): place.key for path, place in document.places.items()}
