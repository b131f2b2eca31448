"""proof.html: the sign and its plan on one page, for a screen or a printer; needs no network.

One file with inline drawings. The policy in its head lets nothing else run or load.
"""

import base64
import hashlib
import html
from collections.abc import Iterator, Sequence
from importlib import resources

from signplan.documents.measures import running_clock
from signplan.documents.proof_sign import sign_section
from signplan.documents.proof_strip import strip, work
from signplan.documents.words import (
    band_words,
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
)
from signplan.findings import Finding, Severity
from signplan.plan import Plan
from signplan.schedule.by_tool import by_tool
from signplan.timing.model import Seconds


def render_proof(plan: Plan) -> str:
    """The page as HTML; the same plan gives the same text."""
    style, script = _asset("proof.css") + _page_foot(plan), _asset("proof.js")
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


def _page_foot(plan: Plan) -> str:
    """The style that prints job, revision, inputs and page on every page; characters as numbers are safe."""
    head = plan.job.job
    words = f"{head.number} · revision {head.revision} · inputs {plan.hash}"
    if not plan.ready:
        words += " · NOT READY"
    safe = "".join(f"\\{ord(each):06x}" for each in f"{words} · page ")
    return f'@page {{ @bottom-left {{ content: "{safe}" counter(page) " of " counter(pages); }} }}\n'


def _digest(text: str) -> str:
    return base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def _text(words: str) -> str:
    return html.escape(words)


def _body(plan: Plan) -> Iterator[str]:
    yield '<a class="skip" href="#findings">To the findings</a>'
    yield from _header(plan)
    yield "<main>"
    yield '<div class="two">'
    yield from sign_section(plan)
    yield from _findings(plan)
    yield "</div>"
    yield from _work(plan)
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


# Findings


def _findings(plan: Plan) -> Iterator[str]:
    yield '<section class="found" aria-labelledby="findings"><h2 id="findings">Findings</h2>'
    if not plan.findings:
        yield "<p>Nothing was found.</p></section>"
        return
    yield '<ol class="findings">'
    for index, finding in enumerate(plan.findings):
        yield from _finding(index, finding)
    yield "</ol></section>"


def _finding(index: int, finding: Finding) -> Iterator[str]:
    kind = finding.severity.value.upper() if finding.severity is Severity.ERROR else finding.severity.value
    yield f'<li class="{finding.severity.value}" id="finding-{index + 1}" data-finding="{index}">'
    yield f'<p class="kind">{index + 1} · {kind} · {_text(finding.code)}</p><p>{_text(finding.message)}</p>'
    if finding.where:
        yield f"<p>Where: {_text(finding.where)}</p>"
    if finding.hint:
        yield f"<p>What to do: {_text(finding.hint)}</p>"
    if len(finding.spot) >= 2:
        yield (
            f'<button class="screen" type="button" data-finding="{index}" aria-pressed="false">'
            f'show its place<span class="unseen"> ({index + 1})</span></button>'
        )
    yield "</li>"


# The order of work


def _work(plan: Plan) -> Iterator[str]:
    yield '<section aria-labelledby="h-work"><h2 id="h-work">Order of work</h2>'
    yield from strip(plan)
    yield "<details><summary>The same as a table</summary>" + "".join(_work_table(plan)) + "</details>"
    yield "".join(_holds(plan)) + "</section>"


def _work_table(plan: Plan) -> Iterator[str]:
    numbers = operation_numbers(plan)
    rows = []
    for planned in plan.setups:
        for each, (start, _) in zip(planned.operations, running_clock(planned), strict=True):
            rows.append(
                (
                    str(numbers[each.operation.id]),
                    planned.setup.id,
                    work(plan, each),
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
    head = ("what", "cutting", "travel", "tool changes", "handling", "in all")
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

    yield f'<div class="wide" role="group" aria-label="{_text(", ".join(head))}"><table>'
    yield f"<thead><tr>{cells('th', head)}</tr></thead><tbody>"
    yield from (f"<tr>{cells('td', row)}</tr>" for row in rows)
    yield "</tbody></table></div>"
