"""Blanks and stock: what to saw out of which board, and what to write down about it."""

from collections.abc import Iterator, Sequence
from functools import partial

from signplan.cost.sawing import Piece, Sawn, sawn
from signplan.documents.sheet import Page, Pen, Space, width_of
from signplan.documents.tables import Cell, Column, Entry, table
from signplan.documents.traveller.parts import fields, heading, listed, ticks, words
from signplan.documents.words import count, exact, length, listing
from signplan.plan import Plan
from signplan.sign.setups import Setup
from signplan.units import Units

SIZE = 9.0
"""Of the dimensions in a sheet, points."""

NAME = 13.0


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """One page."""
    del content
    yield Page(
        title="Blanks and stock",
        subtitle=f"{plan.board.id}, panel thickness {exact(plan.sign.thickness, plan.job.job.units)}",
        draw=partial(_stock, plan),
        chapter="Blanks and stock",
    )


def blanks(plan: Plan) -> tuple[Setup, ...]:
    """The first setup of every blank."""
    return tuple(each.setup for each in plan.setups if not each.setup.turn)


def _stock(plan: Plan, pen: Pen, space: Space) -> None:
    left, right = space.columns(143, 112, gap=8)
    left = heading(pen, left, "Cut list")
    left = listed(pen, left, CUTS, list(_cuts(plan)), size=10.5)
    left = words(pen, left, NOTE, size=10)
    left = heading(pen, left.below(2), "Measured, each blank before it goes on the table")
    _measured(plan, pen, left)
    right = heading(pen, right, "Out of the sheet, with the saw's cut between")
    _sheet(plan, pen, right)


CUTS = (
    Column("blank", 14, bold=True),
    Column("panels", 19),
    Column("long (X)", 41, "right", bold=True),
    Column("wide (Y)", 39, "right", bold=True),
    Column("thick", 32, "right"),
)

NOTE = (
    "Saw the blanks square and no smaller than this. One long edge and the corner at X0 Y0 are the "
    "reference: mark that corner, and the top of each panel, on the board before anything is cut."
)


def _cuts(plan: Plan) -> Iterator[Sequence[str]]:
    units = plan.job.job.units
    for setup in blanks(plan):
        wide, deep, thick = setup.blank
        yield (
            setup.blank_id,
            listing(setup.panels),
            exact(wide, units),
            exact(deep, units),
            exact(thick, units),
        )


FIVE = ("X0 Y0", "far left", "far right", "near right", "middle")
"""Where a blank's thickness is measured."""

MEASURED = (
    Column("blank", 17, bold=True),
    *(Column(each, 21) for each in FIVE),
    Column("within", 58, "right"),
)


def _measured(plan: Plan, pen: Pen, space: Space) -> None:
    units = plan.job.job.units
    within = f"{exact(plan.sign.thickness, units)} ± {length(plan.board.thickness_error, units)}"
    rows: list[Sequence[Cell]] = [
        (each.blank_id, *(Entry(f"blank {each.blank_id}, {at}", 9) for at in FIVE), within)
        for each in blanks(plan)
    ]
    space = space.below(
        pen.flow(table(MEASURED, rows, space.width, size=10, row_height=13), space.x, space.y, space.width)
        + 3
    )
    space = words(
        pen,
        space,
        "Thickness in five places. A blank that is out, bowed or damaged stops here: tell whoever released "
        "the job.",
        size=10,
    )
    left, right = space.columns(1, 1, gap=10)
    fields(pen, left, ("Board maker, lot", "Density on the label"), step=11)
    fields(pen, right, ("Measured by", "Date"), step=11)


def _sheet(plan: Plan, pen: Pen, space: Space) -> None:
    """Every sheet with the blanks in it, or a blank that no sheet holds."""
    units, (wide, deep) = plan.job.job.units, sorted(plan.board.sheet, reverse=True)
    said = f"{plan.board.id}, sheet as bought {length(wide, units)} × {length(deep, units)}"
    space = words(pen, space, said, size=11)
    ids, size = [setup.blank_id for setup in blanks(plan)], blanks(plan)[0].blank[:2]
    sheets = sawn(size, len(ids), plan.board.sheet)
    room = (space.height - 75) / max(1, len(sheets)) - 5
    scale = min(space.width / wide, room / deep)
    rows: list[tuple[str, str, str]] = []
    for each in sheets:
        _cut_up(plan, pen, Space(space.x, space.y + 1, wide * scale, deep * scale), each, ids, len(rows) + 1)
        ids, space = ids[len(each.blanks) :], space.below(deep * scale + 5)
        sizes = ((length(p.width, units), length(p.height, units)) for p in each.left)
        rows += [(f"L{k}", *size) for k, size in enumerate(sizes, len(rows) + 1)]
    if rows:
        space = listed(pen, space, LEFT, rows, size=10)
    space = words(pen, space, _yield_words(plan), size=11)
    ticks(pen, space.below(1), TICKS)


LEFT = (Column("left over", 20, bold=True), Column("along", 40, "right"), Column("across", 40, "right"))


def _cut_up(plan: Plan, pen: Pen, sheet: Space, cut: Sawn, ids: Sequence[str], first: int) -> None:
    """A sheet with its blanks on grey, and what is left of it on white, numbered from `first` on."""
    units, scale = plan.job.job.units, sheet.width / max(plan.board.sheet)
    for piece, blank in zip(cut.blanks, ids, strict=False):
        place = _on_paper(piece, sheet, scale)
        pen.box(place, width=0.5, fill=0.85)
        _sized(pen, place, piece, units, name=blank)
    for number, piece in enumerate(cut.left, first):
        place = _on_paper(piece, sheet, scale)
        pen.box(place, width=0.25)
        _sized(pen, place, piece, units, name=f"L{number}")
    pen.box(sheet, width=0.7)


def _on_paper(piece: Piece, sheet: Space, scale: float) -> Space:
    high = piece.height * scale
    return Space(sheet.x + piece.x * scale, sheet.bottom - piece.y * scale - high, piece.width * scale, high)


def _sized(pen: Pen, place: Space, piece: Piece, units: Units, *, name: str) -> None:
    """The name of a piece, and its size along the lower and the left edge where there is room for it."""
    across, upward = length(piece.width, units), length(piece.height, units)
    middle, centre = place.x + place.width / 2, place.y + place.height / 2
    if width_of(name, NAME, bold=True) < place.width - 2 and place.height > 5:
        pen.text(middle, centre + 1.8, name, size=NAME, bold=True, align="center")
    if min(place.width, place.height) < 14:
        return
    if width_of(across, SIZE) < place.width - 8:
        pen.text(middle, place.bottom - 1.5, across, size=SIZE, align="center")
    if width_of(upward, SIZE) < place.height - 8:
        pen.upright(place.x + 4, centre - width_of(upward, SIZE) / 2, upward, size=SIZE)


def _yield_words(plan: Plan) -> str:
    """How many sheets the blanks take, and how much of them becomes sign."""
    board = plan.costing.board
    if not board.per_sheet:
        return "A blank is larger than the sheet: it has to be glued up first."
    sheets = f"{count(board.sheets, 'sheet')} for {count(board.blanks, 'blank')}"
    return f"{sheets}, {board.per_sheet} to a sheet; the panels are {board.share:.0%} of it."


TICKS = (
    "label read: right board, right density",
    "blanks sawn, edges square",
    "X0 Y0 corner and TOP of each panel marked",
)
