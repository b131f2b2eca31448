"""Is the steel as large as its name says?"""

import re
from collections.abc import Iterator
from functools import cache

from signplan.checks.case import Case
from signplan.findings import Finding, Severity
from signplan.job.model import RoundPart
from signplan.job.stock_tables import Stock, all_stock
from signplan.units import parse_length

PIPE = re.compile(r"\bpipes?\b", re.IGNORECASE)

ROUNDED = 0.05
"""How far a nominal size in inches may be out where a job tells it in millimetres, mm."""


@cache
def _pipes() -> tuple[tuple[float, Stock], ...]:
    """Every pipe of the built-in table after its nominal size, mm."""
    pipes = (stock for stock in all_stock() if stock.kind == "pipe")
    return tuple((parse_length(stock.name.removeprefix("pipe "), "in"), stock) for stock in pipes)


def pipe_nominal(case: Case) -> Iterator[Finding]:
    """A pipe is larger than its nominal size: a 1-1/4 pipe measures 1.660 in."""
    for k, item in enumerate(case.job.hardware):
        for n, part in enumerate(item.parts):
            stated = part.diameter if isinstance(part, RoundPart) else None
            if stated is None or not PIPE.search(item.name):
                continue
            stock = next((stock for size, stock in _pipes() if abs(size - stated) <= ROUNDED), None)
            if stock is None or stock.diameter is None:
                continue
            yield Finding(
                code="pipe-nominal",
                severity=Severity.WARNING,
                message=f"'{item.name}' is given as {case.say(stated)} across, a pipe's nominal size; "
                f"{stock.name} measures {case.say(stock.diameter)} outside ({stock.source.split(',')[0]}).",
                where=f"hardware[{k}].part[{n}].diameter",
                measured=case.number(stated),
                wanted=case.number(stock.diameter),
                unit=case.units,
                hint=f'Write stock = "{stock.name}" instead, or the diameter that you measured.',
            )
