"""What the sign weighs, how it hangs, what wind and glue-up ask: reminders, each with who decides."""

from collections.abc import Iterator

from signplan.documents.forces import force
from signplan.documents.sheet import Pen, Space
from signplan.documents.tables import Column
from signplan.documents.traveller.care import DECIDES
from signplan.documents.traveller.parts import heading, listed, words
from signplan.documents.words import place, weight
from signplan.plan import Plan
from signplan.sign.gluing import clamp_force, coverage, glue_area, most_clamp_pressure
from signplan.sign.hanging import HangingLoads
from signplan.sign.wind import NEWTONS_PER_POUND, PASCALS_PER_PSF, WindLoad

SPREAD = (0.006, 0.010)
"""A thin spread of one-part polyurethane, inches; common practice."""

CLAMP_PSI = 5.0
"""Enough to close a thin joint in foam; 5 to 15 lb/in2 is common practice."""

MPA_PER_PSI = NEWTONS_PER_POUND / 25.4**2

LITRE, GALLON = 1e6, 231 * 25.4**3
"""mm3."""


def weight_and_wind(plan: Plan, pen: Pen, space: Space) -> None:
    """Weight and hanging on the left, wind and glue-up on the right."""
    left, right = space.columns(1, 1, gap=10)
    _hanging(plan, pen, _weight(plan, pen, left))
    _clamping(plan, pen, _wind(plan, pen, right))


def _facts(what: str, value: str) -> tuple[Column, Column]:
    return Column(what, 48), Column(value, 52, bold=True)


def _weight(plan: Plan, pen: Pen, space: Space) -> Space:
    units, mass = plan.job.job.units, plan.mass
    x, y, z = mass.centroid
    rows = (
        ("board", weight(mass.board, units)),
        ("steel", weight(mass.steel, units)),
        ("together", weight(mass.total, units)),
        ("balance, from the lower left", f"{place(x, units)}, {place(y, units)}"),
        ("off the glue plane", f"{place(abs(z), units)} toward side {'A' if z >= 0 else 'B'}"),
    )
    return listed(
        pen, heading(pen, space, "Weight"), _facts("without glue and paint", "weighs"), rows, size=11
    )


def _hanging(plan: Plan, pen: Pen, space: Space) -> Space:
    space = heading(pen, space.below(1), "Hanging, at rest")
    if plan.hanging is None:
        said = "No steel leaves the top and no points are stated: it does not hang."
        return words(pen, space, f"{said} {DECIDES}", size=11)
    space = listed(
        pen, space, _facts("seen from side A", "carries"), tuple(_shares(plan, plan.hanging)), size=11
    )
    return words(pen, space, f"A reminder. {DECIDES}", size=11, bold=True)


def _shares(plan: Plan, loads: HangingLoads) -> Iterator[tuple[str, str]]:
    units = plan.job.job.units
    for share in loads.shares:
        at = f"point at {place(share.at[0], units)}, {place(share.at[1], units)}"
        leg = f"; leg pulls {weight(share.tension, units)}" if share.tension != share.load else ""
        yield at, "SLACK" if share.load < 0 else weight(share.load, units) + leg
    yield "leans front to back", f"{abs(loads.lean):.1f}°"
    if len(loads.shares) == 1:
        yield "leans sideways", f"{abs(loads.tilt):.1f}°"
    if loads.working is not None:
        yield f"a hanger may carry (1/{plan.job.hanging.design_factor:g})", weight(loads.working, units)
    if loads.bracket is not None:
        yield "bolts of the bracket, by weight", weight(loads.bracket, units)


def _wind(plan: Plan, pen: Pen, space: Space) -> Space:
    space, wind, asked = heading(pen, space, "Wind"), plan.wind, plan.job.wind
    if wind is None:
        said = (
            "Flat on a wall the wall's own wind rules hold; no figure is given here."
            if asked
            else "No wind is stated for the place ([wind] in the job), so none is worked out."
        )
        return words(pen, space, f"{said} Wind usually governs, not weight. {DECIDES}", size=11)
    space = listed(
        pen, space, _facts(wind.edition, "figures of the job"), tuple(_wind_rows(plan, wind)), size=11
    )
    least = asked.least_psf if asked else 0.0
    said = (
        f"A reminder, by the formula of {wind.edition} for a freestanding solid sign: q = 0.00256 Kz Kzt Kd "
        f"V², F = q G Cf As, and no less than {least:g} lb/ft². Its corners, ice, flapping and the place's "
        f"own code are not in it. {DECIDES}"
    )
    return words(pen, space, said, size=11, bold=True)


def _wind_rows(plan: Plan, wind: WindLoad) -> Iterator[tuple[str, str]]:
    units = plan.job.job.units

    def pull(pounds: float) -> str:
        return f"{pounds:.0f} lb" if units == "in" else f"{pounds * NEWTONS_PER_POUND:.0f} N"

    pressure = f"{wind.pressure:.1f} lb/ft²" if units == "in" else f"{wind.pressure * PASCALS_PER_PSF:.0f} Pa"
    yield "velocity pressure", f"{pressure} (Kz {wind.exposure_factor:.2f})"
    yield "force on the face", f"{pull(wind.force)} (Cf {wind.force_coefficient:.2f}; {wind.governs})"
    yield "at allowable stress", pull(wind.allowable)
    if plan.hanging:
        yield "hung free it would stand out", f"{wind.swing:.0f}°, and flap: fit a restraint"
    if wind.bracket is not None:
        yield "bolts of the bracket, by wind", pull(wind.bracket)


# Glue-up


def _clamping(plan: Plan, pen: Pen, space: Space) -> None:
    """What the glue-up asks of clamps, and what the board bears."""
    space = heading(pen, space.below(1), "Closing the sign")
    space = listed(pen, space, _facts("for planning", "about"), tuple(_clamp_rows(plan)), size=11)
    words(
        pen,
        space,
        "The adhesive's label, its safety data sheet and the board maker's strength replace these.",
        size=11,
    )


def _clamp_rows(plan: Plan) -> Iterator[tuple[str, str]]:
    units, glued = plan.job.job.units, glue_area(plan.sign).area
    most = most_clamp_pressure(plan.board.density)
    total = clamp_force(glued, CLAMP_PSI * MPA_PER_PSI)
    if units == "in":
        thin, thick = (coverage(GALLON, 25.4 * each) / 304.8**2 for each in SPREAD)
        yield "a gallon covers, thin", f"{thick:.0f} to {thin:.0f} ft²"
        yield f"clamps together, {CLAMP_PSI:g} psi", force(total, units)
        yield "never above", f"{most / MPA_PER_PSI:.0f} psi"
    else:
        thin, thick = (coverage(LITRE, 25.4 * each) * 1e-6 for each in SPREAD)
        yield "a litre covers, thin", f"{thick:.1f} to {thin:.1f} m²"
        yield f"clamps together, {CLAMP_PSI * MPA_PER_PSI * 1000:.0f} kPa", force(total, units)
        yield "never above", f"{most * 1000:.0f} kPa"
