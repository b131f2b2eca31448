"""What a job can do to people: short cautions, chosen by what it contains, each with where it comes from.

They remind. The employer's safety programme, safety data sheets, the law of the place and engineers decide.
"""

from collections.abc import Iterator

from signplan.documents.words import count, length, weight
from signplan.plan import Plan
from signplan.schedule.exposure import (
    DUST_RESPIRABLE_MG_M3,
    DUST_TOTAL_MG_M3,
    MDI_CEILING_PPM,
    NOISE_ACTION_DBA,
    noise_dose,
)
from signplan.schedule.holding import leak
from signplan.sign.lifting import BENCH, lifting_index, recommended_weight
from signplan.units import KG_PER_POUND

DECIDES = "A licensed engineer and the building official decide."
FAST_MM_S = 250.0
"""A gantry that moves faster than this cannot be dodged; common practice."""


def cautions(plan: Plan) -> Iterator[str]:
    """The lines that this job asks for."""
    change, units = plan.shop.tool_change, plan.job.job.units
    fast, far = max(plan.shop.machine.rapid[:2]), max(each.setup.blank[0] for each in plan.setups)
    if fast >= FAST_MM_S:
        yield (
            f"Rapids of {length(fast, units)} a second over {length(far, units)}: the gantry comes without "
            "warning. Nobody within its reach while it has power (ISO 12100)."
        )
    if change.kind == "by hand":
        yield (
            f"{count(plan.order.changes, 'tool change')} by hand: spindle stopped, power isolated or locked "
            "out, hands out before it is restored (29 CFR 1910.147)."
        )
    elif plan.order.reloads:
        yield "Reloads of the magazine: spindle stopped and isolated while hands are in (29 CFR 1910.147)."
    vacuum = plan.shop.holding.kind != "screws"
    if vacuum and any(each.operation.kind == "cutout" for setup in plan.setups for each in setup.operations):
        yield (
            f"Cut-out: an open kerf lets air in, {_leak(plan)}. Watch the gauge; if it falls, stop the feed, "
            "not the vacuum."
        )
    if plan.shop.holding.kind != "vacuum":
        yield "Screws: each one in its place, head down, before the spindle turns. A screw hit is shrapnel."
    yield (
        f"Foam dust: at most {DUST_TOTAL_MG_M3:g} mg/m³ in all and {DUST_RESPIRABLE_MG_M3:g} respirable "
        "over 8 h (29 CFR 1910.1000). It can burn: extraction on; the dust hazard analysis is the owner's "
        "(NFPA 660)."
    )
    yield from _noise(plan)
    yield (
        f"Polyurethane glue: isocyanates (MDI ceiling {MDI_CEILING_PPM:g} ppm). Gloves, eyes, air as its "
        "safety data sheet says. Anyone sensitised stays away."
    )
    yield from _lifting(plan)
    if plan.hanging or plan.wind:
        yield f"It hangs or stands over people: brackets, bolts, wall and wind. {DECIDES}"


def _leak(plan: Plan) -> str:
    """The most that comes through an open square inch, or square centimetre, at the shop's vacuum."""
    mercury = plan.shop.holding.inches_of_mercury
    if plan.job.job.units == "in":
        return f"up to {leak(25.4**2, mercury) * 60 / 0.3048**3:.0f} ft³ a minute through each square inch"
    return f"up to {leak(100.0, mercury) * 3600:.0f} m³ an hour through each square centimetre"


def _noise(plan: Plan) -> Iterator[str]:
    level, hours = plan.shop.machine.noise_dba, plan.time.seconds / 3600
    if level is None:
        yield "Eye and ear protection; the noise at the operator's place is not stated for this machine."
    elif level >= NOISE_ACTION_DBA:
        dose = noise_dose([(level, hours)])
        share = f", {dose:.0%} of a day's allowance in this job" if dose else ""
        yield f"Noise {level:g} dBA{share}: ear protection, hearing programme (29 CFR 1910.95)."


def _lifting(plan: Plan) -> Iterator[str]:
    pounds, units = plan.mass.total / KG_PER_POUND, plan.job.job.units
    index, limit = lifting_index(pounds), recommended_weight(*BENCH) * KG_PER_POUND
    alone = "two people or a lift" if index > 1 else "one person may, with a clear way"
    yield (
        f"The sign weighs {weight(plan.mass.total, units)}. Off a bench, held "
        f"{length(BENCH[0] * 25.4, units)} out, the NIOSH limit is {weight(limit, units)}: {alone}. Steel "
        "makes it uneven."
    )
