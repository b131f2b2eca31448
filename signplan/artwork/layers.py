"""One layer from its drawn pieces: joined, nested, and looked over for what no cutter should follow."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from shapely import LineString, Polygon

from signplan.artwork.flatten import ShapeError
from signplan.artwork.joining import Chain, Stroke, join
from signplan.artwork.model import CHORD_ERROR, Layer, Line, Region
from signplan.artwork.nearby import pairs
from signplan.artwork.regions import NO_AREA, Area, Ring, fill
from signplan.artwork.remarks import Remarks, counted, named
from signplan.findings import Severity

SLIVER = 0.1
"""An area narrower than this, mm, on the average, is no shape but a slip of the drawing."""


class Painted(NamedTuple):
    """A filled area: its shape, what it is filled with, and what it was drawn with."""

    shape: Polygon
    paint: str
    source: str


def build_layer(
    name: str,
    strokes: Sequence[Stroke],
    remarks: Remarks,
    *,
    gap: float = 0.0,
    painted: Sequence[Painted] = (),
) -> Layer:
    """The layer that loose pieces and filled areas make; an empty one where it must be refused.

    Closed outlines are nested by even-odd, open ones stay lines, and filled areas are joined where they meet.
    """
    try:
        chains = join(strokes, remarks, layer=name, gap=gap)
        rings = [Ring(chain.points, chain.sources) for chain in chains if chain.closed]
        rings = without_repeats(rings, remarks, layer=name)
        regions = as_regions(fill(rings), rings)
        report_crossings(rings, remarks, layer=name)
        if painted:
            regions = merge(name, regions, painted, remarks)
    except ShapeError as error:
        remarks.refuse(f"layer {name}: {error}")
        return Layer(name=name)
    report_slivers(regions, remarks, layer=name)
    lines = (_line(chain) for chain in chains if not chain.closed)
    return Layer(name=name, regions=regions, lines=tuple(lines))


def _line(chain: Chain) -> Line:
    return Line(shape=LineString(chain.points), sources=chain.sources)


def as_regions(areas: Iterable[Area], rings: Sequence[Ring]) -> tuple[Region, ...]:
    """Areas with the handles or ids of the rings that bound them."""
    return tuple(
        Region(
            shape=area.shape, sources=tuple(dict.fromkeys(s for k in area.rings for s in rings[k].sources))
        )
        for area in areas
    )


def without_repeats(rings: Sequence[Ring], remarks: Remarks, *, layer: str) -> list[Ring]:
    """Leave out rings without area, and rings that follow an earlier one.

    Two rings are one outline when they enclose the same area but for the chords: a hatch and the outline
    that bounds it, or a shape pasted twice. Left in, the two would cancel each other.
    """
    shells = [Polygon(ring.points) if len(ring.points) > 3 else Polygon() for ring in rings]
    empty = {
        k for k, shell in enumerate(shells) if shell.is_empty or shapely.make_valid(shell).area <= NO_AREA
    }
    again = _repeated({k: shell for k, shell in enumerate(shells) if k not in empty})
    for code, dropped, what in (
        ("art-speck", empty, "without area"),
        ("art-duplicate", again, "drawn twice"),
    ):
        if dropped:
            sources = named([source for k in sorted(dropped) for source in rings[k].sources])
            message = f"left out on layer {layer}: {counted(len(dropped), 'outline')} {what}"
            remarks.find(code, Severity.NOTE, message, where=f"layer {layer}, {sources}")
    return [ring for k, ring in enumerate(rings) if k not in empty and k not in again]


def _repeated(shells: Mapping[int, Polygon]) -> set[int]:
    """Which of the shells follow an earlier one: first those with the very same box, then nearly so."""
    again: set[int] = set()
    boxes: dict[tuple[float, ...], int] = {}
    for k, shell in shells.items():
        first = boxes.setdefault(tuple(round(bound, 3) for bound in shell.bounds), k)
        if first != k and _one_outline(shells[first], shell):
            again.add(k)
    left = [k for k in shells if k not in again]
    if len(left) > 1:
        corners = np.asarray(shapely.points([shells[k].bounds[:2] for k in left]))
        for a, b in pairs(corners, "dwithin", distance=4 * CHORD_ERROR).tolist():
            if _one_outline(shells[left[a]], shells[left[b]]):
                again.add(left[b])
    return again


def _one_outline(one: Polygon, other: Polygon) -> bool:
    if np.abs(np.subtract(one.bounds, other.bounds)).max() > 4 * CHORD_ERROR:
        return False
    if not (one.is_valid and other.is_valid):
        return bool(one.equals_exact(other, CHORD_ERROR, normalize=True))
    return bool(one.symmetric_difference(other).area <= 2 * CHORD_ERROR * min(one.length, other.length))


def report_crossings(rings: Sequence[Ring], remarks: Remarks, *, layer: str) -> None:
    """Say where an outline crosses itself, and where two outlines cross."""
    shells = [Polygon(ring.points) for ring in rings]
    for ring, shell in zip(rings, shells, strict=True):
        if not shell.is_valid:
            place = remarks.at(_place(shapely.is_valid_reason(shell)))
            remarks.find(
                "art-crossing",
                Severity.WARNING,
                f"an outline on layer {layer} crosses itself at {place}; it was split there",
                where=f"layer {layer}, {named(ring.sources)}",
                hint="see on the proof that the right side was kept, or redraw it",
            )
    edges = [LineString(ring.points) for ring in rings]
    for a, b in pairs(edges, "intersects").tolist() if len(rings) > 1 else ():
        if shells[a].is_valid and shells[b].is_valid and shells[a].overlaps(shells[b]):
            spot = shapely.get_coordinates(edges[a].intersection(edges[b]))[0]
            remarks.find(
                "art-crossing",
                Severity.ERROR,
                f"two outlines on layer {layer} cross at {remarks.at(spot)}; what lies in both is a hole",
                where=f"layer {layer}, {named(rings[a].sources + rings[b].sources)}",
                hint="join the outlines into one, or put them on layers of their own",
            )


def _place(reason: str) -> tuple[float, float]:
    x, y = reason[reason.index("[") + 1 : reason.index("]")].split()[:2]
    return float(x), float(y)


def merge(
    name: str, outlined: Sequence[Region], painted: Sequence[Painted], remarks: Remarks
) -> tuple[Region, ...]:
    """Filled areas and outlined regions of one layer, joined where they meet.

    Where areas of different paint lie upon each other, the drawing shows the upper one only: a fault.
    """
    shapes = [*(region.shape for region in outlined), *(area.shape for area in painted)]
    sources = [*(region.sources for region in outlined), *((area.source,) for area in painted)]
    paints = [*("an outline" for _ in outlined), *(area.paint for area in painted)]
    meeting = pairs(shapes, "intersects")
    for a, b in meeting.tolist():
        if paints[a] != paints[b] and shapes[a].intersection(shapes[b]).area > NO_AREA:
            spot = shapes[a].intersection(shapes[b]).representative_point().coords[0]
            remarks.find(
                "art-overlap",
                Severity.ERROR,
                f"{paints[a]} and {paints[b]} lie upon each other on layer {name} at {remarks.at(spot)}; "
                "both are taken as one area",
                where=f"layer {name}, {named((*sources[a], *sources[b]))}",
                hint="cut one out of the other in the drawing, or put them into groups of their own",
            )
    if not len(meeting):
        return tuple(
            Region(shape=s, sources=tuple(dict.fromkeys(o))) for s, o in zip(shapes, sources, strict=True)
        )
    tree = shapely.STRtree(shapes)
    parts = [part for part in shapely.get_parts(shapely.union_all(shapes)) if part.area > NO_AREA]
    found = []
    for part in parts:
        members = sorted(tree.query(part, predicate="intersects").tolist())
        found.append(
            (
                members,
                Region(shape=part, sources=tuple(dict.fromkeys(s for k in members for s in sources[k]))),
            )
        )
    return tuple(region for _, region in sorted(found, key=lambda item: (item[0], item[1].shape.bounds)))


def report_slivers(regions: Sequence[Region], remarks: Remarks, *, layer: str) -> None:
    """Say which regions are too thin on the average to have been meant."""
    for region in regions:
        width = 2 * region.shape.area / region.shape.length
        if width < SLIVER:
            spot = region.shape.representative_point().coords[0]
            remarks.find(
                "art-sliver",
                Severity.WARNING,
                f"a region on layer {layer} is {remarks.length(width)} wide at {remarks.at(spot)}",
                where=f"layer {layer}, {named(region.sources)}",
                hint="remove it from the drawing if it was not meant",
                mm=width,
            )
