"""Height fields on a grid, and the lowest that a cutter may stand over each of their points.

A field is (rows, columns) of heights Z, mm, row 0 at the least y. The surface of tool heights is the
dilation of the field by the cutter: over each point the greatest of what the board under the cutter's form
demands.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

Field = NDArray[np.float32]

SUBSAMPLES = 2
"""Samples of the board for every place of the cutter, in each direction. A ball touches a plane between two
samples at most s2 / 8R above it, s being their distance."""

BAND = 32768
"""Places that tool heights are found for at a time, so that they stay in a processor's cache."""


Sample = tuple[int, int, np.float32]
"""A sample under a cutter: rows and columns from its axis, and how far the cutter there is above its tip."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Grid:
    """Places (x0 + j dx, y0 + i dy), i < rows, j < columns."""

    x0: float
    y0: float
    dx: float
    dy: float
    rows: int
    columns: int

    @classmethod
    def over(cls, bounds: tuple[float, float, float, float], dx: float, dy: float) -> "Grid":
        """A grid from edge to edge of a box, its steps no longer than these."""
        x0, y0, x1, y1 = bounds
        across, up = max(1, math.ceil((x1 - x0) / dx)), max(1, math.ceil((y1 - y0) / dy))
        return cls(x0=x0, y0=y0, dx=(x1 - x0) / across, dy=(y1 - y0) / up, rows=up + 1, columns=across + 1)

    def finer(self, times: int, margin: int) -> "Grid":
        """`times` as fine, and `margin` of its own steps wider on every side."""
        dx, dy = self.dx / times, self.dy / times
        return Grid(
            x0=self.x0 - margin * dx,
            y0=self.y0 - margin * dy,
            dx=dx,
            dy=dy,
            rows=(self.rows - 1) * times + 1 + 2 * margin,
            columns=(self.columns - 1) * times + 1 + 2 * margin,
        )

    @property
    def x(self) -> NDArray[np.float64]:
        """The columns."""
        return self.x0 + self.dx * np.arange(self.columns, dtype=np.float64)

    @property
    def y(self) -> NDArray[np.float64]:
        """The rows."""
        return self.y0 + self.dy * np.arange(self.rows, dtype=np.float64)


def inside(shape: MultiPolygon, grid: Grid) -> NDArray[np.bool_]:
    """Which places of a grid lie in a shape, row by row along its scan lines."""
    x, y = grid.x, grid.y
    low, high = x[0] - 1, x[-1] + 1
    ends = np.stack(
        [np.column_stack([np.full(grid.rows, low), y]), np.column_stack([np.full(grid.rows, high), y])], 1
    )
    shapely.prepare(shape)
    cuts = shapely.intersection(shapely.linestrings(ends), shape)
    parts, rows = shapely.get_parts(cuts, return_index=True)
    found = np.zeros((grid.rows, grid.columns + 1), dtype=np.int32)
    lines = shapely.get_type_id(parts) == 1
    spans = shapely.bounds(parts[lines])
    first = np.searchsorted(x, spans[:, 0] - 1e-9)
    after = np.searchsorted(x, spans[:, 2] + 1e-9)
    np.add.at(found, (rows[lines], first), 1)
    np.add.at(found, (rows[lines], after), -1)
    return np.cumsum(found, axis=1)[:, :-1] > 0


def sampled(
    values: NDArray[np.float64], box: tuple[float, float, float, float], grid: Grid, *, mirrored: bool
) -> Field:
    """Values of an image at the places of a grid, linear between the middles of its pixels.

    Row 0 of the image is at the top of its box. Pixels much finer than the grid are first joined, the
    highest of each block standing for it, so that no spike is lost.
    """
    image = np.asarray(values[::-1, ::-1] if mirrored else values[::-1], dtype=np.float32)
    wide, high = (box[2] - box[0]) / image.shape[1], (box[3] - box[1]) / image.shape[0]
    image = _joined(image, max(1, int(grid.dy / high)), max(1, int(grid.dx / wide)))
    wide, high = (box[2] - box[0]) / image.shape[1], (box[3] - box[1]) / image.shape[0]
    j, fx = _between((grid.x - box[0]) / wide - 0.5, image.shape[1])
    i, fy = _between((grid.y - box[1]) / high - 0.5, image.shape[0])
    more = np.minimum(j + 1, image.shape[1] - 1)
    across = image[:, j] * (1 - fx) + image[:, more] * fx
    result: Field = (
        across[i] * (1 - fy)[:, None] + across[np.minimum(i + 1, image.shape[0] - 1)] * fy[:, None]
    )
    return result


def _between(place: NDArray[np.float64], size: int) -> tuple[NDArray[np.intp], Field]:
    place = np.clip(place, 0, size - 1)
    whole = np.minimum(place.astype(np.intp), max(size - 2, 0))
    return whole, (place - whole).astype(np.float32)


def _joined(image: Field, rows: int, columns: int) -> Field:
    if rows == 1 and columns == 1:
        return image
    down, across = -image.shape[0] % rows, -image.shape[1] % columns
    padded = np.pad(image, ((0, down), (0, across)), mode="edge")
    blocks = padded.reshape(padded.shape[0] // rows, rows, padded.shape[1] // columns, columns)
    result: Field = blocks.max(axis=(1, 3))
    return result


STEEP = 2.0
"""Slope from which a rise between two samples counts as a wall, whose place between them is not known."""


def guarded(board: Field, grid: Grid) -> Field:
    """The field with its walls moved out by up to one step, so that no cutter between samples enters them."""
    result = board.copy()
    for low, high, step in (
        (np.s_[:, :-1], np.s_[:, 1:], grid.dx),
        (np.s_[:-1], np.s_[1:], grid.dy),
    ):
        a, b = board[low], board[high]
        wall = np.abs(a - b) > STEEP * step
        top = np.maximum(a, b)
        result[low] = np.where(wall, np.maximum(result[low], top), result[low])
        result[high] = np.where(wall, np.maximum(result[high], top), result[high])
    return result


def rise(shape: str, radius: float, distance: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far the underside of a cutter is above its tip, at distances from its axis up to its radius."""
    if shape == "ball":
        return radius - np.sqrt(np.maximum(radius**2 - distance**2, 0))
    return np.zeros_like(distance)


def tool_heights(board: Field, grid: Grid, *, shape: str, radius: float, margin: int) -> Field:
    """The lowest that the tip of a cutter may be over each place of `grid`.

    Args:
        board: heights on `grid.finer(SUBSAMPLES, margin)`.
        margin: at least radius / the finer step.
    """
    n, rows, columns = SUBSAMPLES, grid.rows, grid.columns
    phases = {(a, b): np.ascontiguousarray(board[a::n, b::n]) for a in range(n) for b in range(n)}
    parts = []
    for i, j, up in _under(grid.dx / n, grid.dy / n, shape=shape, radius=radius):
        a, b = i + margin, j + margin
        part = phases[a % n, b % n][a // n : a // n + rows, b // n : b // n + columns]
        parts.append((part, up))
    return _highest(parts)


def ball_left(board: Field, grid: Grid, radius: float) -> Field:
    """The surface that a ball leaves which goes as low as it may everywhere: the closing of the field by it.

    Past its edges the field goes on as it is there. The ball stands on places of the grid only.
    """
    under = list(_under(grid.dx, grid.dy, shape="ball", radius=radius))
    return -_around(-_around(board, under), under)


def lowest_near(board: Field, grid: Grid, radius: float) -> Field:
    """The lowest that the field is within a radius of each place."""
    return -_around(-board, list(_under(grid.dx, grid.dy, shape="flat", radius=radius)))


def _around(field: Field, under: Sequence[Sample]) -> Field:
    """Over each place the greatest of what the samples round it demand."""
    high, wide = max(i for i, _, _ in under), max(j for _, j, _ in under)
    padded = np.pad(field, ((high, high), (wide, wide)), mode="edge")
    rows, columns = field.shape
    return _highest(
        [(padded[i + high : i + high + rows, j + wide : j + wide + columns], up) for i, j, up in under]
    )


def _highest(parts: Sequence[tuple[Field, np.float32]]) -> Field:
    """The greatest of some fields, each lowered by its own amount; a band of rows at a time."""
    rows, columns = parts[0][0].shape
    result = np.full((rows, columns), -np.inf, dtype=np.float32)
    high = max(1, BAND // columns)
    scratch = np.empty((high, columns), dtype=np.float32)
    for first in range(0, rows, high):
        band = result[first : first + high]
        lowered = scratch[: len(band)]
        for part, up in parts:
            np.subtract(part[first : first + high], up, out=lowered)
            np.maximum(band, lowered, out=band)
    return result


def _under(dx: float, dy: float, *, shape: str, radius: float) -> Iterator[Sample]:
    """The samples, dx and dy apart, that lie under a cutter."""
    down, across = int(radius / dy), int(radius / dx)
    for i, j in product(range(-down, down + 1), range(-across, across + 1)):
        distance = math.hypot(i * dy, j * dx)
        if distance <= radius:
            yield i, j, np.float32(rise(shape, radius, np.array(distance)))
