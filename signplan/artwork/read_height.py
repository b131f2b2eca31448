"""Heights for a relief: a grey picture, or a mesh seen from above.

Black is the deepest, white the face; row 0 is the top of the picture, as the reader of the sign sees it.
"""

import re
import warnings
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from signplan.artwork.art_file import check_art_file
from signplan.errors import InputError, Problem

if TYPE_CHECKING:
    from PIL.Image import Image

Grid = NDArray[np.float64]

MOST_PIXELS = 20_000_000
MOST_TRIANGLES = 2_000_000
LONGER_SIDE = 1000
"""Pixels along the longer side of a mesh seen from above."""

_CHUNK = 1_000_000
_EDGE = 1e-9
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
_VERTEX = re.compile(rb"vertex\s+(\S+)\s+(\S+)\s+(\S+)")


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Heights:
    """A height map.

    Attributes:
        values: (rows, columns), 0 = deepest to 1 = the face; row 0 is the top.
        extent: width, height and depth of the mesh in its own units; empty for a picture, which has none.
    """

    values: Grid
    extent: tuple[float, float, float] | tuple[()] = ()


def read_height(path: Path) -> Heights:
    """The heights in a grey PNG of 8 or 16 bits, or in an STL mesh.

    Raises:
        InputError: the file cannot be read, or holds no heights.
    """
    check_art_file(path, (".png", ".stl"))
    try:
        return _read_png(path) if path.suffix.lower() == ".png" else _read_stl(path)
    except _NoHeightsError as error:
        raise InputError(Problem(file=path.name, message=str(error))) from error
    except OSError as error:
        message = f"cannot be read: {error.strerror or error}"
        raise InputError(Problem(file=path.name, message=message)) from error


class _NoHeightsError(ValueError):
    pass


def _read_png(path: Path) -> Heights:
    from PIL import Image

    too_many = f"the picture has too many pixels; {MOST_PIXELS:,} are enough for any relief"
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            picture = Image.open(path, formats=("PNG",))
        with picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise _NoHeightsError(too_many)
            return Heights(values=_grey(picture))
    except _NoHeightsError:
        raise
    except Image.DecompressionBombError as error:
        raise _NoHeightsError(too_many) from error
    except (SyntaxError, ValueError, OSError) as error:
        raise _NoHeightsError("no sound PNG picture; save it again as grey PNG") from error


def _grey(picture: "Image") -> Grid:
    if picture.mode in ("I;16", "I"):
        return np.asarray(picture, dtype=np.float64) / 65535
    channels = np.asarray(picture.convert("RGBA"))
    if (channels[..., 3] != 255).any():
        raise _NoHeightsError("the picture is transparent in places; fill them with the height that is meant")
    if (channels[..., :1] != channels[..., :3]).any():
        raise _NoHeightsError("the picture has colours, which are no heights; save it in grey")
    grey: Grid = channels[..., 0] / 255
    return grey


def _read_stl(path: Path) -> Heights:
    corners = _triangles(path.read_bytes())
    if not len(corners):
        raise _NoHeightsError("the mesh is empty")
    if not np.isfinite(corners).all() or np.abs(corners).max() > 1e7:
        raise _NoHeightsError("the mesh has coordinates out of all bounds")
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    width, height, depth = (float(extent) for extent in high - low)
    if not width > 0 or not height > 0 or not depth > 0:
        raise _NoHeightsError("the mesh is flat; a relief needs width, height and depth")
    return Heights(
        values=_seen_from_above(corners - low, (width, height, depth)), extent=(width, height, depth)
    )


def _triangles(data: bytes) -> Grid:
    """Corners, (N, 3, 3), of a binary or an ASCII mesh."""
    count = int.from_bytes(data[80:84], "little")
    if len(data) >= 84 and len(data) == 84 + count * _FACET.itemsize:
        if count > MOST_TRIANGLES:
            raise _NoHeightsError(f"the mesh has {count:,} triangles; reduce it to {MOST_TRIANGLES:,}")
        return np.frombuffer(data, _FACET, offset=84)["corners"].astype(np.float64)
    if not data.lstrip().startswith(b"solid"):
        raise _NoHeightsError("no STL mesh, or one that breaks off; export it again")
    try:
        numbers = np.array(_VERTEX.findall(data), dtype=np.float64)
    except ValueError as error:
        raise _NoHeightsError("a vertex of the mesh is no number; export it again") from error
    if len(numbers) % 3 or not re.search(rb"endsolid[^\n]*\s*$", data):
        raise _NoHeightsError("the mesh breaks off before its end; export it again")
    return numbers.reshape(-1, 3, 3)


def _seen_from_above(corners: Grid, extent: tuple[float, float, float]) -> Grid:
    """The highest point of the mesh, 0 to 1, over the middle of every pixel; 0 where there is none.

    1. Scale to pixels, so that pixel (row, column) has its middle at (column, row); leave out triangles
       that stand upright, which cover nothing.
    2. Cut every triangle by the rows that it meets: one run of pixels for each.
    3. Lay every pixel of every run on the triangle's plane; the highest wins.
    """
    width, height, depth = extent
    columns, rows = (max(1, round(side * LONGER_SIDE / max(width, height))) for side in (width, height))
    corners = corners * (columns / width, rows / height, 1 / depth) - (0.5, 0.5, 0)
    sides = np.roll(corners, -1, axis=1) - corners
    area = sides[:, 0, 0] * sides[:, 1, 1] - sides[:, 0, 1] * sides[:, 1, 0]
    corners, sides, area = corners[area != 0], sides[area != 0], area[area != 0]
    slope_x = (sides[:, 0, 2] * sides[:, 1, 1] - sides[:, 1, 2] * sides[:, 0, 1]) / area
    slope_y = (sides[:, 1, 2] * sides[:, 0, 0] - sides[:, 0, 2] * sides[:, 1, 0]) / area
    low, high = corners.min(axis=1), corners.max(axis=1)

    values = np.zeros((rows, columns))
    for triangle, row in _runs(low[:, 1], high[:, 1], rows):
        first, last = _crossed(corners[triangle], sides[triangle], row)
        for k, column in _runs(first, last, columns):
            t = triangle[k]
            x, y = column - corners[t, 0, 0], row[k] - corners[t, 0, 1]
            z = corners[t, 0, 2] + x * slope_x[t] + y * slope_y[t]
            np.maximum.at(values, (row[k], column), z.clip(low[t, 2], high[t, 2]))
    return values[::-1]


def _runs(first: Grid, last: Grid, most: int) -> Iterator[tuple[NDArray[np.intp], NDArray[np.intp]]]:
    """Every whole number from first[k] to last[k], 0 <= number < most, paired with k; a part at a time."""
    start = np.ceil(first - _EDGE).clip(0, most).astype(np.intp)
    count = (np.floor(last + _EDGE).clip(-1, most - 1).astype(np.intp) - start + 1).clip(0)
    for part in np.array_split(np.arange(len(count)), max(1, int(count.sum()) // _CHUNK)):
        k = np.repeat(part, count[part])
        before = np.repeat(np.cumsum(count[part]) - count[part], count[part])
        yield k, start[k] + np.arange(len(k)) - before


def _crossed(corners: Grid, sides: Grid, row: NDArray[np.intp]) -> tuple[Grid, Grid]:
    """Where each triangle is entered and left along its row."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (row[:, None] - corners[:, :, 1]) / sides[:, :, 1]
    met = (share >= -_EDGE) & (share <= 1 + _EDGE)
    x = corners[:, :, 0] + np.where(met, share, 0) * sides[:, :, 0]
    return np.where(met, x, np.inf).min(axis=1), np.where(met, x, -np.inf).max(axis=1)
