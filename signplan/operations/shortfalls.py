"""What the shop lacks for a piece of work, as findings: a shape of cutter, its reach, its fineness."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from signplan.findings import Finding, Severity
from signplan.job.shop import Tool
from signplan.operations.cutters import Bench, fitting_holes, usable_depth
from signplan.operations.room import Room, leftover, narrowest
from signplan.sign.register import Panel, Placement
from signplan.units import Units, decimal, fine


@dataclass(frozen=True, kw_only=True, slots=True)
class Spot:
    """Where a carving or pocket is, for findings: its key in the job, its panel, the way back to assembly."""

    key: str
    panel: Panel
    back: Placement
    units: Units


def too_fine(room: Room, tool: Tool, spot: Spot) -> Iterator[Finding]:
    """`art-too-fine`: places that the finest cutter does not enter, or stays out of by more than its radius.

    Corners that merely come out round are the cutter's nature and no finding.
    """
    pieces = [(piece, far) for piece, far in leftover(room, tool.diameter / 2) if far > tool.diameter / 2]
    if not pieces:
        return
    area = sum(piece.area for piece, _ in pieces)
    worst = max(pieces, key=lambda each: (each[1], each[0].area))[0]
    wide = narrowest(pieces)
    x, y = spot.back.point(*worst.representative_point().coords[0])
    lost = any(math.isinf(far) for _, far in pieces)
    places = "1 place" if len(pieces) == 1 else f"{len(pieces)} places"
    yield Finding(
        code="art-too-fine",
        severity=Severity.ERROR if lost else Severity.WARNING,
        message=f"'{tool.id}' ({fine(tool.diameter, spot.units)}) does not get into {places} of the artwork, "
        f"{area:.1f} mm2 together; a cutter of {fine(wide, spot.units)} would",
        where=spot.key,
        measured=tool.diameter,
        wanted=wide,
        unit="mm",
        hint="name a smaller cutter in 'tools', or open the gap in the drawing",
        spot=(x, y),
        panel=spot.panel,
    )


def no_hole_cutter(size: tuple[float, float], bench: Bench, spot: Spot, what: str) -> Finding:
    """`tool-missing` or `tool-reach` for holes of a diameter and depth that the shop cannot make."""
    diameter, depth = size
    flats, drills = fitting_holes(diameter, bench)
    what = f"{what} of {fine(diameter, spot.units)}"
    if not flats and not drills:
        return none_of(("drill", "flat"), spot, what)
    return _short(max(flats + drills, key=usable_depth), depth, spot, what)


def none_of(shapes: Sequence[str], spot: Spot, what: str) -> Finding:
    """`tool-missing`: the shop, or the job's own choice, has no cutter of the shape that the work needs."""
    return Finding(
        code="tool-missing",
        severity=Severity.ERROR,
        message=f"there is no {' or '.join(shapes)} cutter for {what}",
        where=spot.key,
        panel=spot.panel,
        hint="name a fitting one in 'tools', add one to the shop file, or change the treatment",
    )


def no_cutter(shapes: Sequence[str], depth: float, bench: Bench, spot: Spot, what: str) -> Finding:
    """`tool-reach` if the shop has such cutters but all too short, otherwise `tool-missing`."""
    known = bench.of_shape(*shapes)
    if not known:
        return none_of(shapes, spot, what)
    return _short(max(known, key=usable_depth), depth, spot, what)


def _short(longest: Tool, depth: float, spot: Spot, what: str) -> Finding:
    return Finding(
        code="tool-reach",
        severity=Severity.ERROR,
        message=f"no cutter fit for {what} goes {decimal(depth, spot.units)} deep; "
        f"the longest, '{longest.id}', goes {decimal(usable_depth(longest), spot.units)}",
        where=spot.key,
        measured=usable_depth(longest),
        wanted=depth,
        unit="mm",
        panel=spot.panel,
        hint="use a longer cutter, or make the cut shallower",
    )


def too_short(tool: Tool, depth: float, spot: Spot) -> Iterator[Finding]:
    """`tool-reach` for a named cutter: an error where its holder would touch, a warning where its shank."""
    if depth <= usable_depth(tool) + 1e-6:
        return
    holder = depth > tool.reach
    limit = tool.reach if holder else tool.cutting_length
    part = "reaches" if holder else "cuts over"
    yield Finding(
        code="tool-reach",
        severity=Severity.ERROR if holder else Severity.WARNING,
        message=f"'{tool.id}' {part} {decimal(limit, spot.units)}, but the cut is "
        f"{decimal(depth, spot.units)} deep",
        where=spot.key,
        measured=limit,
        wanted=depth,
        unit="mm",
        panel=spot.panel,
        hint="use a longer cutter, or make the cut shallower",
    )


def no_way_in(feature: str, tool: Tool, spot: Spot) -> Finding:
    """`tool-missing`: the cutter that a feature is to be cut with does not fit into it anywhere."""
    return Finding(
        code="tool-missing",
        severity=Severity.ERROR,
        message=f"'{tool.id}' ({fine(tool.diameter, spot.units)}) finds no way into {feature}",
        where=spot.key,
        measured=tool.diameter,
        unit="mm",
        panel=spot.panel,
        hint="add a smaller cutter to the shop file, or make the place wider",
    )


def unknown_tool(name: str, spot: Spot) -> Finding:
    """`tool-missing`: a tool is named that is not in the shop file."""
    return Finding(
        code="tool-missing",
        severity=Severity.ERROR,
        message=f"the shop has no tool '{name}'",
        where=spot.key,
        panel=spot.panel,
        hint="use the id of a tool of the shop file",
    )
