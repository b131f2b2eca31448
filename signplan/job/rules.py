"""What must agree between the tables of a job and its shop before anything is planned.

Each rule is a generator of problems with their places. They say that the files contradict each other or name
what does not exist; whether the sign can be made is for `signplan.checks`.
"""

import os
import re
from collections.abc import Iterator, Sequence
from pathlib import Path

from pydantic import BaseModel

from signplan.errors import Problem, SignplanError
from signplan.job import positions
from signplan.job.document import Document
from signplan.job.model import Art, FlatPart, HexPart, Job, Part, RoundPart, TubePart
from signplan.job.shop import OVER_HEAD, Shop
from signplan.job.stock import look_up
from signplan.job.stock_tables import Stock
from signplan.job.wording import keys_of, listed, suggestion
from signplan.units import decimal
from signplan.units import shop as shop_length

_CLOCK = re.compile(r"([01]\d|2[0-3]):[0-5]\d")
_SAME_MM = 1e-6
_BAR_OVER_MM = 1.6
"""The most that the tables add to the width of a bar, a sixteenth of an inch."""


def job_problems(job: Job, shop: Shop, document: Document, *, folder: Path) -> tuple[Problem, ...]:
    """Every contradiction of a job, in the order of its file."""
    problems = [
        *_board(job, shop, document),
        *_tools(job, shop, document),
        *_names(job, document),
        *_hardware(job, document),
        *_dowels(job, document),
        *_hours(job, document),
        *_art(job, document, folder),
    ]
    return tuple(sorted(problems, key=lambda problem: (problem.line, problem.column)))


def shop_problems(shop: Shop, document: Document) -> tuple[Problem, ...]:
    """Every contradiction of a shop file."""
    return (
        *_unique([tool.id for tool in shop.tools], "tool", "id", document),
        *_unique([tool.number for tool in shop.tools], "tool", "number", document),
        *_unique([board.id for board in shop.boards], "board", "id", document),
        *_rapids_clear(shop, document),
    )


def _rapids_clear(shop: Shop, document: Document) -> Iterator[Problem]:
    """Every rapid passes over the board and over every screw, wherever it stands: links cross them."""
    machine, holding, units = shop.machine, shop.holding, shop.units
    head = holding.screw_head if holding.kind != "vacuum" else 0.0
    if machine.clearance_z < head + OVER_HEAD - _SAME_MM:
        over = f"over screws whose heads are {decimal(head, units)} high they" if head else "they"
        message = (
            f"rapids pass {decimal(machine.clearance_z, units)} over the board; "
            f"{over} must pass {decimal(head + OVER_HEAD, units)}"
        )
        yield document.problem(("machine", "clearance_z"), message)


def arts_of(table: BaseModel, path: positions.Path = ()) -> Iterator[tuple[positions.Path, Art]]:
    """Every layer of a drawing that a table or one inside it names, with its key path."""
    if isinstance(table, Art):
        yield path, table
        return
    for (key, _), name in zip(keys_of(type(table)).items(), type(table).model_fields, strict=True):
        value = getattr(table, name)
        if isinstance(value, BaseModel):
            yield from arts_of(value, (*path, key))
        elif isinstance(value, tuple):
            for index, item in enumerate(value):
                if isinstance(item, BaseModel):
                    yield from arts_of(item, (*path, key, index))


def _board(job: Job, shop: Shop, document: Document) -> Iterator[Problem]:
    board = shop.board(job.sign.board)
    if board is None:
        message = _not_in_shop("board", job.sign.board, [each.id for each in shop.boards])
        yield document.problem(("sign", "board"), message)
    elif not any(abs(job.sign.panel - each) <= _SAME_MM for each in board.thicknesses):
        units = job.job.units
        stocked = ", ".join(shop_length(each, units) for each in board.thicknesses)
        message = f"'{board.id}' does not come {shop_length(job.sign.panel, units)} thick; it comes {stocked}"
        yield document.problem(("sign", "panel"), message)


def _tools(job: Job, shop: Shop, document: Document) -> Iterator[Problem]:
    ids = [tool.id for tool in shop.tools]
    for k, carve in enumerate(job.carve):
        for n, tool in enumerate(carve.tools):
            if tool not in ids:
                yield document.problem(("carve", k, "tools", n), _not_in_shop("tool", tool, ids))


def _not_in_shop(what: str, name: str, ids: Sequence[str]) -> str:
    return f"the shop has no {what} '{name}'; it has {listed(ids)}{suggestion(name, ids)}"


def _names(job: Job, document: Document) -> Iterator[Problem]:
    yield from _unique([item.name for item in job.hardware], "hardware", "name", document)


def _unique(values: Sequence[str | int], table: str, key: str, document: Document) -> Iterator[Problem]:
    """The second and later of equal values."""
    for k, value in enumerate(values):
        if value in values[:k]:
            first = f"{table}[{values.index(value)}]"
            shown = f"'{value}'" if isinstance(value, str) else value
            yield document.problem((table, k, key), f"{shown} is taken by {first}; give each its own {key}")


def _hardware(job: Job, document: Document) -> Iterator[Problem]:
    for k, item in enumerate(job.hardware):
        others = [other.name for other in job.hardware if other is not item]
        if item.laid_with and item.laid_with not in others:
            message = (
                f"'{item.laid_with}' is no other hardware of this job{suggestion(item.laid_with, others)}"
            )
            yield document.problem(("hardware", k, "laid_with"), message)
        if item.bottom == "round" and not any(isinstance(part, RoundPart) for part in item.parts):
            message = 'is "round", which is for rods and pipes; no part of this item is shape = "round"'
            yield document.problem(("hardware", k, "bottom"), message)
        for n, part in enumerate(item.parts):
            yield from _part(part, ("hardware", k, "part", n), document)


def _part(part: Part, path: positions.Path, document: Document) -> Iterator[Problem]:
    """A part is stated whole, by its own sizes or by a stock of its shape."""
    stock = None
    if part.stock is not None:
        try:
            stock = look_up(part.stock)
        except SignplanError as error:
            yield document.problem((*path, "stock"), str(error))
            return
        if stock.shape != part.shape:
            message = f"'{stock.name}' is a {stock.shape} part, not a {part.shape} one"
            yield document.problem((*path, "stock"), message)
            return
    for message in _lacking(part, stock):
        yield document.problem(path, message, at_key=True)


def _lacking(part: Part, stock: Stock | None) -> Iterator[str]:
    """The sizes that a part needs and neither it nor its stock has."""
    match part:
        case RoundPart() if part.diameter is None and stock is None:
            yield "give its 'diameter', or a 'stock' such as \"rod 3/8\" or \"pipe 1-1/4\""
        case HexPart() if part.across_flats is None and stock is None:
            yield "give its size 'across_flats', or a 'stock' such as \"nut 3/8\""
        case TubePart() if part.size is None and stock is None:
            yield "give its 'size' [width, depth], or a 'stock' such as \"tube 1 x .120\""
        case FlatPart():
            if part.thickness is None and stock is None:
                yield "give its 'thickness', or a 'stock' such as \"flat 1/4 x 2\""
            if part.art is None and part.size is None and (stock is None or stock.size is None):
                yield "give its 'size' [length, width], or its length in the stock: \"flat 1/4 x 2 x 24\""
            if part.size is not None and stock is not None and stock.width is not None:
                yield from _wrong_width(part.size, stock)
    stated = part.thickness or (stock.thickness if stock else None)
    if not isinstance(part, FlatPart) and part.at is not None and stated is None:
        yield "give its 'thickness', its length along the axis"


def _wrong_width(size: tuple[float, float], stock: Stock) -> Iterator[str]:
    """A bar that is stated twice is stated the same: one side of the plate is as wide as the bar."""
    width = stock.width or 0.0
    if not any(width - _BAR_OVER_MM <= side <= width + _SAME_MM for side in size):
        yield f"no side of its 'size' is as wide as '{stock.name}'"


def _dowels(job: Job, document: Document) -> Iterator[Problem]:
    """Two pegs or more bring the panels onto each other; about one alone they turn."""
    dowels = job.dowels
    if dowels is None:
        return
    stated, places = "count" in dowels.model_fields_set, len(dowels.at)
    if stated and places and dowels.count != places:
        message = f"is {dowels.count}, and 'at' has {places} places; leave one of the two out"
        yield document.problem(("dowels", "count"), message)
    elif places == 1 or (not places and dowels.count == 1):
        message = "the panels turn about a single dowel; give two or more, far apart, or leave [dowels] out"
        yield document.problem(("dowels", "at" if places else "count"), message)


def _hours(job: Job, document: Document) -> Iterator[Problem]:
    hours = {"start": job.work.start, "until": job.work.until}
    wrong = {key: value for key, value in hours.items() if value is not None and not _CLOCK.fullmatch(value)}
    for key, value in wrong.items():
        yield document.problem(("work", key), f"'{value}' is no time of day; write it as \"08:00\"")
    if not wrong and job.work.start and job.work.until and job.work.start >= job.work.until:
        yield document.problem(("work", "until"), f"the day ends at {job.work.until}, before it starts")


def _art(job: Job, document: Document, folder: Path) -> Iterator[Problem]:
    """Art files exist, and stay inside the job's folder unless the job says otherwise."""
    named = [((*path, "file"), art.file) for path, art in arts_of(job)]
    named += [
        (("carve", k, "image"), each.image) for k, each in enumerate(job.carve) if each.image is not None
    ]
    for path, name in named:
        message = _file_fault(folder, name, outside=job.job.art_outside_folder)
        if message:
            yield document.problem(path, message)


def _file_fault(folder: Path, name: str, *, outside: bool) -> str:
    if "\\" in name or not name.isprintable():
        return f'{name!r} is no file name; write / between folder and file: "art/face.dxf"'
    path = folder / name
    try:
        inside = path.resolve().is_relative_to(folder.resolve())
        there = path.is_file()
    except (OSError, RuntimeError, ValueError):
        return f"'{name}' is no usable file name"
    if not inside and not outside:
        way_out = "copy it there, or say art_outside_folder = true in [job]"
        return f"'{name}' lies outside the job's folder; {way_out}"
    return "" if there else f"there is no file '{name}'{_near_file(folder, name)}"


def _near_file(folder: Path, name: str) -> str:
    """The file of that folder that was probably meant."""
    beside = (folder / name).parent
    found = sorted(os.listdir(beside)) if beside.is_dir() else []
    return suggestion(name, [os.path.join(os.path.dirname(name), each) for each in found])
