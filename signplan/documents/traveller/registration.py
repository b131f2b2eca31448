"""Registration: how far features may be out from each other, and what another way to locate would leave."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import repeat

from reportlab.platypus import Table

from signplan.documents.sheet import Page, Pen, Space
from signplan.documents.tables import Cell, Column, height_of, paged, table
from signplan.documents.traveller.parts import heading, listed, words
from signplan.documents.words import room
from signplan.plan import Plan

PAIRS = (
    Column("from, to", 54, bold=True),
    Column("at worst", 20, "right"),
    Column("likely", 20, "right"),
    Column("99 of 100", 20, "right", bold=True),
    Column("most of it from", 42),
    Column("the way from one to the other, each error with its share", 104),
)
SCHEMES = (
    Column("blanks, outline", 150, bold=True),
    Column("step at the seam, 99 of 100", 34, "right", bold=True),
    Column("at worst", 24, "right"),
    Column("carving to outline, 99 of 100", 36, "right"),
    Column("", 56),
)
SAID = (
    "At worst: the sum of the shares. Likely: the root of the sum of their squares. 99 of 100: from a "
    "sample, each error anywhere within its share. Steel lies anywhere in its play: push it where the sign "
    "should hang."
)
TRADE_OFF = (
    "Cut from the inner face, in the hold that also cuts pockets and dowel holes, the outline is as good as "
    "the dowels, and the carving takes the error of the turn. Cut from the outer face it is the other way "
    "round."
)


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """The pairs, on as many pages as they take; the schemes after them."""
    whole = table(PAIRS, list(_pairs(plan)), content.width, size=10)
    parts = list(paged(whole, content.width, repeat(content.height - 14)))
    for number, part in enumerate(parts):
        yield Page(
            title="Registration · how far out at most",
            subtitle="What locates what, from one feature to the other, and what that adds up to",
            draw=partial(_stacks, part, number == len(parts) - 1),
            chapter="" if number else "Registration",
        )
    yield Page(
        title="Registration · ways to locate",
        subtitle="Every way to turn the blanks and to cut the outline, the smallest step at the seam first",
        draw=partial(_schemes, plan),
    )


def _stacks(part: Table | None, last: bool, pen: Pen, space: Space) -> None:
    if part:
        pen.flow(part, space.x, space.y, space.width)
        space = space.below(height_of(part, space.width) + 4)
    if last:
        words(pen, space, SAID, size=10)


def _pairs(plan: Plan) -> Iterator[Sequence[Cell]]:
    units = plan.job.job.units
    for stack in plan.stacks:
        figures = (room(figure, units) for figure in (stack.worst, stack.rss, stack.sampled))
        way = " + ".join(f"{share.words} {room(share.allowance, units)}" for share in stack.path)
        yield stack.name, *figures, stack.largest, way


def _schemes(plan: Plan, pen: Pen, space: Space) -> None:
    rows = list(_scheme_rows(plan))
    space = listed(
        pen, heading(pen, space, "The step at the seam, and what it costs"), SCHEMES, rows, size=11
    )
    words(pen, space, TRADE_OFF, size=10)


def _scheme_rows(plan: Plan) -> Iterator[Sequence[str]]:
    units = plan.job.job.units
    for scheme in plan.schemes:
        carving = room(scheme.carving.sampled, units) if scheme.carving else "–"
        said = filter(None, ("THIS PLAN" if scheme.own else "", scheme.refused))
        yield (
            scheme.words,
            room(scheme.seam.sampled, units),
            room(scheme.seam.worst, units),
            carving,
            ": ".join(said),
        )
