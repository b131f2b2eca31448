"""The numbers of a setup: every place on its drawing, with what to measure on the first cut."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import repeat

from reportlab.platypus import Table

from signplan.documents.measures import Place, Size, places
from signplan.documents.sheet import Page, Pen, Space
from signplan.documents.tables import Cell, Column, Entry, Tick, paged, table
from signplan.documents.words import exact, place
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup
from signplan.units import Units

COLUMNS = (
    Column("", 9),
    Column("no.", 17, bold=True),
    Column("what", 56),
    Column("X", 19, "right"),
    Column("to X", 19, "right"),
    Column("Y", 19, "right"),
    Column("to Y", 19, "right"),
    Column("deep", 31, "right", bold=True),
    Column("least", 17, "right"),
    Column("most", 17, "right"),
    Column("measured", 22, "right"),
)


def pages(plan: Plan, planned: PlannedSetup, content: Space, name: str) -> Iterator[Page]:
    """One table, on as many pages as it needs, with a line to sign under the last."""
    units = plan.job.job.units
    found = places(plan, planned.setup)
    rows = list(_rows(found, units)) + list(_widths(found, units))
    whole = table(COLUMNS, rows, content.width, size=10, row_height=7.6)
    parts = tuple(paged(whole, content.width, repeat(content.height - 17)))
    unit = "inches" if units == "in" else "millimetres"
    for part in parts:
        yield Page(
            title=f"{name} · numbers and first cuts",
            subtitle=f"In {unit}. X, Y from X0 Y0 to walls, depth from the top of the blank. "
            "Measure after the first cut of each; tick and write down",
            draw=partial(_part, part, part is parts[-1]),
            setup=planned.setup.id,
        )


def _part(part: Table | None, last: bool, pen: Pen, space: Space) -> None:
    if part:
        pen.flow(part, space.x, space.y, space.width)
    width = space.width / 3
    for k, label in enumerate(("Measured by", "Released to go on by", "Date, time") if last else ()):
        pen.field(space.x + k * width, space.bottom - 3, label, width - 6, size=10)


def _rows(found: Sequence[Place], units: Units) -> Iterator[Sequence[Cell]]:
    for each in found:
        tag = each.tag if each.panel in (None, each.tag) else f"{each.panel} · {each.tag}"
        x, y = (_from_to(low, high, units) for low, high in (each.x, each.y))
        yield (
            Tick(f"{tag} {each.name}, depth measured", 4.4) if each.depth else "",
            tag,
            _what(each, units),
            *x,
            *y,
            *_size(each.depth, units),
            Entry(f"{tag} {each.name}, measured depth") if each.depth else "",
        )


def _what(each: Place, units: Units) -> str:
    """A round place with its width; a carving on lowered ground with what its depth is made of."""
    if each.diameter:
        return f"{each.name} {_short(each.diameter.target, units)}"
    if each.ground and each.depth:
        below = _short(each.depth.target - each.ground, units)
        return f"{each.name}: {_short(each.ground, units)} ground + {below}"
    return each.name


def _short(mm: float, units: Units) -> str:
    return exact(mm, units).split(" (")[0]


def _from_to(low: float, high: float, units: Units) -> tuple[str, str]:
    return place(low, units), place(high, units) if high - low > 1e-6 else ""


def _fine(size: Size | None, units: Units) -> tuple[str, str, str]:
    """A fit: hundredths of a millimetre."""
    if size is None or units == "in":
        return _size(size, units)
    return tuple(f"{value:.2f}" for value in (size.target, size.target - size.less, size.target + size.more))  # type: ignore[return-value]


def _size(size: Size | None, units: Units) -> tuple[str, str, str]:
    if size is None:
        return "–", "", ""
    least, most = size.target - size.less, size.target + size.more
    return exact(size.target, units), place(least, units), place(most, units)


def _widths(found: Sequence[Place], units: Units) -> Iterator[Sequence[Cell]]:
    """The widths of round holes, one line for each kind."""
    seen = dict.fromkeys((each.name, each.diameter) for each in found if each.diameter)
    for name, size in seen:
        yield (
            Tick(f"{name}, width measured", 4.4),
            "",
            f"{name}: its width",
            *[""] * 4,
            *_fine(size, units),
            Entry(f"{name}, measured width"),
        )
