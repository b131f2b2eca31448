"""The order of work on the proof: a strip over time, a row a hold, a new shade for every cutter."""

import html
from collections.abc import Iterator

from signplan.documents.measures import feature_tag, running_clock
from signplan.documents.svg import number
from signplan.documents.words import blocks, duration, operation_numbers, work_words
from signplan.plan import Plan
from signplan.schedule.model import PlannedOperation, PlannedSetup

WIDE, ROW, BAR, LEFT, AXIS = 1100.0, 64.0, 44.0, 110.0, 24.0
"""Size of the strip, of a row, its bar, the names on the left and the axis, in the drawing's own units."""

TICKS = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480)
"""Minutes that ticks may be apart."""

MOST_TICKS = 10


def strip(plan: Plan) -> Iterator[str]:
    """The strip as one drawing; the table beside it says the same to those who cannot see it."""
    longest = max((each.hold.seconds for each in plan.setups), default=1.0) or 1.0
    scale, high = (WIDE - LEFT - 10) / longest, AXIS + ROW * len(plan.setups)
    yield '<div class="strip" role="group" aria-label="Work over time, a row a hold">'
    yield f'<svg viewBox="0 0 {number(WIDE)} {number(high)}" aria-hidden="true">'
    yield from _axis(longest, high, scale)
    for row, planned in enumerate(plan.setups):
        yield from _row(plan, planned, AXIS + row * ROW + 8, scale)
    yield "</svg></div>"
    yield (
        '<p class="under" id="bar">A bar is cutting, a new shade a new cutter, T its place in the magazine; '
        "what stands open is tool changes and stops. Minutes count from when the blank is held.</p>"
    )


def _axis(longest: float, high: float, scale: float) -> Iterator[str]:
    minutes = longest / 60
    step = next((each for each in TICKS if minutes / each <= MOST_TICKS), TICKS[-1])
    for tick in range(0, int(minutes) + 1, step):
        x = number(LEFT + tick * 60 * scale)
        yield f'<path class="s-tick" d="M{x} {number(AXIS - 6)}V{number(high)}"/>'
        anchor, words = ("middle", str(tick)) if tick else ("start", "0 min")
        yield f'<text x="{x}" y="13" font-size="13" text-anchor="{anchor}">{words}</text>'


def _row(plan: Plan, planned: PlannedSetup, top: float, scale: float) -> Iterator[str]:
    numbers, times = operation_numbers(plan), iter(running_clock(planned))
    yield _words(0, top + 19, planned.setup.id, bold=True)
    yield _words(0, top + 36, duration(planned.hold.seconds))
    yield f'<rect class="s-wait" {_bar(LEFT, top, planned.hold.seconds * scale)}/>'
    for index, block in enumerate(blocks(planned)):
        spans = [next(times) for _ in block]
        for each, (start, end) in zip(block, spans, strict=True):
            words = (
                f"{numbers[each.operation.id]} {work(plan, each)}, {each.tool.id}, {duration(each.seconds)}"
            )
            bar = _bar(LEFT + start * scale, top, (end - start) * scale)
            look = "s-odd" if index % 2 else "s-even"
            yield f'<rect class="{look}" {bar}><title>{html.escape(words)}</title></rect>'
        if (spans[-1][1] - spans[0][0]) * scale > 24:
            yield _words(LEFT + spans[0][0] * scale + 4, top + 27, f"T{block[0].tool.number}", bold=True)


def work(plan: Plan, each: PlannedOperation) -> str:
    """What an operation does, with the number of its feature."""
    return work_words(each.operation, feature_tag(plan, each.operation.feature))


def _bar(x: float, y: float, width: float) -> str:
    return f'x="{number(x)}" y="{number(y)}" width="{number(width)}" height="{number(BAR)}"'


def _words(x: float, y: float, words: str, *, bold: bool = False) -> str:
    size = 'font-size="15" font-weight="700"' if bold else 'font-size="13"'
    return f'<text x="{number(x)}" y="{number(y)}" {size}>{html.escape(words)}</text>'
