"""Drawings of a plan: faces as read, inner faces, the cavity, and blanks as they lie on the table."""

from collections.abc import Iterator

from shapely import LineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from signplan.documents.drawing import Area, Disc, Drawing, Line, Mark, area, joined, lines, rectangle
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup
from signplan.sign.model import Bar, Carving, Item, PanelPlan, Solid
from signplan.sign.register import Panel, Placement, view
from signplan.sign.setups import Setup
from signplan.sign.terraces import terraces


def outer_face(plan: Plan, panel: Panel) -> Drawing:
    """An outer face as its reader sees it."""
    place = view(panel, "outer", plan.sign.width)
    return _face(plan, panel, joined(_carved(plan.sign.panel(panel), plan.sign.thickness, place)), place)


def inner_face(plan: Plan, panel: Panel) -> Drawing:
    """An inner face as the person who glues it sees it."""
    place = view(panel, "inner", plan.sign.width)
    return _face(plan, panel, joined(_recessed(plan.sign.panel(panel), plan.sign.thickness, place)), place)


def behind(plan: Plan, panel: Panel) -> Drawing:
    """The recesses behind an outer face where its reader has them: the inner face seen through the board."""
    place = view(panel, "outer", plan.sign.width)
    return _face(plan, panel, joined(_recessed(plan.sign.panel(panel), plan.sign.thickness, place)), place)


def cavity(plan: Plan, panel: Panel = "A") -> Drawing:
    """The sign as seen from a side, looking through its panel: both panels' pockets and the steel in them."""
    near, place = plan.sign.panel(panel), view(panel, "outer", plan.sign.width)
    far = next(each for each in plan.sign.panels if each.id != panel)
    marks = joined(
        _recessed(far, plan.sign.thickness, place),
        (
            mark
            for pocket in near.pockets
            for mark in area("beyond", place.shape(pocket.as_cut), label=pocket.id)
        ),
        (moved(mark, place) for item in plan.sign.items for mark in steel(item)),
    )
    face = _face(plan, far.id, marks, place)
    boxes = [
        face.box,
        *(place.shape(outline_of(part)).bounds for item in plan.sign.items for part in item.parts),
    ]
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return Drawing(marks=face.marks, box=(min(x0), min(y0), max(x1), max(y1)))


def _face(plan: Plan, panel: Panel, marks: tuple[Mark, ...], place: Placement) -> Drawing:
    outline = place.shape(plan.sign.panel(panel).outline)
    x0, y0, x1, y1 = outline.bounds
    return Drawing(
        marks=joined(area("board", outline), marks, area("outline", outline)),
        box=(min(0.0, x0), min(0.0, y0), max(plan.sign.width, x1), max(plan.sign.height, y1)),
    )


def on_the_table(plan: Plan, setup: Setup) -> Drawing:
    """A blank as the operator sees it: the face that is up, and dashed, the pockets under it."""
    wide, deep, thickness = setup.blank
    marks: list[Mark] = [rectangle("blank", (0, 0, wide, deep))]
    for panel, place in setup.placements:
        carried = plan.sign.panel(panel)
        marks += area("board", place.shape(carried.outline), label=f"panel {panel}")
        if setup.face == "inner":
            marks += _recessed(carried, thickness, place)
        else:
            marks += _carved(carried, thickness, place)
            for pocket in carried.pockets:
                marks += area("beyond", place.shape(pocket.as_cut), label=pocket.id)
        marks += area("outline", place.shape(carried.outline))
    marks += [Disc(role="pin", x=pin.x, y=pin.y, diameter=pin.diameter) for pin in setup.pins]
    return Drawing(marks=tuple(marks), box=(0, 0, wide, deep))


def _carved(panel: PanelPlan, thickness: float, place: Placement) -> Iterator[Mark]:
    for carving in panel.carvings:
        for mark in _carving(carving, thickness):
            yield moved(mark, place)


def _carving(carving: Carving, thickness: float) -> Iterator[Mark]:
    match carving.treatment:
        case "incise":
            yield from area("groove", carving.shape, label=carving.id)
        case "line":
            for line in carving.lines:
                yield from lines("line", line)
        case "bore":
            yield from area("hole", carving.shape, label=carving.id)
        case "edge":
            yield from area("edge", carving.shape, label=carving.id)
        case "relief":
            for step in terraces(carving):
                yield from area("ground", step.shape, shade=step.depth / thickness, label=carving.id)
        case _:
            yield from area("ground", carving.shape, shade=carving.depth / thickness, label=carving.id)


def _recessed(panel: PanelPlan, thickness: float, place: Placement) -> Iterator[Mark]:
    for pocket in sorted(panel.pockets, key=lambda each: each.depth):
        shape = place.shape(pocket.as_cut)
        yield from area("pocket", shape, shade=pocket.depth / thickness, label=pocket.id)
        for line in pocket.channel.lines if pocket.channel else ():
            yield Line(role="axis", points=tuple(place.point(x, y) for x, y in line.coords))
    for vent in panel.vents:
        shade = vent.depth / thickness
        yield from area("pocket", place.shape(vent.shape), shade=shade, label=f"vent of {vent.recess}")
    for number, dowel in enumerate(panel.dowels, 1):
        x, y = place.point(dowel.x, dowel.y)
        yield Disc(role="dowel", x=x, y=y, diameter=dowel.diameter, label=f"dowel {number}")


def steel(item: Item) -> Iterator[Mark]:
    """An item's parts as seen from side A, at their widest, and the axes of its bars."""
    for part in item.parts:
        yield from area("steel", outline_of(part), label=item.name)
        if isinstance(part, Bar):
            yield Line(role="axis", points=(part.start, part.end))


def outline_of(part: Solid) -> BaseGeometry:
    """A part as seen from side A."""
    if isinstance(part, Bar):
        return LineString([part.start, part.end]).buffer(part.width / 2, cap_style="flat")
    return part.outline


def moved(mark: Mark, place: Placement) -> Mark:
    """A mark in another frame."""
    match mark:
        case Area():
            shape = MultiPolygon(place.shape(mark.shape))
            return Area(role=mark.role, shape=shape, shade=mark.shade, label=mark.label)
        case Line():
            return Line(role=mark.role, points=tuple(place.point(x, y) for x, y in mark.points))
    x, y = place.point(mark.x, mark.y)
    return Disc(role=mark.role, x=x, y=y, diameter=mark.diameter, label=mark.label)


def next_of_blank(plan: Plan, setup: Setup) -> PlannedSetup | None:
    """The setup that this blank goes to next, if any."""
    ids = [each.setup.id for each in plan.setups]
    later = plan.setups[ids.index(setup.id) + 1 :]
    return next((each for each in later if each.setup.blank_id == setup.blank_id), None)
