"""How much board is left: between a recess and the carved face, and between a recess and the edge.

The web is a distance in space. A recess has a flat floor and a carving is a few flat steps (see
`signplan.sign.terraces`), so between the two it is hypot(distance in plan, difference in height). A channel
is as far as the line that the middle of its ball follows, less the ball's radius. Where a carving slopes, its
steps may show up to `slack` less board than there is, and never more.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import LineString, MultiLineString, MultiPolygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import area_of, disc, lines_of
from signplan.sign.model import Carving, Channel, PanelPlan, Pocket, Sign
from signplan.sign.register import Panel
from signplan.sign.terraces import slack, terraces

BESIDE_MOUTH = 1.5
"""Within this many walls of a mouth a pocket is bound to be close to the edge, and is not judged."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Recess:
    """Something cut from the glue plane: one level of a pocket, a channel, or a dowel hole."""

    id: str
    panel: Panel
    shape: MultiPolygon
    depth: float
    channel: Channel | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Web:
    """The least board between a recess and the outer face, mm; negative where they meet by that much.

    `carving` is the id of the carving there, "" the plain face. There may be up to `bound` more than `board`.
    """

    recess: str
    panel: Panel
    board: float
    spot: tuple[float, float, float]
    carving: str = ""
    bound: float = 0.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Wall:
    """The least board between a pocket and the edge, its mouths apart, mm."""

    pocket: str
    panel: Panel
    board: float
    spot: tuple[float, float]


def pocket_webs(sign: Sign, *, within: float = math.inf) -> tuple[Web, ...]:
    """The web over every level of every pocket. Carving that leaves more than `within` is left out."""
    return tuple(
        web_over(_recess(pocket, panel), panel, sign.thickness, within=within)
        for panel in sign.panels
        for pocket in panel.pockets
    )


def dowel_webs(sign: Sign, *, within: float = math.inf) -> tuple[Web, ...]:
    """The web over every dowel hole of both panels, in the order of the dowels."""
    return tuple(
        web_over(
            Recess(
                id=f"{panel.id}/dowel-{k}",
                panel=panel.id,
                shape=area_of(disc(dowel.x, dowel.y, dowel.diameter)),
                depth=dowel.depth,
            ),
            panel,
            sign.thickness,
            within=within,
        )
        for panel in sign.panels
        for k, dowel in enumerate(panel.dowels, 1)
    )


def _recess(pocket: Pocket, panel: PanelPlan) -> Recess:
    inside = area_of(pocket.as_cut.intersection(panel.outline))
    return Recess(id=pocket.id, panel=panel.id, shape=inside, depth=pocket.depth, channel=pocket.channel)


def web_over(recess: Recess, panel: PanelPlan, thickness: float, *, within: float = math.inf) -> Web:
    """The least web over one recess. Carving that leaves more than `within` is not looked at."""
    up = 1.0 if recess.panel == "A" else -1.0
    middle = recess.shape.representative_point()
    plain = (middle.x, middle.y, up * recess.depth) if not middle.is_empty else (0.0, 0.0, 0.0)
    least = Web(recess=recess.id, panel=recess.panel, board=thickness - recess.depth, spot=plain)
    if recess.shape.is_empty:
        return least
    for carving in panel.carvings:
        for found in _webs(recess, carving, thickness, min(least.board, within)):
            if found.board < least.board:
                least = found
    return least


def _webs(recess: Recess, carving: Carving, thickness: float, than: float) -> Iterator[Web]:
    """The web to each step of a carving, if any part of it may be nearer than what was found."""
    reach = max(than, 0.0) + SAME
    close = _nearby(carving, recess.shape, reach)
    if close.shape.is_empty or _board(recess, close.shape, thickness - close.depth)[0] >= than:
        return
    bound = slack(carving)
    for step in terraces(close):
        board, point = _board(recess, step.shape, thickness - step.depth)
        z = recess.depth if recess.panel == "A" else -recess.depth
        yield Web(
            recess=recess.id,
            panel=recess.panel,
            board=board,
            spot=(*point, z),
            carving=carving.id,
            bound=bound,
        )


def _board(recess: Recess, shape: MultiPolygon, floor: float) -> tuple[float, tuple[float, float]]:
    """Board between a recess and a step whose floor is that deep from the glue plane, and where."""
    if recess.channel:
        return _board_beside(recess.channel, shape, floor)
    line = shapely.get_coordinates(shapely.shortest_line(recess.shape, shape))
    aside, over = math.dist(*line), floor - recess.depth
    point = float(line[0, 0]), float(line[0, 1])
    if over < 0:
        return (aside if aside > SAME else over), point
    return math.hypot(aside, over), point


def _board_beside(channel: Channel, shape: MultiPolygon, floor: float) -> tuple[float, tuple[float, float]]:
    """The same beside a channel: from its round wall, or from its edge at the glue plane if that is near."""
    line = shapely.get_coordinates(shapely.shortest_line(MultiLineString(channel.lines), shape))
    aside, over = math.dist(*line), max(0.0, floor - channel.middle)
    far, point = math.hypot(aside, over), (float(line[0, 0]), float(line[0, 1]))
    if channel.middle + channel.radius * over / max(far, SAME) >= 0:
        return far - channel.radius, point
    return math.hypot(max(0.0, aside - channel.half_width(0.0)), floor), point


def _nearby(carving: Carving, shape: MultiPolygon, reach: float) -> Carving:
    """The part of a carving within reach, with so much round it that its slopes there stay as they are."""
    x0, y0, x1, y1 = shape.bounds
    bounds = np.array([x0 - reach, y0 - reach, x1 + reach, y1 + reach])
    around = carving.shape.bounds
    if carving.shape.is_empty or not shapely.box(*bounds).intersects(shapely.box(*around)):
        return replace(carving, shape=MultiPolygon())
    slope = carving.depth * (math.tan(carving.cutter.half_angle) if carving.cutter else 1.0) + 1.0
    wide = bounds + slope * np.array([-1, -1, 1, 1])
    return replace(
        carving,
        shape=area_of(shapely.clip_by_rect(carving.shape, *wide)),
        lines=tuple(piece for line in carving.lines for piece in lines_of(shapely.clip_by_rect(line, *wide))),
    )


def walls(sign: Sign) -> tuple[Wall, ...]:
    """The wall beside every pocket of both panels."""
    return tuple(_wall(pocket, panel, sign.wall) for panel in sign.panels for pocket in panel.pockets)


def _wall(pocket: Pocket, panel: PanelPlan, wanted: float) -> Wall:
    edge = panel.outline.boundary
    side: BaseGeometry = pocket.as_cut.boundary
    if pocket.as_cut.is_empty:
        return Wall(pocket=pocket.id, panel=panel.id, board=math.inf, spot=(0.0, 0.0))
    if pocket.mouth:
        mouth = edge.intersection(pocket.as_cut)
        inside = side.intersection(panel.outline)
        side = inside.difference(mouth.buffer(BESIDE_MOUTH * wanted))
    elif not panel.outline.covers(pocket.as_cut):
        point = edge.intersection(pocket.as_cut).representative_point()
        return Wall(pocket=pocket.id, panel=panel.id, board=0.0, spot=(point.x, point.y))
    line: LineString = shapely.shortest_line(side, edge)
    if line is None or line.is_empty:
        return Wall(pocket=pocket.id, panel=panel.id, board=math.inf, spot=(0.0, 0.0))
    x, y = line.coords[0]
    return Wall(pocket=pocket.id, panel=panel.id, board=line.length, spot=(x, y))
