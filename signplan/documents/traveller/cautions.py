"""Cautions: short reminders, which the shop's own rules and the makers' sheets overrule."""

from collections.abc import Iterator

from signplan.documents.sheet import Page, Pen, Space, paragraph
from signplan.documents.traveller.parts import heading, ticks
from signplan.plan import Plan

DEFER = (
    "These lines remind; they do not certify anything. Your employer's safety programme, the makers' "
    "instructions and safety data sheets, and the law of the place come first wherever they ask for more."
)

CAUTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "At the machine",
        (
            "The gantry moves fast and without warning. Keep hands, hair, sleeves and helpers out of its "
            "reach while it has power.",
            "No gloves and nothing loose near a turning spindle. Gloves are for handling board and steel.",
            "Never reach in with the spindle turning, whatever the program is waiting for. Stop the spindle, "
            "hold the feed, and lock out before hands go near the cutter.",
            "Know where the emergency stop is before you start. If the power fails, nothing may restart by "
            "itself.",
        ),
    ),
    (
        "Holding down",
        (
            "Lost vacuum throws board. Read the gauge before the spindle starts; watch it when kerfs open.",
            "Once a hold has begun, do not let go of the vacuum before its last operation.",
            "Screws and clamps stand outside every path, or they become shrapnel. Dry-run above the board "
            "first.",
        ),
    ),
    (
        "Dust and noise",
        (
            "Foam dust is fine, floats, and can burn. Extraction on before the first cut; no blowing down; "
            "ignition sources away.",
            "Eye and ear protection, and the respirator that your programme names for this dust.",
        ),
    ),
    (
        "Glue and finish",
        (
            "One-part polyurethane glue contains isocyanates: skin contact and vapour can make a person "
            "allergic for life. Gloves, eyes, air: see its safety data sheet. Anyone sensitised stays away.",
            "Solvents and primers: their safety data sheets say what to wear and where to store them.",
        ),
    ),
    (
        "Lifting and hanging",
        (
            "The weight is on the cover. Steel makes it uneven: find the balance before you lift.",
            "A sign over people's heads is a structure. Brackets, bolts, wind and the wall are for a "
            "licensed engineer and the building authority of the place, not for this plan.",
        ),
    ),
)


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """One page."""
    del plan, content
    yield Page(
        title="Cautions",
        subtitle="Read before the first setup; they hold for every sheet that follows",
        draw=_cautions,
        chapter="Cautions",
    )


def _cautions(pen: Pen, space: Space) -> None:
    used = pen.flow(paragraph(DEFER, 11, bold=True), space.x, space.y, space.width)
    left, right = space.below(used + 5).columns(1, 1, gap=10)
    for title, lines in CAUTIONS[:2]:
        left = ticks(pen, heading(pen, left, title), lines, size=11).below(1.5)
    for title, lines in CAUTIONS[2:]:
        right = ticks(pen, heading(pen, right, title), lines, size=11).below(1.5)
    for k in range(3):
        width = space.width / 3
        pen.field(space.x + k * width, space.bottom - 3, "Read by, date", width - 6, size=10)
