"""Glue-up: which face meets which, in what order, and what to write down."""

import math
from collections.abc import Iterator
from functools import partial

from signplan.documents.callouts import Crowd
from signplan.documents.ink import Spot
from signplan.documents.measures import own_place
from signplan.documents.sheet import Page, Pen, Space
from signplan.documents.traveller.parts import fields, heading, ticks, words
from signplan.documents.views import inner_face
from signplan.documents.words import exact, length, listing
from signplan.plan import Plan
from signplan.sign.dowels import upside_down_fits
from signplan.sign.gluing import SPREAD_G_M2, glue_area, glue_grams, most_clamp_pressure
from signplan.sign.laying import Laying, lay
from signplan.sign.register import Panel, view
from signplan.sign.vents import trapped

BALLOON = 3.9
MM2_PER_SQUARE_FOOT = 304.8**2
GRAMS_PER_OUNCE = 28.349523125
MPA_PER_PSI = 0.006894757


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """The picture, then the steps."""
    del content
    laying = lay(plan.sign)
    yield Page(
        title="Glue-up · which way up",
        subtitle="Both panels lie open like a book, inner faces up, tops away from you: close "
        f"{laying.lid} over onto {laying.bench}",
        draw=partial(_open_book, plan),
        chapter="Glue-up",
    )
    yield Page(
        title="Glue-up · steps",
        subtitle="Only after the dry fit is signed. The adhesive's label and safety data sheet come first",
        draw=partial(_steps, plan),
    )


def _open_book(plan: Plan, pen: Pen, space: Space) -> None:
    """The inner face of the panel on the bench, the other's beside it: dowels of the same number meet."""
    laying = lay(plan.sign)
    gap = 16.0
    wide = (space.width - gap) / 2
    for k, panel in enumerate((laying.bench, laying.lid)):
        area = Space(space.x + k * (wide + gap), space.y + 8, wide, space.height - 51)
        pen.text(
            area.x + wide / 2,
            space.y + 5,
            f"PANEL {panel}, inner face up",
            size=13,
            bold=True,
            align="center",
        )
        drawing = inner_face(plan, panel)
        scale = drawing.scale_to(area.width, area.height)
        area = Space(area.x, area.y + 5, area.width, drawing.height * scale)
        spot = pen.draw(drawing, area, scale=scale)
        _numbers(plan, panel, pen, spot, area)
        x = area.x + wide / 2
        pen.line((x, area.y - 1), (x, area.y - 4), width=1)
        pen.solid([(x - 2, area.y - 3.6), (x, area.y - 7), (x + 2, area.y - 3.6)])
        pen.text(x + 3, area.y - 2, "top", size=9)
        bottom = area.bottom
    _fold(pen, (space.x + space.width / 2, bottom + 3), wide / 2, laying)
    words(pen, Space(space.x, space.bottom - 17, space.width, 17), _book_words(plan), size=11)


def _fold(pen: Pen, at: tuple[float, float], reach: float, laying: Laying) -> None:
    """An arrow from the panel that is turned over to the one on the bench."""
    x, y = at
    arc = [(x + reach * math.cos(a), y + 9 * math.sin(a)) for a in (math.pi * k / 24 for k in range(2, 23))]
    pen.path(arc, width=1.0)
    tip = arc[-1]
    pen.solid([(tip[0] - 2.6, tip[1] + 0.6), (tip[0] - 0.4, tip[1] - 4.6), (tip[0] + 2.6, tip[1] + 1.0)])
    closing = f"close {laying.lid} over onto {laying.bench}"
    pen.text(x, y + 15, closing, size=12, bold=True, align="center")


def _book_words(plan: Plan) -> str:
    named = [(item.name, _pocket_words(plan, item.name)) for item in plan.sign.items]
    items = listing([f"{name} ({numbers})" if numbers else name for name, numbers in named])
    return f"{_closing_words(plan)} In pockets: {items or 'no hardware'}."


def _closing_words(plan: Plan) -> str:
    """Whether the dowels keep the panels from being closed upside down."""
    dowels = plan.sign.panels[0].dowels
    if not dowels:
        return "There are no dowels: line up the edges, tops together, before anything grips."
    places = [(each.x, each.y) for each in dowels]
    if upside_down_fits(places, plan.sign, dowels[0].diameter):
        return "D1 meets D1. CAREFUL: these dowels fit upside down too; go by the tops that were marked."
    return (
        "D1 meets D1, D2 meets D2. The dowels stand unevenly, so the panels close one way only: if they do "
        "not, look again, do not force."
    )


def _numbers(plan: Plan, panel: Panel, pen: Pen, spot: Spot, area: Space) -> None:
    """The number of each dowel and of each pocket, as on the setup's sheet, in a free place beside it."""
    carried, place = plan.sign.panel(panel), view(panel, "inner", plan.sign.width)
    holes = [(f"D{k}", (each.x, each.y)) for k, each in enumerate(carried.dowels, 1)]
    middles = [(str(k), own_place(each, carried)) for k, each in enumerate(carried.pockets, 1) if each.as_cut]
    found = [(tag, pen.on_page(spot, *place.point(*at))) for tag, at in holes + middles]
    crowd = Crowd(bounds=(area.x - 3, area.y - 0.5, area.right + 3, area.bottom + 0.5))
    for _, (x, y) in found:
        crowd.avoid((x - 2, y - 2, x + 2, y + 2))
    for tag, start in found:
        at = crowd.free(*start, BALLOON)
        if at:
            pen.line(start, at, width=0.2)
            pen.circle(start, 0.5, width=0.1, fill=0)
            pen.circle(at, BALLOON, width=0.35, fill=1)
            pen.text(at[0], at[1] + 1.3, tag, size=9.5, bold=True, align="center")


def _pocket_words(plan: Plan, name: str) -> str:
    """The numbers of an item's pockets: `1, 2` where they are the same in both panels, or `A 1; B 1, 2`."""
    told = [
        (panel.id, ", ".join(str(k) for k, p in enumerate(panel.pockets, 1) if p.hardware == name))
        for panel in plan.sign.panels
    ]
    if len({numbers for _, numbers in told}) == 1:
        return told[0][1]
    return "; ".join(f"{panel} {numbers}" for panel, numbers in told if numbers)


def _steps(plan: Plan, pen: Pen, space: Space) -> None:
    left, right = space.columns(1.35, 1, gap=10)
    left = heading(pen, left, "In this order")
    ticks(pen, left, tuple(_order(plan)), size=10.5)
    right = heading(pen, right, "Adhesive, for planning only")
    right = words(pen, right, _amount(plan), size=10.5)
    right = heading(pen, right, "Write down")
    right = fields(pen, right, FIELDS, step=8.6)
    fields(pen, right, ("Closed by", "Released by"), step=8.6)


FIELDS = (
    "Adhesive, lot, use by",
    "Temperature, humidity",
    "Spread at",
    "Closed at (open time)",
    "Clamps on at",
    "Clamps off at, by the label",
    "Ready to machine or hang at",
)


def _order(plan: Plan) -> Iterator[str]:
    units = plan.job.job.units
    dowels = plan.sign.panels[0].dowels
    yield "dry fit signed; both faces clean, dust-free, and at the temperature that the label asks for"
    yield "gloves, eyes, air: as the adhesive's safety data sheet says"
    laying = lay(plan.sign)
    bench, lid = laying.bench, laying.lid
    yield f"panel {bench} on its outer face, on something soft and flat; top marked"
    for together in (each for each in (*laying.order, *laying.turned) if len(each) > 1):
        yield f"put together first, then handled as one: {listing(together)}"
    yield f"hardware clean and dry, laid straight down into {bench}, in this order: " + (
        ", then ".join(listing(each) + (" as one" if len(each) > 1 else "") for each in laying.order)
        or "none"
    )
    for name in (name for each in laying.turned for name in each):
        yield f"{name} into panel {lid}, and held there: {lid} is turned over with it"
    if dowels:
        size, depth = exact(dowels[0].diameter, units), length(dowels[0].depth, units)
        yield f"{len(dowels)} dowels, {size}, into {bench}; each hole is {depth} deep, in both panels"
    held = [item for item in plan.sign.items if item.held_by]
    for item in held:
        yield f"{item.name}: held by {item.held_by}; do that now"
    yield from _way_out(plan)
    yield "spread thin on one face, kept back from the edges and out of pockets and mouths"
    yield "water mist on the other face only if the label asks for it"
    yield f"panel {lid} down on the dowels, tops together; press from the middle outward"
    yield "clamp evenly between flat boards; wipe what comes out of the mouths before it foams"
    yield "turn nothing, hang nothing, machine nothing before the label says it is cured"


def _way_out(plan: Plan) -> Iterator[str]:
    """Where glue and air leave, and where they cannot."""
    vents = [vent for panel in plan.sign.panels for vent in panel.vents]
    if vents:
        several = len(vents) > 1
        grooves, outlets = ("grooves", "their outlets") if several else ("groove", "its outlet")
        many = f"{len(vents)} vent {grooves} in panel {vents[0].panel}"
        yield f"{many} clear of dust and kept free of adhesive; {outlets} sealed once it is cured"
    shut = listing([each.name for each in trapped(plan.sign)])
    if shut:
        yield f"no way out for adhesive and air: {shut}; keep it well back from there, close slowly"


def _amount(plan: Plan) -> str:
    inches, square = plan.job.job.units == "in", glue_area(plan.sign).area
    grams, most = glue_grams(square), most_clamp_pressure(plan.board.density)
    area = f"{square / MM2_PER_SQUARE_FOOT:.1f} ft²" if inches else f"{square * 1e-6:.2f} m²"
    amount = f"{grams:.0f} g" + (f" ({grams / GRAMS_PER_OUNCE:.1f} oz)" if inches else "")
    usual = "5 to 15 psi" if inches else "35 to 100 kPa"
    pressure = f"{most / MPA_PER_PSI:.0f} psi" if inches else f"{most * 1000:.0f} kPa"
    return (
        f"Board meets board on {area}. At {SPREAD_G_M2:.0f} g/m², a thin spread of one-part polyurethane, "
        f"that is {amount} on one face. Clamps: enough to close, no more; {usual} is usual, and this foam "
        f"is estimated to bear no more than {pressure} anywhere. "
        "The adhesive's label and the board's data sheet replace these figures."
    )
