"""The board round the steel: what both panels leave standing at every depth, as the cutters leave it.

A panel with pockets is a few slabs: below the floor of a level, everything is board except what is cut
deeper. So a slab begins at a floor and goes on to the outer face, and a part meets board exactly where it
meets a slab. The round wall of a channel is as many slabs as one cares for: each touches it all along its
edge, none stands out of it. Depths count from the glue plane into the panel.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import area_of, union
from signplan.sign.model import Bar, PanelPlan, Sign, Solid
from signplan.sign.register import Panel

Heights = NDArray[np.float64]
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Slab:
    """Board of one panel from `floor` to the outer face."""

    panel: Panel
    floor: float
    board: MultiPolygon


ROUND_WALL = 4
"""Slabs that stand for the round wall of a channel; the closing check looks closer."""


def slabs(sign: Sign) -> tuple[Slab, ...]:
    """The slabs of both panels, shallow first."""
    return tuple(slab for panel in sign.panels for slab in _slabs(panel, sign.thickness))


def _slabs(panel: PanelPlan, thickness: float) -> Iterator[Slab]:
    """A pocket that goes through has no board below its floor."""
    floors = [pocket.depth for pocket in panel.pockets if pocket.depth < thickness - SAME]
    floors += [d for each in panel.pockets if each.channel for d in each.channel.depths(steps=ROUND_WALL)]
    for floor in distinct([0.0, *floors]):
        yield slab_at(panel, floor)


def slab_at(panel: PanelPlan, floor: float, bounds: Bounds | None = None) -> Slab:
    """The slab of a panel that begins at a depth; only what of it lies in a box, if one is given."""
    outline: BaseGeometry = panel.outline
    cut: list[BaseGeometry] = [pocket.open_at(floor) for pocket in panel.pockets]
    if bounds is not None:
        outline = shapely.clip_by_rect(outline, *bounds)
        cut = [shapely.clip_by_rect(shape, *bounds) for shape in cut]
    board = area_of(outline.difference(union(cut)))
    shapely.prepare(board)
    return Slab(panel=panel.id, floor=floor, board=board)


def distinct(values: Iterable[float]) -> list[float]:
    """Sorted, those that are the same left out."""
    found: list[float] = []
    for value in sorted(values):
        if not found or value - found[-1] > SAME:
            found.append(value)
    return found


def near(slab: Slab, bounds: Bounds) -> Slab:
    """The part of a slab inside a box: the same distances close by, and far fewer corners."""
    board = area_of(shapely.clip_by_rect(slab.board, *bounds))
    return Slab(panel=slab.panel, floor=slab.floor, board=board)


def depths(part: Solid, panel: Panel) -> tuple[float, float, float]:
    """Least and greatest depth of a part in a panel's own count, and that of its middle."""
    low, high = part.span
    return (low, high, part.z) if panel == "A" else (-high, -low, -part.z)


def reach(part: Solid, panel: Panel) -> float:
    """How far a part reaches into a panel from the glue plane, mm; negative if it stays in the other."""
    return depths(part, panel)[1]


def height(depth: float, panel: Panel) -> float:
    """The z of a depth in a panel."""
    return depth if panel == "A" else -depth


def widest(part: Solid, panel: Panel, below: float) -> float | None:
    """The depth of a part's widest section at or below a floor; None if it does not reach below it."""
    low, high, middle = depths(part, panel)
    return None if high <= below + SAME else min(max(middle, below, low), high)


def sections(part: Solid, panel: Panel, at: Heights) -> NDArray[np.object_]:
    """Sections of a part at several depths; a bar of no width is its axis."""
    if isinstance(part, Bar):
        halves = np.array([max(0.0, part.half_width(height(depth, panel))) for depth in at])
        return _rectangles(part, halves)
    shapes = np.empty(len(at), dtype=object)
    shapes[:] = part.outline
    return shapes


def _rectangles(bar: Bar, halves: Heights) -> NDArray[np.object_]:
    start, end = np.array(bar.start), np.array(bar.end)
    ahead = (end - start) / np.linalg.norm(end - start)
    across = np.array([-ahead[1], ahead[0]])[None] * halves[:, None]
    corners = np.stack([start - across, end - across, end + across, start + across], axis=1)
    shapes = np.asarray(shapely.polygons(corners), dtype=object)
    thin = halves < SAME
    shapes[thin] = shapely.linestrings([start, end])
    return shapes


def section(part: Solid, panel: Panel, depth: float) -> Polygon | MultiPolygon:
    """Its section at one depth."""
    shape: Polygon | MultiPolygon = sections(part, panel, np.array([depth]))[0]
    return shape
