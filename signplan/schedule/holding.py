"""What holds the board down while it is cut: vacuum, the parts that come free, and where screws may stand.

Vacuum holds by the area that is really sealed. Recesses that lie face down hold nothing, and every cut that
goes through takes its own area away; so the hold is worked out operation by operation, in working order.
Forces are newtons, upper estimates; lengths mm, areas mm2. What deserves a finding is for the checks to say.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon, box

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import EMPTY, area_of, disc, grow, union
from signplan.job.shop import Board, Holding, Shop
from signplan.operations.model import CuttingOut, Drilling
from signplan.operations.practice import engagement
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.sign.model import Sign
from signplan.sign.register import STAY, Panel
from signplan.sign.setups import Setup
from signplan.timing.feeds import thinning
from signplan.toolpaths.model import Move
from signplan.units import PASCALS_PER_INCH_OF_MERCURY

SAFE = 3.0
"""Holding force that is wanted for each newton of cutting force; common practice."""

SCREW_CLEAR = 6.35
"""Board between a screw and the edge of any cutter, 1/4 in; common practice."""

SCREW_EDGE = 12.0
"""A screw stands at least this far inside the blank, or it splits out; common practice."""

SCREW_SPACING = 400.0
"""Screws are proposed until no good place is farther than this from one; common practice."""

OVER_HEAD = 2.0
"""A cutter that passes this far above the head of a screw is clear of it; common practice."""

DETAIL = 0.05
"""Shapes are told this coarsely where only their area counts."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Grip:
    """What one operation does to what holds its work.

    Attributes:
        piece: what would slide: "blank AB", or "panel A" once its cut-out has gone through.
        area: of that piece, sealed on the bed when the operation ends.
        down, side: force of the vacuum on it, and what of that friction turns against sliding.
        push: greatest force of the cutter along the table.
    """

    operation: str
    piece: str
    area: float
    down: float
    side: float
    push: float

    @property
    def factor(self) -> float:
        """Holding force over cutting force."""
        return self.side / self.push if self.push else math.inf


@dataclass(frozen=True, kw_only=True, slots=True)
class LoosePiece:
    """Something that a cut-out frees: a panel, or the waste inside a ring of its outline. `tabs` hold it."""

    operation: str
    name: str
    area: float
    tabs: int
    skin: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Obstacle:
    """A path that passes a screw too near: `room` from the cutter's edge to the screw, mm."""

    screw: tuple[float, float]
    operation: str
    room: float
    rapid: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Hold:
    """How one setup is held.

    Attributes:
        sealed: area on the bed when the vacuum comes on; `recessed`: what the face that is down has lost.
        grips: every operation, in working order.
        pieces: what comes free.
        obstacles: the nearest path to each screw that is too near.
        proposed: places for screws clear of every path, in the setup frame.
    """

    setup: str
    sealed: float
    recessed: float
    grips: tuple[Grip, ...]
    pieces: tuple[LoosePiece, ...]
    obstacles: tuple[Obstacle, ...] = ()
    proposed: tuple[tuple[float, float], ...] = ()

    @property
    def weakest(self) -> Grip:
        """The operation with the least holding force for its cutting force."""
        return min(self.grips, key=lambda grip: grip.factor)


def holds(setups: Sequence[PlannedSetup], sign: Sign, shop: Shop, board: Board) -> tuple[Hold, ...]:
    """How every setup is held, in working order."""
    return tuple(_hold(planned, sign, shop, board) for planned in setups)


def _hold(planned: PlannedSetup, sign: Sign, shop: Shop, board: Board) -> Hold:
    setup, holding = planned.setup, shop.holding
    recesses = union(_face_down(setup, sign))
    sealed = area_of(box(0, 0, *setup.blank[:2]) - recesses)
    grips = tuple(_grips(planned, sign, sealed, holding, board))
    screws = holding.kind != "vacuum" or min(grip.factor for grip in grips) < SAFE
    return Hold(
        setup=setup.id,
        sealed=sealed.area,
        recessed=setup.blank[0] * setup.blank[1] - sealed.area,
        grips=grips,
        pieces=tuple(_pieces(planned)),
        obstacles=tuple(obstacles(planned, holding)) if holding.kind != "vacuum" else (),
        proposed=good_places(planned, sign, holding.screw_head) if screws else (),
    )


# Vacuum


def vacuum_force(area: float, inches_of_mercury: float) -> float:
    """Force of a vacuum on a sealed area, N: area x pressure difference.

    >>> round(vacuum_force(24 * 36 * 25.4**2, 10) / 4.4482216, 1)     # pounds
    4243.6
    """
    return area * 1e-6 * inches_of_mercury * PASCALS_PER_INCH_OF_MERCURY


def side_hold(area: float, holding: Holding) -> float:
    """What friction holds against sliding, N; nothing without a vacuum."""
    if holding.kind == "screws":
        return 0.0
    return holding.friction * vacuum_force(area, holding.inches_of_mercury)


def leak(area: float, inches_of_mercury: float) -> float:
    """Air that an open hole of an area lets in, m3/s: 0.6 A sqrt(2 dp / rho), air of 1.2 kg/m3.

    The orifice formula, from memory; some 3 %. Why a kerf costs a small pump its vacuum.
    """
    return 0.6 * area * 1e-6 * math.sqrt(2 * inches_of_mercury * PASCALS_PER_INCH_OF_MERCURY / 1.2)


def peak_force(each: PlannedOperation, board: Board) -> float:
    """The most that a cutter pushes its work along the table, N; 0 for a drill, which pushes down.

    Specific cutting force x depth x thickest chip, for every tooth that can be in the cut at once. The
    specific force is an upper estimate of the shop file, so this is one too.
    """
    if each.tool.shape == "drill":
        return 0.0
    depth, width = engagement(each.operation, each.tool)
    chip = each.cutting.chip_load
    if width is not None:
        chip *= thinning(min(width, each.cutting.diameter), each.cutting.diameter)
    return board.cutting_force_n_mm2 * depth * chip * math.ceil(each.tool.flutes / 2)


def _face_down(setup: Setup, sign: Sign) -> Iterator[Polygon | MultiPolygon]:
    """What has been cut into the face that lies on the bed."""
    if not setup.turn:
        return
    for pin in setup.pins:
        yield disc(pin.x, pin.y, pin.diameter)
    for panel, placement in setup.placements:
        carried = sign.panel(panel)
        if setup.face == "outer":
            shapes = [pocket.as_cut for pocket in carried.pockets]
            yield from (placement.shape(disc(d.x, d.y, d.diameter)) for d in carried.dowels)
        else:
            shapes = [carving.shape for carving in carried.carvings]
        yield from (placement.shape(area_of(shape.simplify(DETAIL))) for shape in shapes)


def _grips(
    planned: PlannedSetup, sign: Sign, sealed: MultiPolygon, holding: Holding, board: Board
) -> Iterator[Grip]:
    setup = planned.setup
    outlines = {panel: place.shape(sign.panel(panel).outline) for panel, place in setup.placements}
    whole, free = sealed.area, dict[Panel, float]()  # area of the blank, and of every panel that is cut free
    for each in planned.operations:
        panel, opened = _panel(each), _opened(each, setup, sign)
        if not opened.is_empty:
            sealed = area_of(sealed - opened)
            if panel and each.operation.kind == "cutout":
                free[panel] = 0.0
            free = {loose: area_of(sealed & outlines[loose]).area for loose in free}
            whole = sealed.area - sum(free.values())
        area = free.get(panel, whole) if panel else whole
        yield Grip(
            operation=each.operation.id,
            piece=f"panel {panel}" if panel in free else f"blank {setup.blank_id}",
            area=area,
            down=0.0 if holding.kind == "screws" else vacuum_force(area, holding.inches_of_mercury),
            side=side_hold(area, holding),
            push=peak_force(each, board),
        )


def _panel(each: PlannedOperation) -> Panel | None:
    """The panel that an operation cuts; None for the blank's own index holes."""
    return each.operation.panel or None


def _opened(each: PlannedOperation, setup: Setup, sign: Sign) -> MultiPolygon:
    """What an operation cuts right through the board, in the setup frame."""
    work, thick = each.operation.work, setup.blank[2]
    panel = _panel(each)
    place = setup.from_view(panel, sign.width) if panel else STAY
    match work:
        case CuttingOut() if work.tabs:
            coarse = work.outline.simplify(DETAIL)
            return area_of(place.shape(grow(coarse.boundary, each.tool.diameter) - coarse))
        case Drilling() if work.depth >= thick:
            return union([place.shape(disc(x, y, work.diameter)) for x, y in work.points])
    return EMPTY


# Parts that come free


def _pieces(planned: PlannedSetup) -> Iterator[LoosePiece]:
    for each in planned.operations:
        work = each.operation.work
        if not isinstance(work, CuttingOut):
            continue
        room = 2 * (work.tab_width + each.tool.diameter)
        rings = [(f"panel {each.operation.panel}", Polygon(work.outline.exterior))]
        rings += [
            (f"the waste in hole {k} of panel {each.operation.panel}", Polygon(ring))
            for k, ring in enumerate(work.outline.interiors, 1)
        ]
        for name, shape in rings:
            yield LoosePiece(
                operation=each.operation.id,
                name=name,
                area=shape.area,
                tabs=min(work.tabs, int(shape.exterior.length // room)),
                skin=not work.tabs,
            )


# Screws


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class _Low:
    """The moves of one operation that come below a height: (n, 2, 2) seen from above, and of what kind."""

    operation: str
    radius: float
    lines: NDArray[np.float64]
    moves: NDArray[np.int8]

    def room(self, spot: tuple[float, float]) -> tuple[float, bool] | None:
        """From the cutter's edge to a spot, and whether on a rapid; None if it is enough for a screw."""
        place, reach = np.array(spot), self.radius + SCREW_CLEAR
        close = ((self.lines.min(axis=1) - reach < place) & (place < self.lines.max(axis=1) + reach)).all(
            axis=1
        )
        if not close.any():
            return None
        away = np.asarray(shapely.distance(shapely.linestrings(self.lines[close]), Point(spot)))
        nearest = int(away.argmin())
        if away[nearest] > reach - SAME:
            return None
        return float(away[nearest]) - self.radius, bool(self.moves[close][nearest] == Move.RAPID)

    def comes_near(self, spots: NDArray[np.float64]) -> NDArray[np.bool_]:
        """Which of the spots, (n, 2), are too near for a screw."""
        near = np.zeros(len(spots), dtype=bool)
        reach = self.radius + SCREW_CLEAR - SAME
        boxes = np.stack([self.lines.min(axis=1) - reach, self.lines.max(axis=1) + reach])
        columns, rows = np.unique(spots[:, 0]), np.unique(spots[:, 1])
        meets = [np.searchsorted(at, boxes[:, :, k]) for k, at in enumerate((columns, rows))]
        close = np.all([first != last for first, last in meets], axis=0)
        lines = shapely.linestrings(self.lines[close])
        near[
            shapely.STRtree(list(map(Point, spots))).query(lines, predicate="dwithin", distance=reach)[1]
        ] = True
        return near


def _below(each: PlannedOperation, top: float) -> _Low:
    """What of an operation comes below a height."""
    points = each.path.points
    below = np.minimum(points[:-1, 2], points[1:, 2]) < top
    lines = np.stack([points[:-1, :2], points[1:, :2]], axis=1)[below]
    return _Low(
        operation=each.operation.id,
        radius=each.tool.diameter / 2,
        lines=lines,
        moves=each.path.moves[below],
    )


def obstacles(planned: PlannedSetup, holding: Holding) -> Iterator[Obstacle]:
    """The nearest path to every screw of the shop, if it is too near."""
    top = holding.screw_head + OVER_HEAD
    low = [_below(each, top) for each in planned.operations] if holding.screws else []
    for screw in holding.screws:
        near = [
            Obstacle(screw=screw, operation=each.operation, room=room[0], rapid=room[1])
            for each in low
            if (room := each.room(screw))
        ]
        if near:
            yield min(near, key=lambda each: each.room)


def good_places(planned: PlannedSetup, sign: Sign, head: float) -> tuple[tuple[float, float], ...]:
    """Places for screws in the waste, clear of every path that comes near a head that stands `head` proud.

    The one nearest to each corner first, then wherever the next good place is farthest from all of them.
    """
    found = np.array(list(_waste(planned.setup, sign))).reshape(-1, 2)
    for each in planned.operations:
        found = found[~_below(each, head + OVER_HEAD).comes_near(found)]
    if not len(found):
        return ()
    wide, deep, _ = planned.setup.blank
    corners = ((0.0, 0.0), (wide, 0.0), (wide, deep), (0.0, deep))
    chosen = list(dict.fromkeys(int(np.hypot(*(found - corner).T).argmin()) for corner in corners))
    while True:
        far = np.min([np.hypot(*(found - found[k]).T) for k in chosen], axis=0)
        if far.max() <= SCREW_SPACING:
            return tuple((float(x), float(y)) for x, y in found[chosen])
        chosen.append(int(far.argmax()))


def _waste(setup: Setup, sign: Sign) -> Iterator[tuple[float, float]]:
    """Points along the edge of the blank, and between the panels of one blank, away from panels and pins."""
    wide, deep, _ = setup.blank
    panels = union([place.shape(sign.panel(panel).outline) for panel, place in setup.placements])
    panels = grow(panels.simplify(DETAIL), SCREW_CLEAR)
    shapely.prepare(panels)
    for x, y in _along_edges(wide, deep, between=len(setup.panels) > 1):
        pins = any(math.dist((x, y), (pin.x, pin.y)) < pin.diameter / 2 + SCREW_EDGE for pin in setup.pins)
        if not pins and not shapely.contains_xy(panels, x, y):
            yield x, y


def _along_edges(wide: float, deep: float, *, between: bool) -> Iterator[tuple[float, float]]:
    """Some 60 mm apart; with two panels also along the strip between them."""
    xs, ys = (
        np.linspace(SCREW_EDGE, size - SCREW_EDGE, max(2, math.ceil(size / 60))).tolist()
        for size in (wide, deep)
    )
    rows = [ys[0], ys[-1], *([deep / 2] if between and deep > wide else [])]
    columns = [xs[0], xs[-1], *([wide / 2] if between and wide >= deep else [])]
    yield from ((x, y) for y in rows for x in xs)
    yield from ((x, y) for x in columns for y in ys[1:-1])
