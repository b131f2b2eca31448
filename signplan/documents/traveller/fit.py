"""Hardware fit: every item in its cavity, in plan and in section, the gauges, and the dry fit."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import repeat

from reportlab.platypus import Table
from shapely import LineString
from shapely import box as rectangle_shape

from signplan.documents.callouts import spread
from signplan.documents.drawing import Drawing, Line, area, joined
from signplan.documents.ink import Spot
from signplan.documents.measures import Gauge, gauges
from signplan.documents.sections import Section, sections
from signplan.documents.sheet import SMALLEST, Cell, Column, Page, Pen, Space, Tick, paged, table
from signplan.documents.traveller.parts import fields, heading, ticks, words
from signplan.documents.views import steel
from signplan.documents.words import exact, length, place, room
from signplan.plan import Plan
from signplan.sign.assemble import ItemFit
from signplan.sign.model import Item

AROUND = 30.0
"""Board shown round an item in plan, mm."""

LETTERS = "abcdefghij"


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """A page an item (two where it has many sections), then gauges and the dry fit."""
    first = True
    for item in plan.sign.items:
        found = sections(plan, item)
        for start in range(0, max(1, len(found)), 3):
            yield _item_page(plan, item, found[start : start + 3], start, first=first)
            first = False
    yield from _gauges(plan, content)


def _item_page(plan: Plan, item: Item, found: Sequence[Section], start: int, *, first: bool) -> Page:
    fit = next((each for each in plan.fits if each.name == item.name), None)
    return Page(
        title=f"Hardware fit · {item.name}",
        subtitle=_fit_words(plan, item, fit),
        draw=partial(_item, plan, item, found, start),
        chapter="Hardware fit" if first else "",
    )


def _item(plan: Plan, item: Item, found: Sequence[Section], start: int, pen: Pen, space: Space) -> None:
    left, right = space.columns(82, 165)
    _plan_view(plan, item, found, start, pen, left)
    high = right.height / max(1, len(found))
    for k, each in enumerate(found):
        letter = LETTERS[start + k].upper()
        _section(plan, each, letter, pen, Space(right.x, right.y + k * high, right.width, high))


def _fit_words(plan: Plan, item: Item, fit: ItemFit | None) -> str:
    units = plan.job.job.units
    if fit is None:
        return "not checked"
    kept = (
        f"held by {item.held_by}"
        if item.held_by
        else "captive"
        if fit.captive
        else "NOT CAPTIVE: it can leave"
    )
    return f"least room {room(fit.room, units)}, at worst registration {room(fit.room_worst, units)}; {kept}"


def _plan_view(plan: Plan, item: Item, found: Sequence[Section], start: int, pen: Pen, space: Space) -> None:
    """The item in its cavity, seen from side A, with the lines of the sections."""
    space = heading(pen, space, "In plan, seen from side A")
    own = [pocket for panel in plan.sign.panels for pocket in panel.pockets if pocket.hardware == item.name]
    boxes = [pocket.as_cut.bounds for pocket in own] or [part.section(part.z).bounds for part in item.parts]
    x0, y0 = min(b[0] for b in boxes) - AROUND, min(b[1] for b in boxes) - AROUND
    x1, y1 = max(b[2] for b in boxes) + AROUND, max(b[3] for b in boxes) + AROUND
    window = rectangle_shape(x0, y0, x1, y1)
    thickness = plan.sign.thickness
    marks = joined(
        area("board", plan.sign.outline & window),
        *(
            area("pocket", pocket.as_cut & window, shade=pocket.depth / thickness)
            for pocket in sorted(own, key=lambda p: (p.panel != "B", p.depth))
        ),
        steel(item),
        area("outline", plan.sign.outline & window),
        (Line(role="axis", points=_clipped(each.cut, (x0, y0, x1, y1))) for each in found),
    )
    drawing = Drawing(marks=marks, box=(x0, y0, x1, y1))
    inner = Space(space.x + 5, space.y + 4, space.width - 10, space.height - 22)
    scale = min(1.0, drawing.scale_to(inner.width, inner.height))
    inner = Space(inner.x, inner.y, inner.width, drawing.height * scale)
    spot = pen.draw(drawing, inner, scale=scale)
    for k, each in enumerate(found):
        letter = LETTERS[start + k].upper()
        for end in _clipped(each.cut, (x0, y0, x1, y1)):
            x, y = pen.on_page(spot, *end)
            left = x < space.x + space.width / 2
            pen.text(
                x + (-1 if left else 1),
                y + 1.4,
                letter,
                size=11,
                bold=True,
                align="right" if left else "left",
            )
    words(pen, space.below(inner.height + 7), _scale_words(scale), size=9)


def _scale_words(scale: float) -> str:
    return "true size" if abs(scale - 1) < 1e-9 else f"scale 1 : {1 / scale:.1f}"


def _clipped(
    cut: tuple[tuple[float, float], tuple[float, float]], box: tuple[float, float, float, float]
) -> tuple[tuple[float, float], ...]:
    """The line of a section as far as the window shows it."""
    inside = LineString(cut).intersection(rectangle_shape(*box))
    return tuple((x, y) for x, y in inside.coords) if not inside.is_empty else cut


def _section(plan: Plan, each: Section, letter: str, pen: Pen, space: Space) -> None:
    space = heading(pen, space, f"Section {letter} – {letter} · {each.part}", size=12)
    side = 30.0
    inner = Space(space.x + side, space.y + 1, space.width - side - 58, space.height - 4)
    scale = min(1.5, each.drawing.scale_to(inner.width, inner.height))
    spot = pen.draw(
        each.drawing, Space(inner.x, inner.y, inner.width, each.drawing.height * scale), scale=scale
    )
    left_x, top = pen.on_page(spot, each.drawing.box[0], each.drawing.box[3])
    right_x, bottom = pen.on_page(spot, each.drawing.box[2], each.drawing.box[1])
    middle = pen.on_page(spot, 0, 0)[1]
    pen.text(left_x - 1, (top + middle) / 2 + 2, "A", size=14, bold=True, align="right")
    pen.text(left_x - 1, (bottom + middle) / 2 + 2, "B", size=14, bold=True, align="right")
    _gaps(plan, each, pen, spot, space, right_x)
    pen.text(space.x, space.y + 4, _scale_words(scale), size=8.5)
    pen.text(left_x - 1, middle + 1, "glue plane", size=SMALLEST, align="right")


def _gaps(plan: Plan, each: Section, pen: Pen, spot: Spot, space: Space, right_x: float) -> None:
    """Room and floors, each led out to a line of text at the side."""
    units = plan.job.job.units
    order = sorted(each.gaps, key=lambda gap: -(gap.start[1] + gap.end[1]))
    wanted = [pen.on_page(spot, 0, (gap.start[1] + gap.end[1]) / 2)[1] for gap in order]
    low, high = space.y + 3, space.bottom - 8
    places = spread(wanted, 5.6, low, max(high, low + 5.6 * len(order))) or tuple(wanted)
    for gap, y in zip(order, places, strict=True):
        a, b = pen.on_page(spot, *gap.start), pen.on_page(spot, *gap.end)
        pen.line(a, b, width=0.9 if "room" in gap.name else 0.35)
        for end in (a, b):
            pen.circle(end, 0.45, width=0.1, fill=0)
        middle = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
        pen.path([middle, (right_x + 1, y), (right_x + 4, y)], width=0.2)
        said = f"{gap.name} {place(gap.size, units)}"
        pen.fitted(right_x + 5, y + 1.2, said, space.right - right_x - 5, size=9.5, bold="room" in gap.name)


GAUGES = (
    Column("", 10),
    Column("item", 44, bold=True),
    Column("channel for", 58),
    Column("steel", 30, "right"),
    Column("as drawn", 30, "right"),
    Column("GO: must enter", 36, "right", bold=True),
    Column("NO-GO: must not", 36, "right", bold=True),
    Column("A", 12),
    Column("B", 12),
)


def _gauges(plan: Plan, content: Space) -> Iterator[Page]:
    whole = table(GAUGES, list(_gauge_rows(plan, gauges(plan))), content.width, size=10, row_height=8.5)
    parts = tuple(paged(whole, content.width, repeat(content.height - 62)))
    for part in parts:
        yield Page(
            title="Hardware fit · gauges and dry fit",
            subtitle="Drill shanks or blocks: half of the play must be left, and no more than half added",
            draw=partial(_gauge_part, plan, part, part is parts[-1]),
        )


def _gauge_part(plan: Plan, part: Table, last: bool, pen: Pen, space: Space) -> None:
    space = space.below(pen.flow(part, space.x, space.y, space.width) + 5)
    if last:
        _dry_fit(plan, pen, space)


def _gauge_rows(plan: Plan, found: Sequence[Gauge]) -> Iterator[Sequence[Cell]]:
    units = plan.job.job.units
    for gauge in found:
        sizes = (exact(size, units) for size in (gauge.steel, gauge.target))
        yield (
            Tick(),
            gauge.hardware,
            gauge.part,
            *sizes,
            place(gauge.go, units),
            place(gauge.no_go, units),
            Tick(),
            Tick(),
        )


def _dry_fit(plan: Plan, pen: Pen, space: Space) -> None:
    left, right = space.columns(1.5, 1, gap=10)
    left = heading(pen, left, "Dry fit: all of it, before any glue is opened")
    thick = length(2 * plan.sign.thickness, plan.job.job.units)
    ticks(
        pen,
        left,
        (
            "the real steel measured, not only its name: it is no larger than listed",
            "every item lies in by its own weight, nothing forced",
            f"both panels close on the dowels with no gap; closed they measure {thick}",
            "shaken closed: nothing rattles loose, nothing slides out",
        ),
        size=10.5,
    )
    right = heading(pen, right, "Released for glue-up")
    fields(pen, right, ("Fits, signed", "Date and time", "If not: report no."), step=11)
