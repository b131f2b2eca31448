"""Do the two panels meet as they should: outlines, dowels, pins, and the step at the seam?"""

import math
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import Point, Polygon

from signplan.checks.case import Case
from signplan.findings import Finding, Severity
from signplan.geometry.precision import OUTSIDE, SAME
from signplan.sign.dowels import upside_down_fits
from signplan.sign.fits import pins_bind
from signplan.sign.model import Dowel, PanelPlan
from signplan.sign.web import Web, dowel_webs

SEAM_STEP = 1.0
"""Step at the seam that sanding takes away, if the job does not say how much may be left, mm; common
practice."""


def outlines_differ(case: Case) -> Iterator[Finding]:
    """Seen from one side, the outline of side B must be that of side A."""
    a, b = (panel.outline for panel in case.sign.panels)
    if a.equals_exact(b, SAME):
        return
    by, spot = max(_farthest(a, b), _farthest(b, a))
    if by <= OUTSIDE:
        return
    yield Finding(
        code="outlines-differ",
        severity=Severity.ERROR,
        message=f"Turned over, the outline of side B is not that of side A: {case.say(by)} apart at "
        f"{case.place(spot)}, seen from side A.",
        where="sign.outline_b",
        measured=case.number(by),
        wanted=case.number(OUTSIDE),
        unit=case.units,
        hint="Draw side B's outline as the mirror image of side A's, or leave 'outline_b' out.",
        spot=spot,
    )


def outline_hole(case: Case) -> Iterator[Finding]:
    """A closed line inside the outline, on its layer, is cut right through: perhaps a border was meant."""
    for ring in case.sign.outline.interiors:
        x0, y0, x1, y1 = ring.bounds
        spot = (x0 + x1) / 2, (y0 + y1) / 2
        yield Finding(
            code="outline-hole",
            severity=Severity.WARNING,
            message=f"Inside the outline, on its layer, lies another closed line, {case.say(x1 - x0)} by "
            f"{case.say(y1 - y0)}, about {case.place(spot)}: what it encloses is cut out of both panels, "
            "as a hole through the sign.",
            where="sign.outline",
            hint="If no hole is meant, move it to a layer of its own.",
            spot=spot,
        )


def _farthest(one: Polygon, other: Polygon) -> tuple[float, tuple[float, float]]:
    """How far the edge of one is from the edge of the other at most, and where."""
    edge = other.boundary
    points = shapely.get_coordinates(one.segmentize(max(one.length / 400, 1.0)))
    away = np.asarray(shapely.distance(shapely.points(points), edge))
    k = int(np.argmax(away))
    return float(away[k]), (float(points[k, 0]), float(points[k, 1]))


def dowel_blocked(case: Case) -> Iterator[Finding]:
    """A dowel needs sound board all round it in both panels."""
    wanted, sign = case.job.dowels, case.sign
    if wanted is None:
        return
    webs = dowel_webs(sign, within=sign.web)
    trouble: dict[tuple[int, str], Finding] = {}
    for panel in sign.panels:
        over = [web for web in webs if web.panel == panel.id]
        for k, (dowel, web) in enumerate(zip(panel.dowels, over, strict=True)):
            for cause, words, board, least in _blocked(dowel, web, panel, case):
                found = _dowel_finding(k, dowel, panel, (words, board, least), case)
                other = trouble.setdefault((k, cause), found)
                if (found.measured or 0.0) < (other.measured or 0.0) - SAME:
                    trouble[k, cause] = found
    yield from trouble.values()
    yield from _dowels_meet(case)
    room = len(sign.panels[0].dowels)
    if room < wanted.count and not wanted.at:
        yield Finding(
            code="dowel-blocked",
            severity=Severity.ERROR,
            message=f"There is room for {room} dowels; the job asks for {wanted.count}. The wall to the edge "
            f"({case.say(sign.wall)}), pockets and carving ({case.say(sign.web)} of board) take the rest.",
            where="dowels.count",
            measured=float(room),
            wanted=float(wanted.count),
            hint="Use smaller or shorter dowels, or fewer.",
        )


def _blocked(dowel: Dowel, web: Web, panel: PanelPlan, case: Case) -> Iterator[tuple[str, str, float, float]]:
    """What is in a dowel's way: cause, words, the board that is left, the board that is wanted."""
    sign = case.sign
    middle, radius = Point(dowel.x, dowel.y), dowel.diameter / 2
    edge = panel.outline.boundary.distance(middle) - radius
    if not panel.outline.covers(middle) or edge < sign.wall - SAME:
        inside = edge if panel.outline.covers(middle) else 0.0
        yield "edge", f"is {case.say(inside)} from the edge", inside, sign.wall
    near = ((p.as_cut.distance(middle) - radius, p.hardware) for p in panel.pockets)
    gap, hardware = min(near, default=(math.inf, ""))
    if gap < sign.web - SAME:
        where = "stands in" if gap <= 0 else f"is {case.say(gap)} from"
        yield "pocket", f"{where} the pocket for '{hardware}'", max(gap, 0.0), sign.web
    if web.board < sign.web - SAME:
        over = f"'{web.carving}'" if web.carving else "the face"
        yield "web", f"leaves {case.say(web.board)} of board under {over}", web.board, sign.web


def _dowels_meet(case: Case) -> Iterator[Finding]:
    """Two holes with hardly any board between them are one hole, and hold nothing."""
    dowels = case.sign.panels[0].dowels
    for k, dowel in enumerate(dowels):
        near = ((math.dist((dowel.x, dowel.y), (other.x, other.y)), n) for n, other in enumerate(dowels[:k]))
        apart, n = min(near, default=(math.inf, 0))
        board, least = max(0.0, apart - dowel.diameter), min(case.sign.web, dowel.diameter)
        if board < least - SAME:
            words = f"is {case.say(apart)} from the middle of dowels.at[{n}], which leaves {case.say(board)}"
            yield _dowel_finding(k, dowel, case.sign.panels[0], (words, board, least), case)


def _dowel_finding(
    index: int, dowel: Dowel, panel: PanelPlan, why: tuple[str, float, float], case: Case
) -> Finding:
    reason, board, least = why
    spot = dowel.x, dowel.y
    return Finding(
        code="dowel-blocked",
        severity=Severity.ERROR,
        message=f"The dowel at {case.place(spot)} {reason} in panel {panel.id}; {case.say(least)} of "
        "board is wanted.",
        where=f"dowels.at[{index}]",
        measured=case.number(board),
        wanted=case.number(least),
        unit=case.units,
        hint="Move it, or leave 'at' out and let the planner place the dowels.",
        spot=spot,
        panel=panel.id,
    )


def dowels_symmetric(case: Case) -> Iterator[Finding]:
    """If the dowels also fit after a half turn of one panel, it can be glued on upside down."""
    dowels = case.sign.panels[0].dowels
    miss = max((dowel.diameter for dowel in dowels), default=0.0)
    if not upside_down_fits([(d.x, d.y) for d in dowels], case.sign, miss):
        return
    yield Finding(
        code="dowels-symmetric",
        severity=Severity.ERROR,
        message="Panel B also fits its dowels after a half turn: it can be glued on upside down.",
        where="dowels.at",
        wanted=case.number(miss),
        unit=case.units,
        hint="Move one dowel by more than its diameter, or let the planner place them.",
    )


def seam_step(case: Case) -> Iterator[Finding]:
    """What the edges of the two panels may be out from each other is seen and felt all round the sign."""
    allowed = case.job.work.seam_step or SEAM_STEP
    for stack in case.stacks:
        if stack.kind != "seam" or stack.sampled <= allowed + SAME:
            continue
        yield Finding(
            code="seam-step",
            severity=Severity.WARNING,
            message=f"The edges of the panels may be out by {case.say(stack.sampled)} in 99 of 100 signs "
            f"({case.say(stack.worst)} at worst); {case.say(allowed)} is allowed. Most of it comes from: "
            f"{stack.largest}.",
            where="work.seam_step",
            measured=case.number(stack.sampled),
            wanted=case.number(allowed),
            unit=case.units,
            hint=_better(case, allowed),
        )


def _better(case: Case, allowed: float) -> str:
    """The scheme that would do, as the job file asks for it, or the best there is."""
    own = next((scheme for scheme in case.schemes if scheme.own), None)
    best = next((scheme for scheme in case.schemes if not scheme.refused), None)
    otherwise = "Trim the edge after gluing, or allow more."
    if best is None or own is None or best.seam.sampled >= own.seam.sampled - SAME:
        return f"No other way to turn the blanks or to cut the outline leaves less. {otherwise}"
    keys = ", ".join(
        f'{key} = "{value}"'
        for key, value, now in (
            ("blanks", best.layout.blanks, own.layout.blanks),
            ("locate", best.layout.locate, own.layout.locate),
            ("cutout", best.layout.cutout, own.layout.cutout),
        )
        if value != now
    )
    leaves = f"{best.words}, leaves {case.say(best.seam.sampled)} (work: {keys})"
    if best.seam.sampled <= allowed + SAME:
        return f"This would do: {leaves}. Or trim the edge after gluing."
    return f"The best way, {leaves}, is not enough. {otherwise}"


def pins_tight(case: Case) -> Iterator[Finding]:
    """Two round pins enter two holes only if their clearance takes up the error of their distance apart."""
    if case.job.work.locate == "edge stops":
        return
    error = 2 * case.shop.machine.repeatability
    clearance = case.shop.index_pins.clearance
    if not pins_bind(error, (clearance, clearance)):
        return
    yield Finding(
        code="pins-tight",
        severity=Severity.WARNING,
        message=f"The index pins have {case.say(clearance)} of clearance; four holes bored to "
        f"{case.say(case.shop.machine.repeatability)} are likely {case.say(error)} out in their distance.",
        where="index_pins.clearance",
        measured=case.number(clearance),
        wanted=case.number(error),
        unit=case.units,
        hint="Give the pins that much clearance, or make one hole a slot along the axis.",
    )
