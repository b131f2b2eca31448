"""proof.html: the sign and its plan on one page, for a screen or a printer; needs no network.

One file with inline drawings. The policy in its head lets nothing else run or load.
"""

import base64
import hashlib
import html
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from importlib import resources

from signplan.documents.drawing import Drawing
from signplan.documents.measures import feature_tag, running_clock
from signplan.documents.svg import number, svg_marks, view_box
from signplan.documents.views import cavity, inner_face, outer_face
from signplan.documents.words import (
    band_words,
    blocks,
    clock,
    count,
    duration,
    exact,
    faces,
    habit,
    hold_words,
    length,
    operation_numbers,
    room,
    weight,
    work_words,
)
from signplan.findings import Finding, Severity
from signplan.plan import Plan
from signplan.schedule.by_tool import by_tool
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.sign.register import PANELS, STAY, Placement, view
from signplan.timing.model import Seconds

RING = 1 / 40
"""Radius of the ring round a finding's place, in the larger side of the sign."""


def render_proof(plan: Plan) -> str:
    """The page as HTML; the same plan gives the same text."""
    style, script = (_asset(name) for name in ("proof.css", "proof.js"))
    policy = f"default-src 'none'; style-src 'sha256-{_digest(style)}'; script-src 'sha256-{_digest(script)}'"
    head = plan.job.job
    return "\n".join(
        (
            "<!doctype html>",
            '<html lang="en">',
            "<head>",
            '<meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{_text(f'{head.number} {head.title}: proof')}</title>",
            f"<style>{style}</style>",
            "</head>",
            "<body>",
            *_body(plan),
            f"<script>{script}</script>",
            "</body>",
            "</html>",
            "",
        )
    )


def _asset(name: str) -> str:
    return (resources.files("signplan.documents") / "page" / name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _text(words: str) -> str:
    return html.escape(words)


def _body(plan: Plan) -> Iterator[str]:
    yield '<a class="skip" href="#findings">To the findings</a>'
    yield from _header(plan)
    yield "<main>"
    yield from _views(plan)
    yield from _findings(plan)
    yield from _strip(plan)
    yield from _hardware(plan)
    yield "</main>"


def _header(plan: Plan) -> Iterator[str]:
    head, sign = plan.job.job, plan.sign
    errors = sum(each.severity is Severity.ERROR for each in plan.findings)
    state = "no error open" if plan.ready else f"NOT READY: {count(errors, 'error')} open"
    facts = (
        ("finished size", f"{length(sign.width, head.units)} × {length(sign.height, head.units)}"),
        ("two panels, each", f"{exact(sign.thickness, head.units)} {plan.board.id}"),
        ("weight, steel in it", weight(plan.mass.total, head.units)),
        ("whole run", f"{duration(plan.time.seconds)} ({band_words(plan.time.low, plan.time.high)})"),
        ("its times", plan.time.reason),
        ("tool changes", _changes(plan)),
    )
    yield "<header>"
    yield f"<h1>{_text(head.title)}</h1>"
    yield f'<p class="under">{_text(f"{head.number} · revision {head.revision} · inputs {plan.hash}")}</p>'
    yield f'<p class="state{"" if plan.ready else " stop"}">{_text(state)}</p>'
    yield '<dl class="facts">'
    yield from (f"<div><dt>{_text(name)}</dt><dd>{_text(value)}</dd></div>" for name, value in facts)
    yield "</dl></header>"


def _changes(plan: Plan) -> str:
    proven = (
        ", the fewest possible" if plan.order.proven else f", at least {plan.order.lower_bound} in any order"
    )
    return f"{plan.order.changes}{proven}"


# Views


@dataclass(frozen=True, kw_only=True, slots=True)
class _View:
    """A drawing that can be shown: where the assembly frame lies in it, and whose face it is ("": both)."""

    id: str
    name: str
    words: str
    drawing: Drawing
    place: Placement
    panel: str


def _faces(plan: Plan) -> Iterator[_View]:
    width = plan.sign.width
    for panel in PANELS:
        yield _View(
            id=f"side-{panel}",
            name=f"side {panel}",
            words=f"Side {panel} as its reader sees it.",
            drawing=outer_face(plan, panel),
            place=view(panel, "outer", width),
            panel=panel,
        )
    for panel in PANELS:
        yield _View(
            id=f"inner-{panel}",
            name=f"inner face of {panel}",
            words=f"Panel {panel}'s inner face, seen from the glue side.",
            drawing=inner_face(plan, panel),
            place=view(panel, "inner", width),
            panel=panel,
        )


def _views(plan: Plan) -> Iterator[str]:
    shown = tuple(_faces(plan))
    yield '<section aria-labelledby="h-views"><h2 id="h-views">The sign</h2>'
    yield '<fieldset class="screen"><legend>show</legend>'
    for name, short in [*((each.id, each.name) for each in shown), ("cavity", "cavity, through side A")]:
        yield f'<label><input type="radio" name="view" value="{name}">{_text(short)}</label>'
    yield '</fieldset><div id="stage">'
    for each in shown:
        marks = svg_marks(each.drawing) + _spots(plan, each.place, each.panel)
        yield _figure(each.id, each.words, each.drawing, marks)
    yield _cavity(plan)
    yield "</div></section>"


def _figure(name: str, words: str, drawing: Drawing, marks: str, more: str = "") -> str:
    seen = view_box(drawing, _ring(drawing) + 2)
    return (
        f'<figure class="view" id="{name}"><svg role="img" aria-label="{_text(words)}" viewBox="{seen}">'
        f"{marks}</svg>{more}<figcaption>{_text(words)}</figcaption></figure>"
    )


def _cavity(plan: Plan) -> str:
    """The steel in its pockets, with side A's face over it, which a slider takes away."""
    inside, face = cavity(plan), outer_face(plan, "A")
    marks = (
        f'{svg_marks(inside)}<g id="over-cavity" opacity="0">{svg_marks(face)}</g>{_spots(plan, STAY, "")}'
    )
    slider = (
        '<label class="screen">see through side A'
        '<input type="range" id="through" min="0" max="100" value="100"></label>'
    )
    words = "Seen from side A with panel A taken away: B's pockets, A's dashed, the steel dark."
    return _figure("cavity", words, inside, marks, slider)


def _ring(drawing: Drawing) -> float:
    return max(drawing.width, drawing.height) * RING


def _spots(plan: Plan, place: Placement, panel: str) -> str:
    """A ring at the place of every finding that this view shows."""
    radius = number(max(plan.sign.width, plan.sign.height) * RING)
    rings = []
    for index, finding in enumerate(plan.findings):
        if len(finding.spot) >= 2 and (not panel or finding.panel in ("", panel)):
            x, y = place.point(finding.spot[0], finding.spot[1])
            title = _text(f"{finding.code}: {finding.message}")
            rings.append(
                f'<circle class="spot" data-finding="{index}" cx="{number(x)}" cy="{number(-y)}" '
                f'r="{radius}"><title>{title}</title></circle>'
            )
    return "".join(rings)


# Findings


def _findings(plan: Plan) -> Iterator[str]:
    yield '<section aria-labelledby="findings"><h2 id="findings">Findings</h2>'
    if not plan.findings:
        yield "<p>Nothing was found.</p></section>"
        return
    yield '<ol class="findings">'
    for index, finding in enumerate(plan.findings):
        yield from _finding(index, finding)
    yield "</ol></section>"


def _finding(index: int, finding: Finding) -> Iterator[str]:
    yield f'<li class="{finding.severity.value}">'
    kind = finding.severity.value.upper() if finding.severity is Severity.ERROR else finding.severity.value
    yield f'<p><span class="kind">{kind} · {_text(finding.code)}</span></p><p>{_text(finding.message)}</p>'
    if finding.where:
        yield f"<p>Where: {_text(finding.where)}</p>"
    if finding.hint:
        yield f"<p>What to do: {_text(finding.hint)}</p>"
    if len(finding.spot) >= 2:
        yield (
            f'<button class="screen" type="button" data-finding="{index}" aria-pressed="false">show its place'
            "</button>"
        )
    yield "</li>"


# The order of work

STRIP, ROW, LEFT = 1100.0, 64.0, 110.0


def _strip(plan: Plan) -> Iterator[str]:
    longest = max((each.hold.seconds for each in plan.setups), default=1.0) or 1.0
    scale, high = (STRIP - LEFT - 10) / longest, ROW * len(plan.setups) + 8
    yield '<section aria-labelledby="h-work"><h2 id="h-work">Order of work</h2>'
    yield '<div class="strip" tabindex="0" role="group" aria-label="Work over time, a row a hold">'
    yield f'<svg viewBox="0 0 {number(STRIP)} {number(high)}" aria-hidden="true">'
    for row, planned in enumerate(plan.setups):
        yield from _strip_row(plan, planned, row * ROW + 6, scale)
    yield "</svg></div>"
    yield "<details><summary>The same as a table</summary>" + "".join(_work_table(plan)) + "</details>"
    yield "".join(_holds(plan)) + "</section>"


def _strip_row(plan: Plan, planned: PlannedSetup, top: float, scale: float) -> Iterator[str]:
    numbers, times = operation_numbers(plan), iter(running_clock(planned))
    yield _strip_text(0, top + 21, planned.setup.id, bold=True)
    yield _strip_text(0, top + 38, duration(planned.hold.seconds))
    yield f'<rect class="s-wait" {_bar(LEFT, top, planned.hold.seconds * scale)}/>'
    for index, block in enumerate(blocks(planned)):
        spans = [next(times) for _ in block]
        for each, (start, end) in zip(block, spans, strict=True):
            words = (
                f"{numbers[each.operation.id]} {_work(plan, each)}, {each.tool.id}, {duration(each.seconds)}"
            )
            bar = _bar(LEFT + start * scale, top, (end - start) * scale)
            look = "s-odd" if index % 2 else "s-even"
            yield f'<rect class="{look}" {bar}><title>{_text(words)}</title></rect>'
        if (spans[-1][1] - spans[0][0]) * scale > 24:
            yield _strip_text(LEFT + spans[0][0] * scale + 4, top + 27, f"T{block[0].tool.number}", bold=True)


def _bar(x: float, y: float, width: float) -> str:
    return f'x="{number(x)}" y="{number(y)}" width="{number(width)}" height="44"'


def _strip_text(x: float, y: float, words: str, *, bold: bool = False) -> str:
    size = 'font-size="15" font-weight="700"' if bold else 'font-size="13"'
    return f'<text x="{number(x)}" y="{number(y)}" {size}>{_text(words)}</text>'


def _work(plan: Plan, each: PlannedOperation) -> str:
    return work_words(each.operation, feature_tag(plan, each.operation.feature))


def _work_table(plan: Plan) -> Iterator[str]:
    numbers = operation_numbers(plan)
    rows = []
    for planned in plan.setups:
        for each, (start, _) in zip(planned.operations, running_clock(planned), strict=True):
            rows.append(
                (
                    str(numbers[each.operation.id]),
                    planned.setup.id,
                    _work(plan, each),
                    f"T{each.tool.number} {each.tool.id}",
                    clock(start),
                    duration(each.seconds),
                )
            )
    yield from _table(("no.", "setup", "what", "tool", "starts at", "takes"), rows, numeric=(0, 4, 5))


def _holds(plan: Plan) -> Iterator[str]:
    rows = [
        (each.setup.id, faces(each.setup), hold_words(each), str(each.changes), each.latest_start or "–")
        for each in plan.setups
    ]
    yield from _table(("setup", "what lies up", "hold", "changes", "start by"), rows, numeric=(3,))
    compared = [("as planned", str(plan.order.changes), duration(plan.time.seconds))]
    compared += [(habit(each.name), str(each.changes), duration(each.seconds)) for each in plan.comparisons]
    yield "<h2>Where the time goes</h2>"
    head = ("", "cutting", "travel", "tool changes", "handling", "in all")
    yield from _table(head, _times(plan), numeric=range(1, 6))
    yield "<h2>Against other orders</h2>"
    yield from _table(("order of work", "tool changes", "whole run"), compared, numeric=(1, 2))


def _times(plan: Plan) -> list[tuple[str, ...]]:
    """By tool, by setup, and of the whole run."""
    every = [each for planned in plan.setups for each in planned.operations]
    rows = [(f"T{each.tool.number} {each.tool.id}", each.seconds) for each in by_tool(every)]
    rows += [(f"setup {planned.setup.id}", planned.seconds) for planned in plan.setups]
    rows += [("whole run", sum((planned.seconds for planned in plan.setups), Seconds()))]
    parts = [(name, (s.cutting, s.travel, s.changes, s.handling, s.total)) for name, s in rows]
    return [(name, *(duration(part) if part else "–" for part in of_it)) for name, of_it in parts]


def _hardware(plan: Plan) -> Iterator[str]:
    units, rows = plan.job.job.units, []
    held = {item.name: item.held_by for item in plan.sign.items}
    for fit in plan.fits:
        by = held.get(fit.name)
        kept = f"held by {by}" if by else "captive" if fit.captive else "NOT CAPTIVE"
        rows.append((fit.name, room(fit.room, units), room(fit.room_worst, units), kept))
    yield '<section aria-labelledby="h-steel"><h2 id="h-steel">Hardware</h2>'
    yield from _table(("item", "least room", "at worst registration", "kept in"), rows, numeric=(1, 2))
    yield "</section>"


def _table(head: Sequence[str], rows: Sequence[Sequence[str]], *, numeric: Sequence[int]) -> Iterator[str]:
    def cells(tag: str, row: Sequence[str]) -> str:
        kinds = (' class="n"' if k in numeric else "" for k in range(len(row)))
        return "".join(f"<{tag}{kind}>{_text(cell)}</{tag}>" for kind, cell in zip(kinds, row, strict=True))

    yield f'<div class="wide"><table><thead><tr>{cells("th", head)}</tr></thead><tbody>'
    yield from (f"<tr>{cells('td', row)}</tr>" for row in rows)
    yield "</tbody></table></div>"
