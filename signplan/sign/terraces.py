"""A carving as flat steps that together are never smaller than it.

A vee groove becomes insets of its stroke, a rounded edge a row of narrowing rims, a relief its level sets.
Every step goes as deep as the carving goes anywhere inside it, so what the checks see is at most one step
deeper than what is cut, and never shallower.
"""

import math
from collections.abc import Callable, Iterator
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiLineString, MultiPolygon

from signplan.geometry.precision import SPECK, STEP
from signplan.geometry.shapes import area_of, grow
from signplan.job.shop import Tool
from signplan.sign.forms import edge_inset, half_width
from signplan.sign.model import Carving, HeightMap, Terrace

RELIEF_CELLS = 192
"""Most cells along the longer side of a relief; each is as deep as the image is anywhere within it."""


@lru_cache(maxsize=256)
def terraces(carving: Carving, *, step: float = STEP) -> tuple[Terrace, ...]:
    """The steps of a carving, shallow first; none is higher than `step` mm where the carving slopes."""
    if carving.shape.is_empty or carving.depth <= 0:
        return ()
    shape_below = _shape_below(carving)
    if shape_below is None:
        return (Terrace(shape=carving.shape, depth=carving.ground + carving.depth),)
    steps = _steps(shape_below, carving.depth, step)
    return tuple(Terrace(shape=each.shape, depth=carving.ground + each.depth) for each in steps)


def slack(carving: Carving) -> float:
    """How much farther than from its steps something may be from the carving, mm.

    A flat-bottomed carving is its own one step, exactly. Where it slopes it is a step's height at most; a
    cell of a relief is besides as deep as a pixel in it, or next to it, that may lie at its far corner.
    """
    if _shape_below(carving) is None:
        return 0.0
    relief = carving.relief if carving.treatment == "relief" else None
    if relief is None:
        return STEP
    wide, high = _pixel(relief)
    return STEP + (_block(relief) + 1) * math.hypot(wide, high)


ShapeBelow = Callable[[float], MultiPolygon]
"""The area in which a carving is deeper than a given depth."""


def _steps(shape_below: ShapeBelow, depth: float, step: float) -> Iterator[Terrace]:
    count = max(1, math.ceil(depth / step))
    for k in range(count):
        shape = shape_below(depth * k / count)
        if shape.is_empty:
            return
        yield Terrace(shape=shape, depth=depth * (k + 1) / count)


def _shape_below(carving: Carving) -> ShapeBelow | None:
    cutter = carving.cutter
    match carving.treatment:
        case "incise" if cutter is not None:
            return lambda depth: grow(carving.shape, -depth * math.tan(cutter.half_angle))
        case "line" if cutter is not None and cutter.shape in ("vee", "ball"):
            centre = MultiLineString(carving.lines)
            return lambda depth: grow(centre, half_width(cutter, carving.depth - depth))
        case "edge" if cutter is not None:
            return lambda depth: _rim(carving, cutter, depth)
        case "relief" if carving.relief is not None:
            levels = _coarse(carving.relief)
            return lambda depth: _deeper(carving, levels, depth)
    return None


def _rim(carving: Carving, cutter: Tool, depth: float) -> MultiPolygon:
    """Where a shaped edge is deeper than `depth`."""
    inset = edge_inset(cutter, carving.depth - depth)
    return area_of(carving.shape.intersection(grow(MultiLineString(carving.lines), inset)))


def _pixel(relief: HeightMap) -> tuple[float, float]:
    """Width and height of a pixel, mm."""
    x0, y0, x1, y1 = relief.box
    rows, columns = relief.values.shape
    return (x1 - x0) / columns, (y1 - y0) / rows


def _block(relief: HeightMap) -> int:
    """Pixels along the side of a cell."""
    rows, columns = relief.values.shape
    return max(1, math.ceil(max(int(rows), int(columns)) / RELIEF_CELLS))


def _coarse(relief: HeightMap) -> NDArray[np.float64]:
    """Least height in each cell and in the pixels around it, between which the surface is drawn.

    Row 0 is at the top of the box, column 0 at its left.
    """
    values = relief.values[:, ::-1] if relief.mirrored else relief.values
    rows, columns = values.shape
    around = np.pad(values, 1, mode="edge")
    near = np.stack([around[i : i + rows, j : j + columns] for i in range(3) for j in range(3)]).min(axis=0)
    block = _block(relief)
    whole = np.pad(near, ((0, -rows % block), (0, -columns % block)), mode="edge")
    cells = whole.reshape(whole.shape[0] // block, block, whole.shape[1] // block, block)
    lowest: NDArray[np.float64] = cells.min(axis=(1, 3))
    return lowest


def _deeper(carving: Carving, levels: NDArray[np.float64], depth: float) -> MultiPolygon:
    """The cells of a relief that are deeper than `depth`, row by row."""
    relief = carving.relief
    assert relief is not None
    x0, _, _, y1 = relief.box
    deep = (1 - levels) * carving.depth > depth
    edges = np.diff(np.pad(deep.astype(np.int8), ((0, 0), (1, 1))), axis=1)
    row, start = np.nonzero(edges == 1)
    end = np.nonzero(edges == -1)[1]
    wide, high = (_block(relief) * side for side in _pixel(relief))
    runs = shapely.box(x0 + start * wide, y1 - (row + 1) * high, x0 + end * wide, y1 - row * high)
    return area_of(shapely.union_all(runs).intersection(carving.shape), least=SPECK)
