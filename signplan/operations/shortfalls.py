"""What the shop lacks for a piece of work, as findings: a shape of cutter, its reach, its fineness."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from signplan.findings import Finding, Severity
from signplan.job.shop import Tool
from signplan.operations.cutters import Bench, fitting_holes, hole_depth
from signplan.operations.detail import loses, missed_by, would_do
from signplan.operations.model import Sculpting
from signplan.operations.room import Room, leftover, narrowest
from signplan.sign.register import Panel, Placement
from signplan.units import Units, decimal, fine, to_units

THOUSANDTH = 0.0254
"""A thousandth of an inch, mm."""


FORMED = ("incise", "line", "edge")
"""Treatments that have the form of one cutter: the last that the job names for them."""


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
    radius = tool.diameter / 2
    pieces = [(piece, far) for piece, far in leftover(room, radius) if far > radius]
    if not pieces:
        return
    worst = max(pieces, key=lambda each: (each[1], each[0].area))[0]
    place = spot.back.point(*worst.representative_point().coords[0])
    wide = narrowest(pieces)
    lost = any(math.isinf(far) for _, far in pieces)
    places = "1 place" if len(pieces) == 1 else f"{len(pieces)} places"
    area = _square(sum(piece.area for piece, _ in pieces), spot.units)
    yield Finding(
        code="art-too-fine",
        severity=Severity.ERROR if lost else Severity.WARNING,
        message=f"On side {spot.panel}, '{tool.id}' ({fine(tool.diameter, spot.units)}) does not get into "
        f"{places} of the artwork, {area} together, the worst at {_at(place, spot.units)}; "
        f"a cutter of {fine(wide, spot.units)} would.",
        where=spot.key,
        measured=to_units(tool.diameter, spot.units),
        wanted=to_units(wide, spot.units),
        unit=spot.units,
        hint="Name a smaller cutter in 'tools', or open the gap in the drawing.",
        spot=place,
        panel=spot.panel,
    )


def relief_too_fine(work: Sculpting, ball: Tool, spot: Spot) -> Iterator[Finding]:
    """`art-too-fine` for a relief: what is narrower than the ball that finishes it."""
    missed = missed_by(work, ball.diameter)
    if not loses(missed, work):
        return
    place, wide = spot.back.point(*missed.worst), would_do(work, ball.diameter)
    way = f"; a ball-nosed cutter of {fine(wide, spot.units)} would" if wide else ""
    yield Finding(
        code="art-too-fine",
        severity=Severity.WARNING,
        message=f"On side {spot.panel}, '{ball.id}' ({fine(ball.diameter, spot.units)}) does not get to the "
        f"bottom of {_square(missed.lost, spot.units)} of the relief, the worst at "
        f"{_at(place, spot.units)}, where it leaves {fine(missed.deep, spot.units)}{way}.",
        where=spot.key,
        measured=to_units(ball.diameter, spot.units),
        wanted=to_units(wide, spot.units) if wide else None,
        unit=spot.units,
        hint="Name a smaller ball-nosed cutter in 'tools', or smooth the height map.",
        spot=place,
        panel=spot.panel,
    )


def told_once(findings: Iterable[Finding], units: Units) -> Iterator[Finding]:
    """`art-too-fine` of the same artwork on both sides as one finding that names both places."""
    told: dict[tuple[str, ...], Finding] = {}
    for number, each in enumerate(findings):
        alike = each.message.replace(f"side {each.panel}", "").replace(_at(each.spot, units), "")
        key = (each.where, alike) if each.code == "art-too-fine" else (str(number),)
        if key in told:
            also = f" The same on side {each.panel}, at {_at(each.spot, units)}."
            each = replace(told[key], message=told[key].message + also)
        told[key] = each
    yield from told.values()


def _at(place: Sequence[float], units: Units) -> str:
    return f"({', '.join(fine(each, units) for each in place)})"


def _square(area: float, units: Units) -> str:
    return f"{to_units(to_units(area, units), units):.3f} sq in" if units == "in" else f"{area:.1f} mm2"


def no_hole_cutter(size: tuple[float, float], bench: Bench, spot: Spot, what: str) -> Finding:
    """`tool-missing` or `tool-reach` for holes of a diameter and depth that the shop cannot make."""
    diameter, depth = size
    what = f"{what} of {fine(diameter, spot.units)}"
    longest = longest_for_holes(diameter, bench)
    if longest is None:
        return none_of(("drill", "flat"), spot, what)
    return _short(longest, (hole_depth(longest), depth), spot, what)


def no_index_cutter(diameter: float, bench: Bench, spot: Spot, *, board: float, below: float) -> Finding:
    """The same for the holes of the index pins, through the board and `below` it, into the spoilboard."""
    found = no_hole_cutter((diameter, board + below), bench, spot, "index holes")
    longest = longest_for_holes(diameter, bench)
    if longest is None:
        hint = "Add a drill of that size or a smaller flat cutter to the shop file, or use other index pins."
        return replace(found, panel="", hint=hint)
    left = hole_depth(longest) - board
    ways = [f"set index_pins.depth_in_spoilboard to {_floored(left, spot.units)} at most"] if left > 0 else []
    ways += ["add a longer cutter to the shop file", "or use thinner panels"]
    hint = ", ".join(ways) if len(ways) > 2 else " ".join(ways)
    return replace(found, panel="", hint=f"{hint[0].upper()}{hint[1:]}.")


def _floored(mm: float, units: Units) -> str:
    """A length that may not be exceeded, so never rounded up."""
    step = THOUSANDTH if units == "in" else 0.1
    return decimal(math.floor(mm / step + 1e-6) * step, units)


def longest_for_holes(diameter: float, bench: Bench) -> Tool | None:
    """The cutter that makes the deepest holes of a diameter; None if the shop has none for them."""
    flats, drills = fitting_holes(diameter, bench)
    return max(flats + drills, key=hole_depth, default=None)


def none_of(shapes: Sequence[str], spot: Spot, what: str) -> Finding:
    """`tool-missing`: the shop has no cutter of the shape that the work needs."""
    return _missing(
        f"The shop has no {_any_of(shapes)} for {what}.",
        spot,
        hint="Add one to the shop file, or change what asks for it.",
    )


def wrong_shape(tool: Tool, shapes: Sequence[str], bench: Bench, *, spot: Spot, what: str) -> Finding:
    """`tool-missing`: the job names a cutter of a shape that its treatment cannot be cut with."""
    names = f"'{what}' names '{tool.id}', which"
    if what in FORMED:
        names = f"'{what}' takes its form from '{tool.id}', the last of its 'tools', which"
    known = ", ".join(each.id for each in bench.shop.tools if each.shape in shapes)
    way = "Name one that fits, the last if there are several" if what in FORMED else "Name one that fits"
    given, needed = _a(_cutter(tool.shape)), _a(_any_of(shapes))
    return _missing(
        f"On side {spot.panel}, {names} is {given}; what it needs is {needed}.",
        spot,
        hint=f"{way} ({known}), or leave 'tools' out." if known else "Add one to the shop file.",
    )


def _a(what: str) -> str:
    return f"an {what}" if what[0] in "aeiou" else f"a {what}"


def _any_of(shapes: Sequence[str]) -> str:
    *others, last = ("ball-nosed" if shape == "ball" else shape for shape in shapes)
    return f"{', '.join(others)} or {_cutter(last)}" if others else _cutter(shapes[0])


def _cutter(shape: str) -> str:
    """What a cutter of that shape is called."""
    return {"drill": "drill", "ball": "ball-nosed cutter"}.get(shape, f"{shape} cutter")


def no_cutter(shapes: Sequence[str], depth: float, bench: Bench, spot: Spot, what: str) -> Finding:
    """`tool-reach` if the shop has such cutters but all too short, otherwise `tool-missing`."""
    known = bench.of_shape(*shapes)
    if not known:
        return none_of(shapes, spot, what)
    longest = max(known, key=lambda tool: tool.usable_depth)
    return _short(longest, (longest.usable_depth, depth), spot, what)


def too_short(tool: Tool, depth: float, spot: Spot) -> Iterator[Finding]:
    """`tool-reach` for a named cutter: an error where its holder would touch, a warning where its shank."""
    if depth <= tool.usable_depth + 1e-6:
        return
    holder = depth > tool.reach
    limit = tool.reach if holder else tool.cutting_length
    part = "reaches" if holder else "cuts over"
    message = (
        f"'{tool.id}' {part} {decimal(limit, spot.units)}, but the cut is {decimal(depth, spot.units)} deep."
    )
    yield _reach(message, spot, Severity.ERROR if holder else Severity.WARNING, limits=(limit, depth))


def no_way_in(feature: str, tool: Tool, spot: Spot) -> Finding:
    """`tool-missing`: the cutter that a feature is to be cut with does not fit into it anywhere."""
    return _missing(
        f"'{tool.id}' ({fine(tool.diameter, spot.units)}) finds no way into {feature}.",
        spot,
        hint="Add a smaller cutter to the shop file, or make the place wider.",
    )


def unknown_tool(name: str, spot: Spot) -> Finding:
    """`tool-missing`: a tool is named that is not in the shop file."""
    return _missing(f"The shop has no tool '{name}'.", spot, hint="Use the id of a tool of the shop file.")


def _missing(message: str, spot: Spot, *, hint: str) -> Finding:
    return Finding(
        code="tool-missing",
        severity=Severity.ERROR,
        message=message,
        where=spot.key,
        panel=spot.panel,
        hint=hint,
    )


def _short(longest: Tool, limits: tuple[float, float], spot: Spot, what: str) -> Finding:
    message = (
        f"No cutter fit for {what} goes {decimal(limits[1], spot.units)} deep; "
        f"the longest, '{longest.id}', goes {decimal(limits[0], spot.units)}."
    )
    return _reach(message, spot, Severity.ERROR, limits=limits)


def _reach(message: str, spot: Spot, severity: Severity, *, limits: tuple[float, float]) -> Finding:
    return Finding(
        code="tool-reach",
        severity=severity,
        message=message,
        where=spot.key,
        measured=to_units(limits[0], spot.units),
        wanted=to_units(limits[1], spot.units),
        unit=spot.units,
        panel=spot.panel,
        hint="Use a longer cutter, or make the cut shallower.",
    )
