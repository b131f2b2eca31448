"""The drawing of a setup: the blank as it lies on the table in front of the operator."""

import math
from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import GeometryCollection, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.documents.callouts import Crowd, merged, spread
from signplan.documents.ink import POINTS_PER_MM, Spot
from signplan.documents.measures import KEEP_OUT, Place, places
from signplan.documents.sheet import SMALLEST, Page, Pen, Space, width_of
from signplan.documents.views import next_of_blank, on_the_table
from signplan.documents.words import face_up, hold_words, place, seen, turn_words
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup
from signplan.sign.model import PanelPlan
from signplan.sign.register import Face, Panel, Placement
from signplan.sign.setups import Setup

LEFT, BELOW, ABOVE = 25.0, 27.0, 15.0
"""Room round the blank for ordinates, and for the arrow of the turn; mm on paper."""

BALLOON = 3.9
NAME = 13.0
"""Size of a panel's name, points."""

GRID = 36
"""Places across and along a panel that are tried for its name."""

SIZES = (11.0, 10.0, 9.0, SMALLEST)
STRAY = 9.0
"""An ordinate may stand this far from its true place before it is better made smaller, mm."""

PITCH = 0.45
"""Ordinates stand at least this far apart, mm for each point of their size."""


def pages(plan: Plan, planned: PlannedSetup, content: Space) -> Iterator[Page]:
    """One page."""
    del content
    setup = planned.setup
    number = [each.setup.id for each in plan.setups].index(setup.id) + 1
    title = f"SETUP {number} of {len(plan.setups)} · {face_up(setup)}"
    yield Page(
        title=title,
        subtitle=f"{seen(setup)}, as it lies on the table · drawing {setup.id}.dxf",
        draw=partial(_drawing, plan, planned),
        setup=setup.id,
        chapter=title,
    )


def _drawing(plan: Plan, planned: PlannedSetup, pen: Pen, space: Space) -> None:
    setup = planned.setup
    drawing = on_the_table(plan, setup)
    room = Space(space.x + LEFT, space.y + ABOVE, space.width - LEFT - 9, space.height - ABOVE - BELOW - 15)
    scale = drawing.scale_to(room.width, room.height)
    wide = drawing.width * scale
    room = Space(room.x + (room.width - wide) / 2, room.y, wide, drawing.height * scale)
    spot = pen.draw(drawing, room, scale=scale)
    found = places(plan, setup)
    _screws(plan, planned, pen, spot)
    _turn(plan, setup, pen, room)
    _datum(pen, room)
    _marked(setup, pen, room)
    _ordinates(plan, pen, spot, found, room)
    _balloons(plan, setup, pen, spot, room)
    _legend(
        plan,
        planned,
        pen,
        Space(space.x, room.bottom + BELOW, space.width, space.bottom - room.bottom - BELOW),
        room,
    )


def _datum(pen: Pen, blank: Space) -> None:
    """The corner that everything is measured from."""
    x, y = blank.x, blank.bottom
    pen.line((x, y), (x + 16, y), width=1.2)
    pen.line((x, y), (x, y - 16), width=1.2)
    pen.solid([(x + 16, y - 1.6), (x + 20, y), (x + 16, y + 1.6)])
    pen.solid([(x - 1.6, y - 16), (x, y - 20), (x + 1.6, y - 16)])
    pen.solid([(x, y), (x - 3.4, y), (x - 3.4, y + 3.4), (x, y + 3.4)])
    pen.text(x - 4.4, y + 4.2, "X0 Y0", size=10, bold=True, align="right")


def _marked(setup: Setup, pen: Pen, blank: Space) -> None:
    """A black corner where the mark of the first setup lies after the turn."""
    if setup.turn == "side":
        x, y = blank.right, blank.bottom
        pen.solid([(x, y), (x - 5, y), (x, y - 5)])
    elif setup.turn == "end":
        x, y = blank.x, blank.y
        pen.solid([(x, y), (x + 5, y), (x, y + 5)])


def _ordinates(plan: Plan, pen: Pen, spot: Spot, found: Sequence[Place], blank: Space) -> None:
    """Distances from the datum along the near and the left edge, each led to its true place."""
    units, k = plan.job.job.units, spot.scale / POINTS_PER_MM
    xs, labels, size = _laid_out(found, "x", blank.width / k, k, (1.0, blank.width + 8))
    for x, label in zip(xs, labels, strict=False):
        at, text = blank.x + x * k, blank.x + label
        pen.path([(at, blank.bottom), (at, blank.bottom + 3), (text, blank.bottom + 8)], width=0.15)
        pen.upright(text + size * 0.13, blank.bottom + 8.8, place(x, units), size=size)
    ys, labels, size = _laid_out(found, "y", blank.height / k, k, (5.5, blank.height + 4))
    if not (xs and ys):
        pen.text(blank.x - LEFT, blank.y + 4, "crowded: see", size=8.5)
        pen.text(blank.x - LEFT, blank.y + 8, "the numbers", size=8.5)
    for y, label in zip(ys, labels, strict=False):
        at, text = blank.bottom - y * k, blank.bottom - label
        pen.path([(blank.x, at), (blank.x - 3, at), (blank.x - 6.5, text)], width=0.15)
        pen.text(blank.x - 7.2, text + size * 0.13, place(y, units), size=size, align="right")


def _laid_out(
    found: Sequence[Place], axis: str, far_edge: float, scale: float, room: tuple[float, float]
) -> tuple[tuple[float, ...], tuple[float, ...], float]:
    """Distances along an axis, where their labels stand, and how large: as large as stays near its place.

    Where there are too many for the edge, the far sides of pockets are left to the table of numbers.
    """
    for far in (True, False):
        values = merged([*_values(found, axis, far=far), far_edge], 0.3 / scale)
        wanted = [value * scale for value in values]
        for size in SIZES:
            labels = spread(wanted, size * PITCH, *room)
            near = labels and max(abs(a - b) for a, b in zip(labels, wanted, strict=True)) < STRAY
            if labels and (near or size == SMALLEST):
                return values, labels, size
    return (), (), SMALLEST


def _values(found: Sequence[Place], axis: str, *, far: bool) -> list[float]:
    """The distances to show along an axis; with `far`, to the far side of every box too."""
    pairs = [(each, each.x if axis == "x" else each.y) for each in found if not each.tag.startswith("C")]
    return [value for each, pair in pairs for value in (pair if far or each.tag == each.panel else pair[:1])]


def _balloons(plan: Plan, setup: Setup, pen: Pen, spot: Spot, blank: Space) -> None:
    found = places(plan, setup)
    crowd = Crowd(bounds=(blank.x + 0.5, blank.y + 0.5, blank.right - 0.5, blank.bottom - 0.5))
    crowd.take((blank.x, blank.bottom - 21, blank.x + 3, blank.bottom))
    crowd.take((blank.x, blank.bottom - 3, blank.x + 21, blank.bottom))
    x0, y0 = pen.on_page(spot, 0, 0)
    on_paper = Placement(k := spot.scale / POINTS_PER_MM, 0, x0, 0, -k, y0)
    others = [(each, _corners(pen, spot, each)) for each in found if each.tag != each.panel]
    for each, corners in others:
        if each.name != "line" and each.name != "edge":
            crowd.avoid(corners)
    for panel, placement in setup.placements:
        carried, to_page = plan.sign.panel(panel), placement.then(on_paper)
        art = to_page.shape(_what_to_see(carried, setup.face))
        _panel_name(pen, crowd, to_page.shape(carried.outline), art, panel=panel, top_is_away=placement.e > 0)
    for each, _ in others:
        start = pen.on_page(spot, *each.at)
        at = crowd.free(*start, BALLOON)
        if at:
            _balloon(pen, start, at, each.tag)


def _corners(pen: Pen, spot: Spot, each: Place) -> tuple[float, float, float, float]:
    half = each.diameter.target / 2 if each.diameter else 0.0
    x0, y1 = pen.on_page(spot, each.x[0] - half, each.y[0] - half)
    x1, y0 = pen.on_page(spot, each.x[1] + half, each.y[1] + half)
    return x0 - 0.8, y0 - 0.8, x1 + 0.8, y1 + 0.8


def _balloon(pen: Pen, start: tuple[float, float], at: tuple[float, float], tag: str) -> None:
    away = math.dist(start, at)
    edge = tuple(a + (s - a) * BALLOON / away for s, a in zip(start, at, strict=True))
    pen.line(start, (edge[0], edge[1]), width=0.25)
    pen.circle(start, 0.5, width=0.1, fill=0)
    pen.circle(at, BALLOON, width=0.35, fill=1)
    size = 9.5 if len(tag) < 3 else SMALLEST
    pen.text(at[0], at[1] + size * 0.135, tag, size=size, bold=True, align="center")


def _what_to_see(panel: PanelPlan, face: Face) -> BaseGeometry:
    """What of a panel a label should not cover."""
    if face == "inner":
        return MultiPolygon([each for pocket in panel.pockets for each in pocket.as_cut.geoms])
    raised = [each.keep if each.treatment == "raise" else each.shape for each in panel.carvings]
    return GeometryCollection([each for each in raised if not each.is_empty])


def _panel_name(
    pen: Pen, crowd: Crowd, outline: Polygon, art: BaseGeometry, *, panel: Panel, top_is_away: bool
) -> None:
    """PANEL A, or only A where there is less room, and where its top is; shapes in page millimetres.

    Where there is no free place it stands over artwork: nobody may have to guess which panel it is.
    """
    for words in (f"PANEL {panel}", panel):
        wide = width_of(words, NAME, bold=True) + 17
        x, y, is_free = _room_for(wide, crowd, outline, art)
        if is_free:
            break
    room = Space(x - 1, y - 6, wide + 1, 8)
    pen.box(room, width=0, fill=1)
    pen.text(x, y, words, size=NAME, bold=True)
    _top_arrow(pen, x + wide - 11, y, away=top_is_away)
    pen.text(x + wide - 8.5, y, "top", size=9.5, bold=True)
    crowd.take((room.x, room.y, room.right, room.bottom))


def _room_for(wide: float, crowd: Crowd, outline: Polygon, art: BaseGeometry) -> tuple[float, float, bool]:
    """Where a name that wide may begin, as near to the middle as it can be, and whether that is free."""
    x, y = (
        axis.ravel()
        for axis in np.meshgrid(
            *(np.linspace(outline.bounds[k], outline.bounds[k + 2], GRID) for k in (0, 1))
        )
    )
    taken = np.array(crowd.taken)[:, :, None]
    meet = (taken[:, 0] < x + wide) & (x - 1 < taken[:, 2]) & (taken[:, 1] < y + 2) & (y - 6 < taken[:, 3])
    inside: NDArray[np.bool_] = ~np.any(meet, axis=0)
    rooms = shapely.box(x[inside] - 1, y[inside] - 6, x[inside] + wide, y[inside] + 2)
    board = outline.buffer(-1)
    shapely.prepare(board)
    inside[inside] = shapely.contains(board, rooms)
    rooms = shapely.box(x[inside] - 1, y[inside] - 6, x[inside] + wide, y[inside] + 2)
    free = inside.copy()
    free[inside] = ~_meet_any(rooms, art)
    allowed = next((each for each in (free, inside) if each.any()), np.ones_like(inside))
    away = np.hypot(x + wide / 2 - outline.centroid.x, y - outline.centroid.y)
    best = int(np.argmin(np.where(allowed, away, np.inf)))
    return float(x[best]), float(y[best]), bool(free[best])


def _meet_any(rooms: NDArray[np.object_], art: BaseGeometry) -> NDArray[np.bool_]:
    """Which of the rooms touch a part of the artwork."""
    parts = shapely.get_parts(shapely.get_parts(art))
    found = np.zeros(len(rooms), dtype=bool)
    found[shapely.STRtree(rooms).query(parts, predicate="intersects")[1]] = True
    return found


def _top_arrow(pen: Pen, x: float, y: float, *, away: bool) -> None:
    """An arrow toward the top of the sign; after turning end over end that is toward the operator."""
    tail, tip = (y, y - 5.4) if away else (y - 5.4, y)
    base = tip + (2.8 if away else -2.8)
    pen.line((x, tail), (x, base), width=0.8)
    pen.solid([(x - 1.6, base), (x, tip), (x + 1.6, base)])


def _screws(plan: Plan, planned: PlannedSetup, pen: Pen, spot: Spot) -> None:
    """Hold-down screws and the circle that no cutter's middle may enter."""
    if plan.shop.holding.kind == "vacuum":
        return
    widest = max((each.tool.diameter for each in planned.operations), default=0.0)
    for x, y in plan.shop.holding.screws:
        at = pen.on_page(spot, x, y)
        radius = (widest / 2 + KEEP_OUT) * spot.scale / POINTS_PER_MM
        pen.circle(at, radius, width=0.3, dash=(1.2, 0.8))
        for a, b in ((-1, -1), (-1, 1)):
            pen.line((at[0] + a, at[1] + b), (at[0] - a, at[1] - b), width=0.5)


def _turn(plan: Plan, setup: Setup, pen: Pen, blank: Space) -> None:
    """The axis that the blank is turned about, and an arrow over it."""
    after = next_of_blank(plan, setup)
    turn = after.setup.turn if after else setup.turn
    if not turn:
        return
    x, y = blank.x + blank.width / 2, blank.y + blank.height / 2
    long_dash = (5, 1, 1, 1)
    if turn == "side":
        pen.line((x, blank.y - 6), (x, blank.bottom + 3), width=0.3, dash=long_dash)
        reach, start = min(26.0, blank.width / 4), blank.y - 2
        arc = [(x - reach * math.cos(a), start - 8.5 * math.sin(a)) for a in _arc()]
    else:
        pen.line((blank.x - 3, y), (blank.right + 6, y), width=0.3, dash=long_dash)
        reach, start = min(26.0, blank.height / 4), blank.right + 1
        arc = [(start + 6 * math.sin(a), y - reach * math.cos(a)) for a in _arc()]
    pen.path(arc, width=1.0)
    _head(pen, arc[-3], arc[-1])
    said = (
        f"THEN, for setup {after.setup.id}: {turn_words(turn)}" if after else f"got here: {turn_words(turn)}"
    )
    pen.text(blank.x, blank.y - 2.5 if turn == "end" else blank.y - 12, said, size=9, bold=True)


def _arc() -> Iterator[float]:
    yield from (math.pi * k / 24 for k in range(1, 24))


def _head(pen: Pen, before: tuple[float, float], tip: tuple[float, float]) -> None:
    dx, dy = tip[0] - before[0], tip[1] - before[1]
    away = math.hypot(dx, dy)
    dx, dy = dx / away, dy / away
    base = tip[0] - 1.5 * dx, tip[1] - 1.5 * dy
    pen.solid(
        [
            (base[0] - 2 * dy, base[1] + 2 * dx),
            (tip[0] + 2.6 * dx, tip[1] + 2.6 * dy),
            (base[0] + 2 * dy, base[1] - 2 * dx),
        ]
    )


def _legend(plan: Plan, planned: PlannedSetup, pen: Pen, space: Space, blank: Space) -> None:
    setup = planned.setup
    middle, y = blank.x + blank.width / 2, min(space.y, space.bottom - 12)
    pen.solid([(middle - 22, y + 4), (middle - 19.5, y), (middle - 17, y + 4)])
    pen.text(middle - 14, y + 4.2, "you stand here", size=12, bold=True)
    if setup.face == "inner":
        pieces = ["D dowel hole", "1, 2, ... pocket, as cut; numbers to its walls"]
        if any(plan.sign.panel(panel).vents for panel in setup.panels):
            pieces.append("V vent groove; numbers to its ends")
    else:
        pieces = ["C carving", "dashed: pockets underneath, where vacuum does not hold"]
    if setup.pins:
        pieces.insert(0, "P index pin")
    if setup.turn:
        pieces.append("black corner: marked X0 Y0 before the turn")
    if plan.shop.holding.kind != "vacuum" and plan.shop.holding.screws:
        pieces.append("× screw, dashed circle: keep cutters out")
    _at_a_glance(planned, pen, Space(space.x, y + 9, space.width, space.bottom - y - 15))
    pen.fitted(space.x, space.bottom - 1, " · ".join(pieces), space.width, size=10, bold=False)


def _at_a_glance(planned: PlannedSetup, pen: Pen, space: Space) -> None:
    """Tools and hold in large letters, where the drawing leaves room for them."""
    if space.height < 16:
        return
    tools = " → ".join(dict.fromkeys(f"T{each.tool.number}" for each in planned.operations))
    rows = (
        ("tools in order of first use", tools),
        ("vacuum on for", hold_words(planned)),
        ("start by", planned.latest_start)
        if planned.latest_start
        else ("tool changes", str(planned.changes)),
    )
    for one, part in zip(rows, space.columns(1.2, 1.2, 0.6), strict=True):
        pen.box(Space(part.x, part.y, part.width, 15), width=0.4)
        pen.text(part.x + 2.5, part.y + 5, one[0], size=9)
        pen.fitted(part.x + 2.5, part.y + 12, one[1], part.width - 5, size=15)
