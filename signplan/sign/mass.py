"""What the finished sign weighs and where its centre of gravity lies. Kilograms, assembly frame in mm."""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from shapely import MultiPolygon, Polygon

from signplan.geometry.shapes import area_of, union
from signplan.sign.model import Bar, Item, PanelPlan, Pocket, Sign, Solid
from signplan.sign.terraces import terraces

STEEL_KG_M3 = 7850.0
"""Density of carbon steel (0.2836 lb per cubic inch); from memory."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Mass:
    """What the finished sign weighs, kg, and its centre of gravity (x, y, z)."""

    board: float
    steel: float
    centroid: tuple[float, float, float]

    @property
    def total(self) -> float:
        """Board and steel."""
        return self.board + self.steel


SLICES = 32
"""Slabs in which the round part of a channel is weighed; they are good to a thousandth of it."""

Lump = tuple[float, float, float, float]
"""A volume, mm3, and the x, y, z of its middle; a hole is a negative volume."""


def weigh(sign: Sign, density: float) -> Mass:
    """The finished sign: board (kg/m3) less everything that is cut from it, plus the steel.

    Dowels fill their holes and are counted as board. Glue and paint are left out.
    """
    board = [lump for panel in sign.panels for lump in _board(sign, panel)]
    steel = [_steel(part) for item in sign.items for part in item.parts]
    weights = [(volume * density * 1e-9, *at) for volume, *at in board]
    weights += [(volume * STEEL_KG_M3 * 1e-9, *at) for volume, *at in steel]
    table = np.array(weights)
    centre = table[:, 0] @ table[:, 1:] / table[:, 0].sum()
    return Mass(
        board=float(table[: len(board), 0].sum()),
        steel=float(table[len(board) :, 0].sum()),
        centroid=(float(centre[0]), float(centre[1]), float(centre[2])),
    )


def steel_mass(item: Item) -> float:
    """What one item of hardware weighs, kg."""
    return sum(_steel(part)[0] for part in item.parts) * STEEL_KG_M3 * 1e-9


def _board(sign: Sign, panel: PanelPlan) -> Iterator[Lump]:
    up = 1.0 if panel.id == "A" else -1.0
    yield _slab(panel.outline, 0.0, sign.thickness, up)
    for pocket in panel.pockets:
        if pocket.channel:
            yield from (_hole(lump) for lump in _channel(pocket, panel, up))
            continue
        inside = area_of(pocket.as_cut & panel.outline)
        yield _hole(_slab(inside, pocket.above, pocket.depth, up))
    for carving in panel.carvings:
        above = carving.ground
        past_edge = not panel.outline.covers(carving.shape)
        for terrace in terraces(carving):
            cut = area_of(terrace.shape & panel.outline) if past_edge else terrace.shape
            yield _hole(_slab(cut, sign.thickness - terrace.depth, sign.thickness - above, up))
            above = terrace.depth


def _channel(pocket: Pocket, panel: PanelPlan, up: float) -> Iterator[Lump]:
    """What a channel takes of a panel beside the flat pockets of its item, in thin slabs."""
    others = [each for each in panel.pockets if each.hardware == pocket.hardware and not each.channel]
    depths = pocket.channel.depths(steps=SLICES) if pocket.channel else ()
    for low, high in pairwise(sorted({0.0, *depths})):
        middle = (low + high) / 2
        flat = union(each.open_at(middle) for each in others)
        yield _slab(area_of((pocket.open_at(middle) & panel.outline) - flat), low, high, up)


def _slab(shape: Polygon | MultiPolygon, low: float, high: float, up: float) -> Lump:
    middle = shape.centroid
    if shape.is_empty:
        return 0.0, 0.0, 0.0, 0.0
    return shape.area * (high - low), middle.x, middle.y, up * (low + high) / 2


def _hole(lump: Lump) -> Lump:
    volume, x, y, z = lump
    return -volume, x, y, z


def _steel(part: Solid) -> Lump:
    """The solid steel of a part; a hollow one has its own section area."""
    if isinstance(part, Bar):
        length = float(np.hypot(part.end[0] - part.start[0], part.end[1] - part.start[1]))
        x, y = (part.start[0] + part.end[0]) / 2, (part.start[1] + part.end[1]) / 2
        return part.metal * length, x, y, part.z
    middle = part.outline.centroid
    return part.outline.area * part.thickness, middle.x, middle.y, part.z
