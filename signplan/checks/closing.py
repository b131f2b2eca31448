"""Does the sign close round its steel, and does it hold it? One rule of the shop, one generator, one code."""

import math
from collections.abc import Iterator

import shapely
from shapely import Point

from signplan.checks.case import Case, heading
from signplan.findings import Finding, Severity
from signplan.geometry.precision import SAME, TOUCH
from signplan.geometry.shapes import area_of
from signplan.job.shop import Tool
from signplan.sign.assemble import ItemFit, is_loose, overlaps
from signplan.sign.cavity import reach
from signplan.sign.channels import ball_for, ball_needed, channel_depth, rods_of
from signplan.sign.location import heat
from signplan.sign.model import Bar, Item, Plate, Pocket, Sign, Solid
from signplan.sign.mouths import astray, meets_sign, runs_along_edge
from signplan.sign.pockets import foot, gets_in, wanted_depth
from signplan.sign.register import PANELS, Panel
from signplan.sign.relief import corner_room_needed

TEMPERATURE_SWING = 30.0
"""Degrees C that a sign outdoors gets away from the temperature it was glued at; common practice."""


def cavity_tight(case: Case) -> Iterator[Finding]:
    """Steel that does not go in keeps the panels from closing: room must be left at worst registration.

    A corner that the cutter left standing has a finding of its own.
    """
    for item, fit in zip(case.sign.items, case.fits, strict=True):
        if fit.room_worst >= -SAME or _stands_on_corner(case, fit):
            continue
        registration = case.say(fit.room - fit.room_worst)
        if fit.room >= 0:
            says = f"leaves {case.say(fit.room)} of room, and the panels may be out by {registration}"
        else:
            says = f"is in the way by {case.say(-fit.room)}, and the panels may be out by {registration} more"
        yield Finding(
            code="cavity-tight",
            severity=Severity.ERROR,
            message=f"'{fit.name}' {'does' if fit.room < 0 else 'may'} not go into its pockets: at "
            f"{case.place(fit.spot)} panel {fit.panel} {says}.",
            where=f"{item.key}.clearance",
            measured=case.number(fit.room_worst),
            wanted=0.0,
            unit=case.units,
            hint=f"{_clearances_that_do(case, item, -fit.room_worst)} would do, or locate the panels better.",
            spot=fit.spot,
            panel=fit.panel,
        )


def _clearances_that_do(case: Case, item: Item, missing: float) -> str:
    """What to ask for where that much room is missing; the depth too where it has less than the sides."""
    sides = f"A clearance of {case.enough(item.clearance + missing)}"
    if item.depth_clearance >= item.clearance - SAME:
        return sides
    return f"{sides} and a depth_clearance of {case.enough(item.depth_clearance + missing)}"


def cavity_deep(case: Case) -> Iterator[Finding]:
    """A pocket as deep as the panel is thick comes out through the face."""
    for pocket in case.pockets:
        if pocket.depth < case.sign.thickness - SAME:
            continue
        item = case.item(pocket.hardware)
        wanted = max(wanted_depth(item, part, pocket.panel) for part in item.parts)
        spot = pocket.as_cut.representative_point()
        yield Finding(
            code="cavity-deep",
            severity=Severity.ERROR,
            message=f"The pocket for '{item.name}' in panel {pocket.panel} is {case.say(wanted)} deep; the "
            f"panel is {case.say(case.sign.thickness)} thick. It is planned as a hole right through.",
            where=item.key,
            measured=case.number(wanted),
            wanted=case.number(case.sign.thickness),
            unit=case.units,
            hint="Use thicker board or thinner steel, or move the steel nearer to the glue plane ('z').",
            spot=(spot.x, spot.y),
            panel=pocket.panel,
        )


def hardware_not_captive(case: Case) -> Iterator[Finding]:
    """What the sign hangs from must not slide out of it."""
    for item, fit in zip(case.sign.items, case.fits, strict=True):
        goes_in = fit.room >= -SAME and meets_sign(item, case.sign.outline)
        if fit.captive or fit.way_out is None or not goes_in:
            continue
        yield Finding(
            code="hardware-not-captive",
            severity=Severity.ERROR,
            message=f"'{fit.name}' can slide out of the closed sign: it leaves {heading(fit.way_out)}, seen "
            "from side A, without meeting board.",
            where=item.key,
            hint="Give it something wider inside, such as a nut, a washer or a cross bar, or say what else "
            "holds it ('held_by').",
            spot=_middle(item),
        )


def hardware_loose(case: Case) -> Iterator[Finding]:
    """A pocket is open to the glue plane: steel that lies deeper has nothing over it, and rattles."""
    for item, fit in zip(case.sign.items, case.fits, strict=True):
        if fit.room < -SAME or not is_loose(item, fit):
            continue
        yield Finding(
            code="hardware-loose",
            severity=Severity.WARNING,
            message=f"'{item.name}' lies in one panel, and {case.say(fit.toward)} of its pocket stays empty "
            "between it and what is over the glue plane: it can rattle that far.",
            where=item.key,
            measured=case.number(fit.toward),
            wanted=case.number(item.depth_clearance),
            unit=case.units,
            hint="Lay it nearer to the glue plane ('z'), glue in a filler strip and say so ('held_by'), or "
            "use thicker steel.",
            spot=_middle(item),
        )


def _middle(item: Item) -> tuple[float, float]:
    bounds = shapely.total_bounds([part.section(part.z) for part in item.parts])
    return float(bounds[0] + bounds[2]) / 2, float(bounds[1] + bounds[3]) / 2


def hardware_outside(case: Case) -> Iterator[Finding]:
    """Steel lies in the sign, and leaves it across the edge: along the edge no wall is left to hold it."""
    for item in case.sign.items:
        stray = astray(item, case.sign.outline)
        if stray is not None:
            part = "A part of" if meets_sign(item, case.sign.outline) else "The steel of"
            spot, length = stray, None
            message = f"{part} '{item.name}' lies outside the sign, about {case.place(spot)}. The sign is "
            message += f"{case.say(case.sign.width)} wide and {case.say(case.sign.height)} high."
        else:
            along = runs_along_edge(item, case.sign.outline)
            if along is None:
                continue
            spot, length = along.spot, case.number(along.length)
            message = f"'{item.name}' sticks out along {case.say(along.length)} of the edge, about "
            message += f"{case.place(spot)}: no wall is left beside it."
        yield Finding(
            code="hardware-outside",
            severity=Severity.ERROR,
            message=message,
            where=item.key,
            measured=length,
            wanted=None if length is None else 0.0,
            unit="" if length is None else case.units,
            hint="Check its positions, which count from the lower left corner of the outline, and the units "
            "of the job and of the drawing; or move it inward, so that it only crosses the edge.",
            spot=spot,
        )


def hardware_overlap(case: Case) -> Iterator[Finding]:
    """Two pieces of steel cannot be in one place."""
    for overlap in overlaps(case.sign):
        yield Finding(
            code="hardware-overlap",
            severity=Severity.ERROR,
            message=f"'{overlap.first}' and '{overlap.second}' overlap by {case.say(overlap.by)} at "
            f"{case.place(overlap.spot)}.",
            where=case.item(overlap.second).key,
            measured=case.number(overlap.by),
            wanted=0.0,
            unit=case.units,
            hint="Move one of them, or draw the hole that one passes through in the other; what is put "
            "together before it is laid in is one item.",
            spot=overlap.spot,
        )


def pocket_corner(case: Case) -> Iterator[Finding]:
    """A round cutter leaves a fillet in a corner; a sharp corner of steel sits on it."""
    for pocket, tool, left in _corners(case):
        item = case.item(pocket.hardware)
        needed = corner_room_needed(tool.diameter / 2)
        yield Finding(
            code="pocket-corner",
            severity=Severity.ERROR,
            message=f"In panel {pocket.panel} a corner of '{item.name}' meets what cutter {tool.id} leaves "
            f"at {case.place(left)}: with {case.say(item.clearance)} of clearance, and no relief, a "
            f"corner cut with a radius of {case.say(tool.diameter / 2)} wants {case.say(needed)}.",
            where=f"{item.key}.clearance",
            measured=case.number(item.clearance),
            wanted=case.number(needed),
            unit=case.units,
            hint="Relieve the corner, round the steel, use a smaller cutter, or give more clearance.",
            spot=left,
            panel=pocket.panel,
        )


def channel_cutter(case: Case) -> Iterator[Finding]:
    """A channel is cut by one ball: a smaller one leaves no room at the sides, a short one stays up."""
    balls = [tool for tool in case.shop.tools if tool.shape == "ball"]
    for item in case.sign.items:
        lacking = [need for need in _channels(item, case.sign) if ball_for(*need, balls) is None]
        if not lacking:
            continue
        wide = 2 * max(ball_needed(rod, item) for rod, _, _ in lacking)
        deep = max(channel_depth(*need) for need in lacking)
        yield Finding(
            code="channel-cutter",
            severity=Severity.ERROR,
            message=f"'{item.name}' asks for a round-bottomed channel, which takes a ball-nosed cutter of "
            f"{case.say(wide)} or more that reaches {case.say(deep)}. The shop has none; the pocket is "
            "planned with a flat bottom.",
            where=f"{item.key}.bottom",
            measured=case.number(max((tool.diameter for tool in balls), default=0.0)),
            wanted=case.number(wide),
            unit=case.units,
            hint='Add such a cutter to the shop file, or leave bottom = "round" out.',
            spot=_middle(item),
        )


def _channels(item: Item, sign: Sign) -> Iterator[tuple[Bar, Item, Panel]]:
    """The channels that an item should have: those that do not come out through the face."""
    for panel in PANELS:
        for rod in rods_of(item) if item.split in ("both", panel) else ():
            if 0 < channel_depth(rod, item, panel) < sign.thickness - SAME:
                yield rod, item, panel


def _corners(case: Case) -> Iterator[tuple[Pocket, Tool, tuple[float, float]]]:
    """Pockets in which steel stands on a corner, the cutter that left it, and where."""
    for pocket in case.pockets:
        tool = case.shop.tool(pocket.tool)
        left = _met_by_steel(pocket, case.item(pocket.hardware), case.sign)
        if tool is None or left is None:
            continue
        outline = case.sign.panel(pocket.panel).outline
        if gets_in(pocket.drawn, pocket.as_cut, tool.diameter / 2, outline):
            yield pocket, tool, left


def _stands_on_corner(case: Case, fit: ItemFit) -> bool:
    """Whether what is most in an item's way is a corner that the cutter left."""
    left = [p.drawn.difference(p.as_cut) for p, _, _ in _corners(case) if p.hardware == fit.name]
    return any(corner.distance(Point(fit.spot)) <= TOUCH for corner in left)


def _met_by_steel(pocket: Pocket, item: Item, sign: Sign) -> tuple[float, float] | None:
    """Where steel reaches into a corner that the cutter left standing."""
    left = pocket.drawn.difference(pocket.as_cut).intersection(sign.panel(pocket.panel).outline)
    feet = [foot(p, pocket.panel) for p in item.parts if reach(p, pocket.panel) > pocket.above + SAME]
    met = area_of(left.intersection(shapely.union_all(feet)), least=SAME)
    if met.is_empty:
        return None
    spot = max(met.geoms, key=lambda piece: piece.area).representative_point()
    return spot.x, spot.y


def heat_tight(case: Case) -> Iterator[Finding]:
    """Board grows with heat some five times as much as steel: long steel needs room at its ends."""
    for item, fit in zip(case.sign.items, case.fits, strict=True):
        length = max((_length_inside(part, case.sign) for part in item.parts), default=0.0)
        each = heat(length, TEMPERATURE_SWING) / 2
        if each <= item.clearance + SAME or fit.room_worst < 0:
            continue
        yield Finding(
            code="heat-tight",
            severity=Severity.WARNING,
            message=f"'{item.name}' is {case.say(length)} long inside the sign. Over "
            f"{TEMPERATURE_SWING:.0f} C board and steel grow apart by {case.say(each)} at each end; the "
            f"clearance is {case.say(item.clearance)}.",
            where=f"{item.key}.clearance",
            measured=case.number(item.clearance),
            wanted=case.number(each),
            unit=case.units,
            hint="Give more clearance, or use two shorter pieces.",
            spot=_middle(item),
        )


def _length_inside(part: Solid, sign: Sign) -> float:
    """The long side of what board holds at both ends; steel that leaves through the edge is free to grow."""
    shape = part.outline if isinstance(part, Plate) else part.section(part.z)
    if not sign.outline.covers(shape):
        return 0.0
    if isinstance(part, Bar):
        return math.dist(part.start, part.end)
    box = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    return max(math.dist(box[0], box[1]), math.dist(box[1], box[2]))
