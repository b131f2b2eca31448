"""Templates at true size: panel A's inner face, in tiles to be taped together and laid on the board."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from shapely import MultiLineString, Point, box
from shapely.geometry.base import BaseGeometry

from signplan.documents.callouts import Box, meets
from signplan.documents.drawing import Drawing, Line, joined
from signplan.documents.ink import POINTS_PER_MM, Spot
from signplan.documents.measures import own_place
from signplan.documents.sheet import Page, Pen, Space, width_of
from signplan.documents.traveller.parts import heading, ticks, words
from signplan.documents.views import inner_face
from signplan.documents.words import count, letters
from signplan.geometry.shapes import lines_of
from signplan.plan import Plan
from signplan.sign.model import Bar
from signplan.sign.register import Placement, view

OVERLAP = 10.0
RULER = 13.0
"""Strip along the left and the lower edge of a tile, for the rulers."""


Name = tuple[str, tuple[float, float], float]
"""A number on the template, the place it names, and how far beside that it may not stand, mm."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Tile:
    """One sheet: its name, its place in the template, mm, and its row (from the bottom) and column."""

    name: str
    box: tuple[float, float, float, float]
    row: int
    column: int


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """How the tiles go together, then every tile that has something on it."""
    every, drawing, names = tiles(plan, content), _drawing(plan), _named(plan)
    yield Page(
        title="Templates at true size",
        subtitle=f"Panel A, inner face, seen from the glue side, {len(every)} tiles. Print at 100 %",
        draw=partial(_overview, drawing, every),
        chapter="Templates",
    )
    for tile in every:
        yield Page(
            title=f"Template tile {tile.name}",
            subtitle="Panel A, inner face, seen from the glue side, true size, if the rulers measure right",
            draw=partial(_tile, drawing, names, tile),
        )


def tiles(plan: Plan, content: Space) -> tuple[Tile, ...]:
    """A grid over the face, tiles with no line in them left out. Row A is the lowest."""
    wide, high = content.width - RULER, content.height - RULER
    step_x, step_y = wide - OVERLAP, high - OVERLAP
    drawn, margin = _lines(plan), 4.0
    x0, y0 = (value - margin for value in drawn.bounds[:2])
    across = max(1, math.ceil((drawn.bounds[2] + margin - x0 - OVERLAP) / step_x))
    upward = max(1, math.ceil((drawn.bounds[3] + margin - y0 - OVERLAP) / step_y))
    found = []
    for row in range(upward):
        for column in range(across):
            left, low = x0 + column * step_x, y0 + row * step_y
            place = (left, low, left + wide, low + high)
            if drawn.intersects(box(*place)):
                name = f"{letters(row)}{column + 1}"
                found.append(Tile(name=name, box=place, row=row, column=column))
    return tuple(found)


def _place(plan: Plan) -> Placement:
    return view("A", "inner", plan.sign.width)


def _lines(plan: Plan) -> BaseGeometry:
    """Every line that a template shows."""
    panel = plan.sign.panel("A")
    shapes = [panel.outline.boundary, *(pocket.as_cut.boundary for pocket in panel.pockets)]
    shapes += [Point(dowel.x, dowel.y).buffer(dowel.diameter / 2).boundary for dowel in panel.dowels]
    return _place(plan).shape(MultiLineString([line for shape in shapes for line in lines_of(shape)]))


def _drawing(plan: Plan) -> Drawing:
    face, place = inner_face(plan, "A"), _place(plan)
    axes = [
        Line(role="axis", points=(place.point(*part.start), place.point(*part.end)))
        for item in plan.sign.items
        for part in item.parts
        if isinstance(part, Bar)
    ]
    return Drawing(marks=joined(face.marks, axes), box=face.box)


def _overview(drawing: Drawing, every: tuple[Tile, ...], pen: Pen, space: Space) -> None:
    left, right = space.columns(1.6, 1, gap=10)
    x0 = min(tile.box[0] for tile in every)
    y0 = min(tile.box[1] for tile in every)
    x1 = max(tile.box[2] for tile in every)
    y1 = max(tile.box[3] for tile in every)
    whole = Drawing(marks=drawing.marks, box=(x0, y0, x1, y1))
    spot = pen.draw(whole, left, align="left")
    for tile in every:
        a, b = pen.on_page(spot, tile.box[0], tile.box[3]), pen.on_page(spot, tile.box[2], tile.box[1])
        pen.path([a, (b[0], a[1]), b, (a[0], b[1]), a], width=0.3, dash=(2, 1))
        x, y = pen.on_page(spot, (tile.box[0] + tile.box[2]) / 2, (tile.box[1] + tile.box[3]) / 2)
        pen.box(Space(x - 5, y - 4.5, 10, 6.5), width=0, fill=1)
        pen.text(x, y + 0.5, tile.name, size=13, bold=True, align="center")
    right = heading(pen, right, "How to use them")
    right = ticks(
        pen,
        right,
        (
            f"print at 100 % ('actual size'), no fitting to the page: the tiles are the last "
            f"{count(len(every), 'page')} of this file",
            "on every tile, both rulers agree with a steel rule within 0.5 mm in 100 mm (1/64 in in 4 in)",
            "tape tile to tile so that the slanting crosses in the corners fall on each other",
            "lay the template on panel A's inner face, or a part of it over one pocket",
        ),
    )
    words(
        pen,
        right,
        "Panel B's inner face is the mirror image: turn the template over, or hold it against the light. "
        "Paper grows and shrinks; the numbers on the setup sheets decide, not the paper.",
    )


def _tile(drawing: Drawing, names: tuple[Name, ...], tile: Tile, pen: Pen, space: Space) -> None:
    area = Space(space.x + RULER, space.y, space.width - RULER, space.height - RULER)
    corner = pen.point(area.x, area.bottom)
    spot = Spot(
        corner[0] - tile.box[0] * POINTS_PER_MM, corner[1] - tile.box[1] * POINTS_PER_MM, POINTS_PER_MM
    )
    pen.stamp(drawing, "template", spot, area)
    _marks(pen, area)
    _names(names, pen, spot, area)
    _rulers(pen, area)


def _marks(pen: Pen, area: Space) -> None:
    """Slanting crosses at the corners, in the middle of the overlap; those of dowel holes are upright."""
    half = OVERLAP / 2
    for x in (area.x + half, area.right - half):
        for y in (area.y + half, area.bottom - half):
            pen.line((x - 3, y - 3), (x + 3, y + 3), width=0.2)
            pen.line((x - 3, y + 3), (x + 3, y - 3), width=0.2)
    pen.box(area, width=0.15)


def _named(plan: Plan) -> tuple[Name, ...]:
    """The number of every dowel hole, and of every pocket at its roomiest place."""
    panel, place = plan.sign.panel("A"), _place(plan)
    named = [(f"D{k}", (each.x, each.y), each.diameter / 2) for k, each in enumerate(panel.dowels, 1)]
    named += [(str(k), own_place(each, panel), 0.0) for k, each in enumerate(panel.pockets, 1) if each.as_cut]
    return tuple((tag, place.point(*at), beside) for tag, at, beside in named)


def _names(names: tuple[Name, ...], pen: Pen, spot: Spot, area: Space) -> None:
    """Those of the numbers that stand on the tile."""
    taken: list[Box] = []
    for tag, at, beside in names:
        x, y = pen.on_page(spot, *at)
        x, y = x + beside + 3.5, y - 2.5
        room = (x - 1, y - 5, x + width_of(tag, 11, bold=True) + 1, y + 2)
        inside = area.x < room[0] and room[2] < area.right and area.y < room[1] and room[3] < area.bottom
        if inside and not any(meets(room, other) for other in taken):
            pen.text(x, y, tag, size=11, bold=True)
            taken.append(room)


def _rulers(pen: Pen, area: Space) -> None:
    """100 mm and 4 in, both ways."""
    y = area.bottom + 5.5
    _ruler(pen, (area.x + 2, y), (1, 0), 100.0, 10, "100 mm")
    _ruler(pen, (area.x + 127, y), (1, 0), 101.6, 4, "4 in")
    _ruler(pen, (area.x - 4.6, area.bottom - 2), (0, -1), 100.0, 10, "100 mm")
    _ruler(pen, (area.x - 10.8, area.bottom - 2), (0, -1), 101.6, 4, "4 in")


def _ruler(
    pen: Pen, at: tuple[float, float], way: tuple[int, int], length: float, parts: int, name: str
) -> None:
    end = at[0] + way[0] * length, at[1] + way[1] * length
    pen.line(at, end, width=0.2)
    for k in range(parts + 1):
        x, y = at[0] + way[0] * length * k / parts, at[1] + way[1] * length * k / parts
        reach = 2.4 if k in (0, parts) else 1.2
        pen.line((x - reach * way[1], y - reach * way[0]), (x, y), width=0.2)
    if way[0]:
        pen.text((at[0] + end[0]) / 2, at[1] + 4.2, name, size=8.5, align="center")
    else:
        pen.upright(at[0] + 3.6, (at[1] + end[1]) / 2 - 8, name, size=8.5)
