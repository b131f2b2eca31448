"""Blanks and stock: what to saw out of which board, and what to write down about it."""

from collections.abc import Iterator, Sequence
from functools import partial

from signplan.documents.drawing import Drawing, rectangle
from signplan.documents.sheet import Page, Pen, Space
from signplan.documents.tables import Column, table
from signplan.documents.traveller.parts import fields, heading, listed, ticks, words
from signplan.documents.words import count, exact, length, listing
from signplan.plan import Plan
from signplan.sign.setups import Setup


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
    left, right = space.columns(150, 100)
    left = heading(pen, left, "Cut list")
    left = listed(pen, left, CUTS, list(_cuts(plan)), size=11)
    left = words(pen, left, NOTE, size=10)
    left = heading(pen, left.below(2), "Measured, each blank before it goes on the table")
    _measured(plan, pen, left)
    right = heading(pen, right, "The board they come from")
    _sheet(plan, pen, right)


CUTS = (
    Column("blank", 18, bold=True),
    Column("for", 32),
    Column("long (X)", 40, "right", bold=True),
    Column("wide (Y)", 32, "right", bold=True),
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
        panels = "panel" if len(setup.panels) == 1 else "panels"
        yield (
            setup.blank_id,
            f"{panels} {listing(setup.panels)}",
            exact(wide, units),
            exact(deep, units),
            exact(thick, units),
        )


MEASURED = (
    Column("blank", 18, bold=True),
    Column("X0 Y0", 22),
    Column("far left", 22),
    Column("far right", 22),
    Column("near right", 22),
    Column("middle", 18),
    Column("within", 54, "right"),
)


def _measured(plan: Plan, pen: Pen, space: Space) -> None:
    units = plan.job.job.units
    within = f"{exact(plan.sign.thickness, units)} ± {length(plan.board.thickness_error, units)}"
    rows = [(setup.blank_id, "", "", "", "", "", within) for setup in blanks(plan)]
    space = space.below(
        pen.flow(table(MEASURED, rows, space.width, size=10, row_height=12), space.x, space.y, space.width)
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
    units = plan.job.job.units
    wide, deep = sorted(plan.board.sheet, reverse=True)
    space = words(
        pen, space, f"{plan.board.id}, sheet as bought {length(wide, units)} × {length(deep, units)}", size=11
    )
    box = (0.0, 0.0, wide, deep)
    sheet = Drawing(marks=(rectangle("board", box), rectangle("outline", box)), box=box)
    area = Space(space.x, space.y, space.width, min(55.0, space.height))
    scale = sheet.scale_to(area.width, area.height)
    pen.draw(sheet, area, align="left", scale=scale)
    space = space.below(sheet.height * scale + 5)
    space = words(pen, space, "and the blanks, at the same scale:", size=10)
    x, high = space.x, 0.0
    for setup in blanks(plan):
        wide, deep = setup.blank[0] * scale, setup.blank[1] * scale
        if x > space.x and x + wide > space.right:
            space, x, high = space.below(high + 3), space.x, 0.0
        _blank(pen, Space(x, space.y, wide, deep), setup, scale)
        x, high = x + wide + 4, max(high, deep)
    space = words(pen, space.below(high + 5), _yield_words(plan), size=11)
    ticks(pen, space.below(1), TICKS)


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


def _blank(pen: Pen, space: Space, setup: Setup, scale: float) -> None:
    box = (0.0, 0.0, setup.blank[0], setup.blank[1])
    pen.draw(Drawing(marks=(rectangle("blank", box),), box=box), space, scale=scale)
    x, y = space.x + space.width / 2, space.y + space.height / 2
    pen.text(x, y + 2, setup.blank_id, size=13, bold=True, align="center")
