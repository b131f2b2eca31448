"""The job's hardware as solids in the assembly frame, from numbers, tables of stock, or drawings."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NoReturn

from shapely import LineString, Polygon, affinity, box

from signplan.errors import InputError, Problem
from signplan.geometry.shapes import area_of
from signplan.job.model import FlatPart, Hardware, HexPart, RoundPart, TubePart
from signplan.job.stock import look_up
from signplan.job.stock_tables import Stock
from signplan.sign.drawings import Drawings
from signplan.sign.model import Bar, Item, Plate, Profile, Solid
from signplan.sign.register import Placement, move, view

_OnAxis = RoundPart | HexPart | TubePart
_Part = _OnAxis | FlatPart
Axis = tuple[tuple[float, float], tuple[float, float]]


def items_of(drawings: Drawings) -> tuple[Item, ...]:
    """Every hardware item of the job.

    Raises:
        InputError: a size is neither stated nor in the tables, or a layer is missing.
    """
    return tuple(_item(entry, f"hardware[{k}]", drawings) for k, entry in enumerate(drawings.job.hardware))


def _item(entry: Hardware, key: str, drawings: Drawings) -> Item:
    parts = [
        solid for k, part in enumerate(entry.parts) for solid in _solids(part, f"{key}.part[{k}]", drawings)
    ]
    if entry.split != "both" and all(part.z is None for part in entry.parts):
        parts = list(_into_one_panel(parts, 1.0 if entry.split == "A" else -1.0))
    depth_clearance = entry.clearance if entry.depth_clearance is None else entry.depth_clearance
    return Item(
        name=entry.name,
        key=key,
        parts=tuple(parts),
        clearance=entry.clearance,
        depth_clearance=depth_clearance,
        split=entry.split,
        held_by=entry.held_by,
        laid_with=entry.laid_with,
        bottom=entry.bottom,
        stock=tuple(part.stock for part in entry.parts if part.stock),
    )


def _into_one_panel(parts: Iterable[Solid], up: float) -> Iterator[Solid]:
    """The item moved as one until it just touches the glue plane."""
    parts = list(parts)
    shift = max(-min(up * z for z in part.span) for part in parts)
    for part in parts:
        yield replace(part, z=part.z + up * shift)


def _solids(part: _Part, key: str, drawings: Drawings) -> Iterator[Solid]:
    stock = look_up(part.stock) if part.stock else None
    if isinstance(part, FlatPart):
        yield from _plates(part, key, drawings, stock=stock)
        return
    width, height, corner = _profile(part, key, stock)
    length = part.thickness or (stock and stock.thickness) or None
    for start, end in _axes(part, key, drawings, length=length):
        yield Bar(
            start=start,
            end=end,
            z=part.z or 0.0,
            profile=_profile_name(part),
            width=width,
            height=height,
            corner_radius=corner,
            wall=(stock and stock.wall) or 0.0,
        )


def _profile_name(part: _OnAxis) -> Profile:
    match part:
        case RoundPart():
            return "round"
        case HexPart():
            return "hex-flats" if part.faces == "flats" else "hex-corners"
        case TubePart():
            return "tube"


def _profile(part: _OnAxis, key: str, stock: Stock | None) -> tuple[float, float, float]:
    """Width in the plane, height through the sign, corner radius."""
    match part:
        case RoundPart():
            diameter = part.diameter or (stock and stock.diameter)
            if not diameter:
                _lacks(key, "its 'diameter'")
            return diameter, diameter, 0.0
        case HexPart():
            flats = part.across_flats or (stock and stock.across_flats)
            if not flats:
                _lacks(key, "its size 'across_flats'")
            listed = stock.across_corners if stock and part.across_flats is None else None
            corners = listed or flats / math.cos(math.pi / 6)
            return (corners, flats, 0.0) if part.faces == "flats" else (flats, corners, 0.0)
        case TubePart():
            size = part.size or (stock and stock.size)
            if not size:
                _lacks(key, "its 'size' (width in the plane, depth through the sign)")
            listed_radius = stock.corner_radius if stock else None
            corner = part.corner_radius if part.corner_radius is not None else listed_radius
            return size[0], size[1], min(corner or 0.0, min(size) / 2)


def _axes(part: _OnAxis, key: str, drawings: Drawings, *, length: float | None) -> Iterator[Axis]:
    """Where its axis begins and ends; one per line where a drawing says so."""
    seen = view(part.view, "outer", drawings.width).inverse()
    if part.start is not None and part.to is not None:
        yield seen.point(*part.start), seen.point(*part.to)
    elif part.at is not None and part.along is not None:
        if length is None:
            _lacks(key, "its 'thickness' (its length along the axis)")
        yield _moved(_about(part.at, part.along, length), seen)
    elif part.axis is not None:
        layer = drawings.layer(part.axis, f"{key}.axis")
        if not layer.lines:
            _lacks(key, f"a straight line on layer '{part.axis.layer}' of {part.axis.file} for its 'axis'")
        place = drawings.placement(part.axis.file, part.view, part.view)
        for line in layer.lines:
            yield _moved(_drawn_axis(line.shape, length if isinstance(part, HexPart) else None), place)


def _drawn_axis(line: LineString, length: float | None) -> Axis:
    """A line of a drawing as an axis; a nut sits in its middle, as long as nuts are."""
    (x0, y0), (x1, y1) = line.coords[0], line.coords[-1]
    if length is None:
        return (x0, y0), (x1, y1)
    return _about(((x0 + x1) / 2, (y0 + y1) / 2), (x1 - x0, y1 - y0), length)


def _about(middle: tuple[float, float], along: tuple[float, float], length: float) -> Axis:
    (x, y), (dx, dy) = middle, along
    half = length / 2 / math.hypot(dx, dy)
    return (x - half * dx, y - half * dy), (x + half * dx, y + half * dy)


def _moved(axis: Axis, place: Placement) -> Axis:
    return place.point(*axis[0]), place.point(*axis[1])


def _plates(part: FlatPart, key: str, drawings: Drawings, *, stock: Stock | None) -> Iterator[Plate]:
    thickness = part.thickness or (stock and stock.thickness)
    if not thickness:
        _lacks(key, "its 'thickness'")
    for outline in _outlines(part, key, drawings, stock=stock):
        yield Plate(outline=area_of(outline), z=part.z or 0.0, thickness=thickness)


def _outlines(part: FlatPart, key: str, drawings: Drawings, *, stock: Stock | None) -> Iterator[Polygon]:
    if part.art is not None:
        layer = drawings.layer(part.art, f"{key}.art")
        if not layer.regions:
            _lacks(key, f"a closed outline on layer '{part.art.layer}' of {part.art.file}")
        place = drawings.placement(part.art.file, part.view, part.view)
        yield from (place.shape(region.shape) for region in layer.regions)
        return
    size = part.size or (stock and stock.size)
    if not size:
        _lacks(key, "its 'size' (length, width)")
    assert part.center is not None
    long, wide = size
    lying = affinity.rotate(box(-long / 2, -wide / 2, long / 2, wide / 2), part.angle, origin=(0, 0))
    yield move(*part.center).then(view(part.view, "outer", drawings.width).inverse()).shape(lying)


def _lacks(key: str, what: str) -> NoReturn:
    raise InputError(Problem(file="job.toml", key=key, message=f"give {what}, or a 'stock' that says it"))
