"""What holds the board down while it is cut: vacuum, screws, and the parts that come free.

Vacuum holds by the area that is really sealed. Recesses that lie face down hold nothing, and every cut that
goes through takes its own area away; so the hold is worked out operation by operation, in working order.
Forces are newtons, upper estimates; lengths mm, areas mm2. What deserves a finding is for the checks to say.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from shapely import MultiPolygon, Polygon, box

from signplan.geometry.shapes import EMPTY, area_of, disc, grow, union
from signplan.job.shop import Board, Holding, Shop
from signplan.operations.model import CuttingOut, Drilling
from signplan.operations.practice import engagement
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.schedule.screws import Obstacle, good_places, obstacles
from signplan.sign.model import Sign
from signplan.sign.register import STAY, Panel
from signplan.sign.setups import Setup
from signplan.timing.feeds import thinning
from signplan.units import PASCALS_PER_INCH_OF_MERCURY

SAFE = 3.0
"""Holding force that is wanted for each newton of cutting force; common practice."""

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
