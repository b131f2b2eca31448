"""The cover: what is made, how long it takes, what is still open, who approved it."""

from collections.abc import Iterator, Sequence
from functools import partial
from itertools import chain, repeat
from typing import Any

import numpy as np
from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel
from reportlab.platypus import Table

from signplan.documents.sheet import MISSING, Page, Pen, Space, printable
from signplan.documents.tables import Column, height_of, paged, table
from signplan.documents.traveller.parts import facts, fields, heading, listed, words
from signplan.documents.views import outer_face
from signplan.documents.words import (
    band_words,
    count,
    duration,
    exact,
    faces,
    habit,
    hold_words,
    length,
    room,
    weight,
)
from signplan.findings import Severity
from signplan.plan import Plan
from signplan.sign.looseness import side_play
from signplan.sign.model import Item
from signplan.sign.register import PANELS
from signplan.units import KG_PER_POUND

LIFT_ALONE_KG = 51 * KG_PER_POUND
"""NIOSH's lifting equation allows 51 lb under ideal conditions and less under any other (NIOSH 94-110)."""

QUIET = 4
"""Modules left white round a square code (ISO/IEC 18004)."""

NAMES = 90
"""Characters of hardware names that the cover has room for; the next sheet has them all."""

SEVERITY_WORDS = {Severity.ERROR: "ERROR", Severity.WARNING: "warning", Severity.NOTE: "note"}


def pages(plan: Plan, content: Space) -> Iterator[Page]:
    """The cover, then the hardware and what the checks found."""
    head = plan.job.job
    yield Page(
        title=head.title,
        subtitle=f"Traveller · {plan.shop.name or plan.shop.machine.name} · made from inputs {plan.hash}",
        draw=partial(_cover, plan),
        chapter="Cover",
    )
    yield from _found(plan, content)


LAYOUTS = (
    Column("blanks", 20),
    Column("turned", 40),
    Column("cut out from", 40),
    Column("changes", 25, "right"),
    Column("whole run", 30, "right"),
    Column("", 110, bold=True),
)


def _layouts(plan: Plan, width: float) -> Table | None:
    """Every way to lay the panels out that the job leaves open, each planned whole; None if it leaves one."""
    rows = [
        (
            each.layout.blanks,
            {"side": "like a page", "end": "end over end"}[each.layout.turn],
            f"{each.layout.cutout} faces",
            str(each.changes),
            duration(each.seconds),
            "chosen" if each.chosen else f"refused: {each.refused}" if each.refused else "",
        )
        for each in plan.alternatives
    ]
    return table(LAYOUTS, rows, width, size=10.5) if len(rows) > 1 else None


def _cover(plan: Plan, pen: Pen, space: Space) -> None:
    left, right = space.columns(165, 84, gap=8)
    both = Space(left.x, left.y, left.width, 84)
    for panel, each in zip(PANELS, both.columns(1, 1, gap=10), strict=True):
        pen.text(each.x, each.y + 5, f"SIDE {panel}", size=13, bold=True)
        pen.text(each.right, each.y + 5, "as its reader sees it", size=9, align="right")
        pen.draw(outer_face(plan, panel), Space(each.x, each.y + 8, each.width, each.height - 9))
    _holds(plan, pen, left.below(88))
    rest = facts(pen, right, tuple(_facts(plan)))
    _approvals(plan, pen, Space(right.x, rest.y, right.width, space.bottom - rest.y))


def _facts(plan: Plan) -> Iterator[tuple[str, str]]:
    sign, units = plan.sign, plan.job.job.units
    yield "finished size", f"{length(sign.width, units)} × {length(sign.height, units)}"
    yield "two panels, each", f"{exact(sign.thickness, units)} {plan.board.id}"
    yield "finished weight, steel in it", weight(plan.mass.total, units)
    yield "lifting", lift_note(plan)
    yield "whole run", f"{duration(plan.time.seconds)} ({band_words(plan.time.low, plan.time.high)})"
    yield "its times", plan.time.reason
    names = ", ".join(item.name for item in sign.items) or "none"
    yield "hardware in it", names if len(names) <= NAMES else f"{count(len(sign.items), 'item')}: next sheet"
    yield "checks", findings_words(plan)
    told = plan.job.model_dump_json()
    if printable(told) != told:
        yield "some letters are not in the print font", f"each is shown as {MISSING}"


def lift_note(plan: Plan) -> str:
    """Whether one person may think of lifting the finished sign alone."""
    if plan.mass.total > LIFT_ALONE_KG:
        return "over 51 lb (23 kg): two people or a hoist"
    return "under 51 lb (23 kg), held close; reach and height lower that"


def findings_words(plan: Plan) -> str:
    """How many findings of each kind are open."""
    counts = {severity: sum(each.severity is severity for each in plan.findings) for severity in Severity}
    return ", ".join(count(many, kind.value) for kind, many in counts.items() if many) or "nothing found"


def _holds(plan: Plan, pen: Pen, space: Space) -> None:
    space = heading(pen, space, "Holds: once the vacuum is on, finish")
    columns = (
        Column("setup", 24, bold=True),
        Column("what lies up", 58),
        Column("hold (from, to)", 54, bold=True),
        Column("changes", 21, "right"),
        Column("start by", 21, "right"),
    )
    rows = [
        (
            each.setup.id,
            faces(each.setup),
            hold_words(each),
            str(each.changes),
            each.latest_start or "–",
        )
        for each in plan.setups
    ]
    space = listed(pen, space, columns, rows, size=10)
    _changes(plan, pen, space)


def _changes(plan: Plan, pen: Pen, space: Space) -> None:
    order = plan.order
    bound = "the fewest possible" if order.proven else f"no order has fewer than {order.lower_bound}"
    columns = (
        Column("order of work", 110),
        Column("tool changes", 28, "right"),
        Column("whole run", 36, "right"),
    )
    rows = [(f"as planned: {bound}", str(order.changes), duration(plan.time.seconds))]
    rows += [(habit(each.name), str(each.changes), duration(each.seconds)) for each in plan.comparisons]
    listed(pen, space, columns, rows, size=9.5)


def _approvals(plan: Plan, pen: Pen, space: Space) -> None:
    code = 27.0
    space = heading(pen, Space(space.x, space.bottom - 44, space.width, 44), "Approvals", size=11)
    _qr(plan, pen, Space(space.right - code, space.bottom - code, code, code))
    labels = ("Artwork", "Steel measured", "Release to cut", "Date")
    step = 8.6
    fields(pen, Space(space.x, space.y - 2, space.width - code - 2, 0), labels, size=9, step=step)


def _qr(plan: Plan, pen: Pen, space: Space) -> None:
    """Job, revision and input hash, for a reader at the machine."""
    head = plan.job.job
    code: Any = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(f"signplan {head.number} rev {head.revision} {plan.hash}")
    code.make()
    many = code.getModuleCount()
    side = space.width / (many + 2 * QUIET)
    dark = np.array([[code.isDark(row, column) for column in range(many)] for row in range(many)])
    steps = np.diff(np.pad(dark.astype(int), ((0, 0), (1, 1))))
    starts, ends = np.argwhere(steps == 1), np.argwhere(steps == -1)
    x, y = space.x + QUIET * side, space.y + QUIET * side
    pen.blocks(
        Space(x + start * side, y + row * side, (end - start) * side, side)
        for (row, start), (_, end) in zip(starts.tolist(), ends.tolist(), strict=True)
    )


def _found(plan: Plan, content: Space) -> Iterator[Page]:
    """Hardware, findings and the layouts compared, on as many pages as they need."""
    hardware = table(HARDWARE, list(_hardware(plan)), content.width, size=10.5)
    layouts = _layouts(plan, content.width)
    first = height_of(hardware, content.width) + 28
    found = table(FINDINGS, list(_findings(plan)), content.width, size=10)
    heights = chain([content.height - first], repeat(content.height - 12))
    parts = list(paged(found, content.width, heights))
    ends = (height_of(parts[-1], content.width) if parts[-1] else 0) + (12 if len(parts) > 1 else first)
    alone = layouts is not None and ends + 15 + height_of(layouts, content.width) > content.height
    for number, part in enumerate([*parts, None] if alone else parts):
        last = number == len(parts) - (not alone)
        yield Page(
            title="Hardware and findings" if part or not number else "Layouts compared",
            subtitle=f"What goes into the sign, and what the checks have to say: {findings_words(plan)}",
            draw=partial(_found_part, plan, None if number else hardware, part, layouts if last else None),
            chapter="" if number else "Hardware and findings",
        )


def _found_part(
    plan: Plan, hardware: Table | None, found: Table | None, layouts: Table | None, pen: Pen, space: Space
) -> None:
    if hardware:
        space = heading(pen, space, "Hardware in the sign")
        space = space.below(pen.flow(hardware, space.x, space.y, space.width) + 5)
    if found and not plan.findings:
        space = words(pen, heading(pen, space, "Findings"), "Nothing was found.", size=11).below(3)
    elif found:
        space = heading(pen, space, "Findings" if hardware else "Findings, continued")
        space = space.below(pen.flow(found, space.x, space.y, space.width) + 5)
    if layouts:
        space = heading(
            pen, space, "Layouts compared: every way that the job leaves open, each planned whole"
        )
        pen.flow(layouts, space.x, space.y, space.width)


HARDWARE = (
    Column("item", 50, bold=True),
    Column("parts", 70),
    Column("play", 24, "right"),
    Column("room", 24, "right"),
    Column("at worst", 24, "right"),
    Column("in panel", 22, "center"),
    Column("kept in by", 45),
)

FINDINGS = (
    Column("", 22, bold=True),
    Column("code", 44),
    Column("what was found", 126),
    Column("what to do", 75),
)


def _hardware(plan: Plan) -> Iterator[Sequence[str]]:
    units = plan.job.job.units
    fits = {fit.name: fit for fit in plan.fits}
    for item in plan.sign.items:
        fit = fits.get(item.name)
        kept = item.held_by or ("its pocket" if fit and fit.captive else "NOTHING YET")
        yield (
            item.name,
            ", ".join(item.stock) or count(len(item.parts), "part"),
            room(side_play(item, plan.sign), units),
            room(fit.room, units) if fit else "–",
            room(fit.room_worst, units) if fit else "–",
            _panels(plan, item),
            kept,
        )


def _panels(plan: Plan, item: Item) -> str:
    """The panels that have a pocket for an item."""
    cut = (panel for panel in plan.sign.panels if any(p.hardware == item.name for p in panel.pockets))
    return " and ".join(panel.id for panel in cut) or "–"


def _findings(plan: Plan) -> Iterator[Sequence[str]]:
    for finding in plan.findings:
        where = f" ({finding.where})" if finding.where else ""
        yield SEVERITY_WORDS[finding.severity], finding.code, finding.message + where, finding.hint
