"""Hardware fit: every item in its cavity, in plan and in section, the gauges, and the dry fit."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import repeat

from reportlab.platypus import Table
from shapely import LineString
from shapely import box as rectangle_shape

from signplan.documents.callouts import spread
from signplan.documents.drawing import Box, Drawing, Line, Mark, area, joined
from signplan.documents.ink import Spot
from signplan.documents.measures import Gauge, gauges
from signplan.documents.sections import Section, sections
from signplan.documents.sheet import SMALLEST, Page, Pen, Space
from signplan.documents.tables import Cell, Column, Tick, paged, table
from signplan.documents.traveller.parts import fields, heading, ticks, words
from signplan.documents.views import outline_of, steel
from signplan.documents.words import exact, length, letters, place, room
from signplan.plan import Plan
from signplan.sign.assemble import ItemFit, is_loose
from signplan.sign.model import Item
from signplan.sign.register import PANELS

AROUND = 30.0
"""Board shown round an item in plan, mm."""

FAR = 1000.0


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """A page an item (more where it has many sections), then gauges and the dry fit."""
    first, every = True, sections(plan)
    for item in plan.sign.items:
        found = every[item.key]
        many = 2 if _is_wide(_window(plan, item)) else 3
        for start in range(0, max(1, len(found)), many):
            yield _item_page(plan, item, found[start : start + many], start, first=first)
            first = False
    yield from _gauges(plan, content)


def _window(plan: Plan, item: Item) -> Box:
    """What the plan view of an item shows: its pockets, or itself where it has none, and board round it."""
    pockets = (pocket for panel in plan.sign.panels for pocket in panel.pockets)
    own = [each for each in pockets if each.hardware == item.name and each.as_cut]
    boxes = [p.as_cut.bounds for p in own] or [part.section(part.z).bounds for part in item.parts]
    return (
        min(each[0] for each in boxes) - AROUND,
        min(each[1] for each in boxes) - AROUND,
        max(each[2] for each in boxes) + AROUND,
        max(each[3] for each in boxes) + AROUND,
    )


def _is_wide(window: Box) -> bool:
    return window[2] - window[0] > 1.6 * (window[3] - window[1])


def _item_page(plan: Plan, item: Item, found: Sequence[Section], start: int, *, first: bool) -> Page:
    fit = next((each for each in plan.fits if each.name == item.name), None)
    return Page(
        title=f"Hardware fit · {item.name}",
        subtitle=_fit_words(plan, item, fit),
        draw=partial(_item, plan, item, found, start),
        chapter="Hardware fit" if first else "",
    )


def _item(plan: Plan, item: Item, found: Sequence[Section], start: int, pen: Pen, space: Space) -> None:
    """The plan view beside the sections, or above them if it is a wide one."""
    if _is_wide(_window(plan, item)):
        _plan_view(plan, item, found, start, pen, Space(space.x, space.y, space.width, space.height * 0.42))
        places = space.below(space.height * 0.44).columns(1, 1)
    else:
        left, right = space.columns(82, 165)
        _plan_view(plan, item, found, start, pen, left)
        high = right.height / max(1, len(found))
        places = tuple(Space(right.x, right.y + k * high, right.width, high) for k in range(len(found)))
    for k, (each, place_of) in enumerate(zip(found, places, strict=False)):
        _section(plan, each, letters(start + k), pen, place_of)


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
    loose = f"; LOOSE: {room(fit.toward, units)} free toward the glue plane" if is_loose(item, fit) else ""
    rooms = f"least room {room(fit.room, units)}, at worst registration {room(fit.room_worst, units)}"
    return f"{rooms}; {kept}{loose}"


def _plan_view(plan: Plan, item: Item, found: Sequence[Section], start: int, pen: Pen, space: Space) -> None:
    """The item in its cavity, seen from side A, with the lines of the sections and the tightest place."""
    space = heading(pen, space, "In plan, seen from side A")
    window = _window(plan, item)
    drawing = Drawing(marks=_in_plan(plan, item, found, window), box=window)
    inner = Space(space.x + 7, space.y + 4, space.width - 14, space.height - 16)
    scale = min(1.0, drawing.scale_to(inner.width, inner.height))
    inner = Space(inner.x, inner.y, inner.width, drawing.height * scale)
    spot = pen.draw(drawing, inner, scale=scale)
    _letters(found, start, window, pen, spot)
    fit = next((each for each in plan.fits if each.name == item.name), None)
    said = _scale_words(scale)
    if fit:
        x, y = pen.on_page(spot, fit.spot[0], fit.spot[1])
        pen.circle((x, y), 2.6, width=0.5)
        said += " · ring: the least room"
    words(pen, space.below(inner.height + 9), said, size=9)


def _in_plan(plan: Plan, item: Item, found: Sequence[Section], window: Box) -> tuple[Mark, ...]:
    inside, thickness = rectangle_shape(*window), plan.sign.thickness
    pockets = (pocket for panel in plan.sign.panels for pocket in panel.pockets)
    own = [each for each in pockets if each.hardware == item.name and each.as_cut]
    others = [each for each in plan.sign.items if each.name != item.name]
    return joined(
        area("board", plan.sign.outline & inside),
        *(
            area("pocket", pocket.as_cut & inside, shade=pocket.depth / thickness)
            for pocket in sorted(own, key=lambda p: (p.panel != "B", p.depth))
        ),
        *(area("beyond", outline_of(part) & inside) for each in others for part in each.parts),
        steel(item),
        area("outline", plan.sign.outline & inside),
        (Line(role="axis", points=_clipped(each.cut, window)) for each in found),
    )


def _letters(found: Sequence[Section], start: int, window: Box, pen: Pen, spot: Spot) -> None:
    """The letter of each section at both ends of its line, apart where the lines are close."""
    named = [
        (letters(start + k), sorted(pen.on_page(spot, *end) for end in _clipped(each.cut, window)))
        for k, each in enumerate(found)
    ]
    across = [each for each in named if _lies_across(each[1])]
    for end, beside in ((0, -3.4), (-1, 3.4)):
        rows = sorted((ends[end][1], ends[end][0], letter) for letter, ends in across)
        for (_, x, letter), y in zip(rows, spread([row[0] for row in rows], 4.6, 0, FAR) or (), strict=True):
            pen.text(x + beside, y + 1.4, letter, size=11, bold=True, align="center")
    upright = [
        (letter, sorted(ends, key=lambda at: at[1])) for letter, ends in named if (letter, ends) not in across
    ]
    for end, below in ((0, -1.4), (-1, 5.2)):
        columns = sorted((*ends[end], letter) for letter, ends in upright)
        for (_, y, letter), x in zip(
            columns, spread([c[0] for c in columns], 4.6, 0, FAR) or (), strict=True
        ):
            pen.text(x, y + below, letter, size=11, bold=True, align="center")


def _lies_across(ends: Sequence[tuple[float, float]]) -> bool:
    return abs(ends[0][0] - ends[-1][0]) >= abs(ends[0][1] - ends[-1][1])


def _scale_words(scale: float) -> str:
    return (
        "true size"
        if abs(scale - 1) < 1e-9
        else (f"scale 1 : {1 / scale:.1f}" if scale < 1 else f"scale {scale:.1f} : 1")
    )


def _clipped(
    cut: tuple[tuple[float, float], tuple[float, float]], box: Box
) -> tuple[tuple[float, float], ...]:
    """The line of a section as far as the window shows it."""
    inside = LineString(cut).intersection(rectangle_shape(*box))
    return tuple((x, y) for x, y in inside.coords) if not inside.is_empty else cut


def _section(plan: Plan, each: Section, letter: str, pen: Pen, space: Space) -> None:
    inner = Space(space.x + 22, space.y + 10.5, space.width - 22 - 56, space.height - 13.5)
    scale = min(1.5, each.drawing.scale_to(inner.width, inner.height))
    space = heading(pen, space, f"Section {letter} – {letter} · {each.part} · {_scale_words(scale)}", size=12)
    spot = pen.draw(
        each.drawing, Space(inner.x, inner.y, inner.width, each.drawing.height * scale), scale=scale
    )
    left_x, top = pen.on_page(spot, each.drawing.box[0], each.drawing.box[3])
    right_x, bottom = pen.on_page(spot, each.drawing.box[2], each.drawing.box[1])
    middle = pen.on_page(spot, 0, 0)[1]
    pen.text(left_x - 1, (top + middle) / 2 + 2, "A", size=14, bold=True, align="right")
    pen.text(left_x - 1, (bottom + middle) / 2 + 2, "B", size=14, bold=True, align="right")
    _gaps(plan, each, pen, spot, space, right_x)
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
    Column("channel for", 52),
    Column("steel", 34, "right"),
    Column("cut, at glue plane", 34, "right"),
    Column("GO: must enter", 36, "right", bold=True),
    Column("NO-GO: must not", 36, "right", bold=True),
    Column("A", 13, "center"),
    Column("B", 13, "center"),
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


def _gauge_part(plan: Plan, part: Table | None, last: bool, pen: Pen, space: Space) -> None:
    if part:
        space = space.below(pen.flow(part, space.x, space.y, space.width) + 5)
    if last:
        _dry_fit(plan, pen, space)


def _gauge_rows(plan: Plan, found: Sequence[Gauge]) -> Iterator[Sequence[Cell]]:
    units = plan.job.job.units
    for gauge in found:
        of = f"{gauge.hardware}, {gauge.part}"
        sizes = (exact(size, units) for size in (gauge.steel, gauge.target))
        yield (
            Tick(f"gauges of {of} at hand"),
            gauge.hardware,
            gauge.part,
            *sizes,
            place(gauge.go, units),
            place(gauge.no_go, units),
            *(Tick(f"{of}: gauged in panel {p}") if p in gauge.panels else "–" for p in PANELS),
        )


def _loose(plan: Plan) -> Iterator[str]:
    """What must be put over steel that nothing holds toward the glue plane."""
    for item in plan.sign.items:
        fit = next((each for each in plan.fits if each.name == item.name), None)
        if fit and is_loose(item, fit):
            free = room(fit.toward, plan.job.job.units)
            yield f"{item.name}: something holds it toward the glue plane, where {free} is free"


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
            *_loose(plan),
            f"both panels close on the dowels with no gap; closed they measure {thick}",
            "shaken closed: nothing rattles loose, nothing slides out",
        ),
        size=10.5,
    )
    right = heading(pen, right, "Released for glue-up")
    fields(pen, right, ("Fits, signed", "Date and time", "If not: report no."), step=11)
