"""Registration: how far features may be out from each other, and what another way to locate would leave."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import repeat

from reportlab.platypus import Table

from signplan.documents.sheet import Page, Pen, Space
from signplan.documents.tables import Cell, Column, height_of, paged, table
from signplan.documents.traveller.parts import heading, words
from signplan.documents.words import room
from signplan.plan import Plan
from signplan.sign.fits import Stack

PAIRS = (
    Column("from, to", 54, bold=True),
    Column("at worst", 20, "right"),
    Column("likely", 20, "right"),
    Column("99 of 100", 20, "right", bold=True),
    Column("most of it from", 42),
    Column("the way from one to the other, each error with its share", 104),
)
SCHEMES = (
    Column("", 52, bold=True),
    Column("blanks", 18),
    Column("turned", 48),
    Column("outline cut from", 40),
    Column("step at the seam, 99 of 100", 40, "right", bold=True),
    Column("step at worst", 32, "right"),
    Column("carving to outline, 99 of 100", 40, "right"),
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
SAID_HIGH = 14.0
"""What either of them takes, mm."""

ORDER = ("seam", "carving", "pockets", "hardware")


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """The pairs, on as many pages as they take; the schemes below them or on a page of their own."""
    whole = table(PAIRS, list(_pairs(plan)), content.width, size=10)
    parts = [part for part in paged(whole, content.width, repeat(content.height - SAID_HIGH)) if part]
    ways = table(SCHEMES, list(_scheme_rows(plan)), content.width, size=10.5)
    high = height_of(parts[-1], content.width) + height_of(ways, content.width)
    below = high + 2 * SAID_HIGH + 14 <= content.height
    for number, part in enumerate(parts, 1):
        last = number == len(parts)
        yield Page(
            title="Registration · how far out at most",
            subtitle="What locates what, from one feature to the other, and what that adds up to",
            draw=partial(_part, part, last, ways if last and below else None),
            chapter="Registration" if number == 1 else "",
        )
    if not below:
        yield Page(
            title="Registration · ways to locate",
            subtitle="The error of the turn goes into the seam or into the carving",
            draw=partial(_schemes, ways),
        )


def _part(part: Table, last: bool, ways: Table | None, pen: Pen, space: Space) -> None:
    space = space.below(pen.flow(part, space.x, space.y, space.width) + 4)
    if last:
        space = words(pen, space, SAID, size=10)
    if ways:
        _schemes(ways, pen, space.below(2))


def _pairs(plan: Plan) -> Iterator[Sequence[Cell]]:
    def rank(stack: Stack) -> int:
        return ORDER.index(stack.kind)

    units = plan.job.job.units
    for stack in sorted(plan.stacks, key=rank):
        figures = (room(figure, units) for figure in (stack.worst, stack.rss, stack.sampled))
        way = " + ".join(f"{share.words} {room(share.allowance, units)}" for share in stack.path)
        yield stack.name, *figures, stack.largest, way


def _schemes(ways: Table, pen: Pen, space: Space) -> None:
    """Every way to turn the blanks and to cut the outline, the smallest step at the seam first."""
    space = heading(pen, space, "Ways to turn the blanks and to cut the outline, the smallest step first")
    space = space.below(pen.flow(ways, space.x, space.y, space.width) + 3)
    words(pen, space, TRADE_OFF, size=10)


def _scheme_rows(plan: Plan) -> Iterator[Sequence[str]]:
    units = plan.job.job.units
    for scheme in plan.schemes:
        said = filter(None, ("THIS PLAN" if scheme.own else "", scheme.refused))
        yield (
            ": ".join(said),
            scheme.layout.blanks,
            scheme.turned,
            f"{scheme.layout.cutout} face",
            room(scheme.seam.sampled, units),
            room(scheme.seam.worst, units),
            room(scheme.carving.sampled, units) if scheme.carving else "–",
        )
