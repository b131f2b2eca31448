"""Which setup a program belongs to, and whether its tools are the plan's, in the plan's order.

In: the tool runs of all programs of a setup, in the order in which they run. Out: findings of `tool-number`,
`tool-order`, `tool-depth` and `tool-reach`. A tool number is wrong if the plan has another there, and also if
what the tool cuts is clearly the plan's work for another.
"""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import groupby

import numpy as np

from signplan.findings import Severity
from signplan.programs.against_plan import DEEPER, Block, Site
from signplan.programs.facts import Run
from signplan.programs.model import NO_TOOL, Context, Floats, Sighting
from signplan.schedule.model import PlannedSetup
from signplan.units import decimal, to_units

SAME_BOX = 3.0
"""mm between the sides of two boxes of cuts that are taken for the same work; paths differ by that much."""

CLEARLY = 4.0
"""How many times further off a tool's own work has to be than another's, for its number to be doubted."""

_DEPTH_COUNTS = 3.0
"""A difference in depth says more than one in place."""


@dataclass(frozen=True, slots=True)
class ProgramRun:
    """A run of a tool, and which of the setup's programs it stands in."""

    program: int
    run: Run


def told_by(text: str, setups: Sequence[PlannedSetup]) -> str:
    """Id of the only setup that is named in a text; "" if none or several are.

    Letters may be small or capital, and blanks, dashes and underlines are alike; what stands around is not
    part of a longer word.
    """
    plain = re.sub(r"[-_ ]+", "-", text.lower())
    named = [
        each.setup.id
        for each in setups
        if re.search(rf"(?<![a-z0-9]){re.escape(each.setup.id.lower())}(?![a-z0-9])", plain)
    ]
    return named[0] if len(named) == 1 else ""


def told_by_tools(numbers: Sequence[int], setups: Sequence[PlannedSetup]) -> str:
    """Id of the only setup that uses these tools in this order; "" if none or several do."""
    fitting = [each.setup.id for each in setups if _numbers(each) == list(numbers)]
    return fitting[0] if len(fitting) == 1 else ""


def _numbers(planned: PlannedSetup) -> list[int]:
    """Tool numbers of a setup, change by change."""
    return [tool.number for tool, _ in groupby(each.tool for each in planned.operations)]


SetupRule = Callable[[Sequence[ProgramRun], Site, Context], Iterator[tuple[int, Sighting]]]
"""Yields each sighting with the program, by number, that it stands in."""


def tool_number(runs: Sequence[ProgramRun], site: Site, context: Context) -> Iterator[tuple[int, Sighting]]:
    """Every change puts in the tool that the plan has there, and every tool of the plan comes."""
    plan = site.blocks
    wanted, called = {b.tool.number for b in plan}, {each.run.tool for each in runs}
    doubted = set()
    for place, each in enumerate(runs):
        other = _really(each.run, plan)
        if other is not None:
            doubted |= {each.run.tool, other.tool.number}
            yield (
                each.program,
                _wrong_number(each, place, other, context, "cuts here what the plan cuts with"),
            )
    for mine, theirs in _replaced(runs, plan):
        if runs[mine].run.tool not in wanted | doubted | {NO_TOOL}:
            doubted |= {runs[mine].run.tool, plan[theirs].tool.number}
            yield (
                runs[mine].program,
                _wrong_number(runs[mine], mine, plan[theirs], context, "stands where the plan has"),
            )
    for place, each in enumerate(runs):
        if each.run.tool not in wanted | doubted | {NO_TOOL}:
            doubted.add(each.run.tool)
            yield each.program, _unplanned(each, place, context)
    last = runs[-1] if runs else ProgramRun(0, Run(tool=NO_TOOL, line=1))
    for block in plan if NO_TOOL not in called else ():
        if block.tool.number not in called | doubted:
            doubted.add(block.tool.number)
            yield last.program, _never_called(block, context, last.run.line)


def _replaced(runs: Sequence[ProgramRun], plan: Sequence[Block]) -> Iterator[tuple[int, int]]:
    """Places of runs and blocks that stand for each other in two orders of tools that are else alike."""
    mine, theirs = [each.run.tool for each in runs], [block.tool.number for block in plan]
    for what, a, b, c, d in SequenceMatcher(None, mine, theirs, autojunk=False).get_opcodes():
        if what == "replace":
            yield from zip(range(a, b), range(c, d), strict=False)


def _really(run: Run, plan: Sequence[Block]) -> Block | None:
    """The plan's block of another tool whose work a run clearly does; None if it does its own."""
    if not run.cuts or run.tool == NO_TOOL:
        return None
    own = [block for block in plan if block.tool.number == run.tool]
    off = min((_apart(run, *box) for box in _boxes(own)), default=np.inf)
    others = [block for block in plan if block.tool.number != run.tool]
    best = min(others, key=lambda block: _apart(run, block.low, block.high), default=None)
    if best is None:
        return None
    nearest = _apart(run, best.low, best.high)
    return best if nearest < SAME_BOX and off > CLEARLY * nearest + SAME_BOX else None


def _boxes(own: Sequence[Block]) -> Iterator[tuple[Floats, Floats]]:
    """The box of each block, and that of all together: a program may do a tool's work at one go."""
    for block in own:
        yield block.low, block.high
    if own:
        yield np.min([block.low for block in own], axis=0), np.max([block.high for block in own], axis=0)


def _apart(run: Run, low: Floats, high: Floats) -> float:
    """The greatest distance between matching sides of two boxes, mm; depth counts more.

    How high a cut begins is a matter of taste, so the tops are not compared.
    """
    sides = np.abs(np.concatenate((run.low - low, run.high[:2] - high[:2])))
    sides[2] *= _DEPTH_COUNTS
    return float(sides.max())


def _wrong_number(each: ProgramRun, place: int, block: Block, context: Context, how: str) -> Sighting:
    tool = context.tool(each.run.tool)
    mine = f"T{each.run.tool} ({tool.id})" if tool else f"T{each.run.tool}"
    return Sighting(
        code="tool-number",
        severity=Severity.ERROR,
        subject=f"{place} {each.run.tool}",
        message=f"{mine} {how} T{block.tool.number} ({block.tool.id}): {_works(block)}",
        line=each.run.line,
        measured=float(each.run.tool),
        wanted=float(block.tool.number),
        hint="correct the T word, or the tool's number in the shop file",
    )


def _unplanned(each: ProgramRun, place: int, context: Context) -> Sighting:
    tool = context.tool(each.run.tool)
    return Sighting(
        code="tool-number",
        severity=Severity.ERROR,
        subject=f"{place} {each.run.tool}",
        message=f"T{each.run.tool} ({tool.id if tool else 'not in the shop file'}) is called; "
        f"the plan does not use it in {context.setup}",
        line=each.run.line,
        measured=float(each.run.tool),
        hint="correct the T word, or plan with that tool",
    )


def _never_called(block: Block, context: Context, line: int) -> Sighting:
    return Sighting(
        code="tool-number",
        severity=Severity.ERROR,
        subject=f"never {block.tool.number}",
        message=f"T{block.tool.number} ({block.tool.id}) is never called in {context.setup}: {_works(block)}",
        line=line,
        wanted=float(block.tool.number),
        hint="was a program left out?",
    )


def _works(block: Block) -> str:
    names = [each.operation.id for each in block.operations]
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def tool_order(runs: Sequence[ProgramRun], site: Site, context: Context) -> Iterator[tuple[int, Sighting]]:
    """The tools come in the plan's order: it has the fewest changes, and cuts nothing too early."""
    mine = [number for number, _ in groupby(each.run.tool for each in runs)]
    theirs = [block.tool.number for block in site.blocks]
    if mine == theirs or set(mine) != set(theirs) or any(_really(each.run, site.blocks) for each in runs):
        return
    first = next(
        (k for k, (a, b) in enumerate(zip(mine, theirs, strict=False)) if a != b), min(len(mine), len(theirs))
    )
    at = runs[min(first, len(runs) - 1)]
    yield (
        at.program,
        Sighting(
            code="tool-order",
            severity=Severity.WARNING,
            message=f"tools come in the order {_names(mine)}; the plan has {_names(theirs)}",
            line=at.run.line,
            measured=float(len(mine)),
            wanted=float(len(theirs)),
            unit="changes",
            hint="see the traveller for why what comes first",
        ),
    )


def _names(numbers: Sequence[int]) -> str:
    return " ".join(f"T{number}" for number in numbers[:20]) + (" ..." if len(numbers) > 20 else "")


def tool_depth(runs: Sequence[ProgramRun], site: Site, context: Context) -> Iterator[tuple[int, Sighting]]:
    """No tool goes deeper in a setup than the deepest of its planned operations."""
    for each in runs:
        planned = [float(block.low[2]) for block in site.blocks if block.tool.number == each.run.tool]
        if not planned or not each.run.cuts:
            continue
        depth, wanted = -float(each.run.low[2]), -min(planned)
        if depth > wanted + DEEPER:
            yield (
                each.program,
                Sighting(
                    code="tool-depth",
                    severity=Severity.ERROR,
                    subject=f"T{each.run.tool}",
                    message=f"T{each.run.tool} goes {decimal(depth, context.units)} deep; in this setup "
                    f"the plan takes it to {decimal(wanted, context.units)} at most",
                    line=each.run.line,
                    worst=depth,
                    measured=to_units(depth, context.units),
                    wanted=to_units(wanted, context.units),
                    unit=context.units,
                    hint="compare the depths of the operations on the traveller",
                ),
            )


def tool_reach(runs: Sequence[ProgramRun], site: Site, context: Context) -> Iterator[tuple[int, Sighting]]:
    """No tool goes deeper than it reaches below its holder."""
    for each in runs:
        tool = context.tool(each.run.tool)
        if tool is None or not each.run.cuts or -float(each.run.low[2]) <= tool.reach + DEEPER:
            continue
        depth, units = -float(each.run.low[2]), context.units
        yield (
            each.program,
            Sighting(
                code="tool-reach",
                severity=Severity.ERROR,
                subject=f"T{tool.number}",
                message=f"T{tool.number} ({tool.id}) goes {decimal(depth, units)} deep; it reaches "
                f"{decimal(tool.reach, units)} below its holder",
                line=each.run.line,
                worst=depth,
                measured=to_units(depth, units),
                wanted=to_units(tool.reach, units),
                unit=units,
                hint="the holder would rub on the board",
            ),
        )


SETUP_RULES: tuple[SetupRule, ...] = (tool_number, tool_order, tool_depth, tool_reach)
