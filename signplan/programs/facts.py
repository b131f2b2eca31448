"""What is known of a program as a whole when its last line was read, and the rules on that."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from signplan.findings import Severity
from signplan.programs.modal import State
from signplan.programs.model import NO_TOOL, Context, Floats, Moves, Sighting, chosen, is_constant
from signplan.programs.moves import Batch
from signplan.programs.source import UnreadableError

MOST_CHANGES = 1000
"""Tool changes of one program; one with more was not made for a person or a machine."""

_SAFE_START = {"plane": "G17", "cutter compensation": "G40", "distance": "G90", "feed mode": "G94"}
"""Modal groups and the code that a program sets before it moves; units have a rule of their own."""


@dataclass(slots=True)
class Run:
    """What a program does between two tool changes; `low` and `high` are the box of its moves at a feed."""

    tool: int
    line: int
    cut_length: float = 0.0
    low: Floats = field(default_factory=lambda: np.full(3, np.inf))
    high: Floats = field(default_factory=lambda: np.full(3, -np.inf))

    def add(self, moves: Moves, part: slice) -> None:
        """Take some moves into account."""
        cuts = moves.cutting[part] & moves.known[part]
        start, end = moves.start[:, part], moves.end[:, part]
        if not cuts.all():
            start, end = chosen(start, cuts), chosen(end, cuts)
        if not end.size:
            return
        x, y, z = end - start
        self.cut_length += float(np.sqrt(x * x + y * y + z * z).sum())
        self.low = np.minimum(self.low, np.minimum(start.min(axis=1), end.min(axis=1)))
        self.high = np.maximum(self.high, np.maximum(start.max(axis=1), end.max(axis=1)))

    @property
    def cuts(self) -> bool:
        """It has a move at a feed."""
        return bool(np.isfinite(self.low).all())


@dataclass(slots=True)
class Facts:
    """Gathered batch by batch.

    `said_before_moving` are the modal groups that the program set before its first move.
    """

    state: State = field(default_factory=State)
    lines: int = 0
    words: bool = False
    after_end: int = 0
    first_move: int = 0
    said_before_moving: frozenset[str] = frozenset()
    units_before_moving: bool = False
    runs: dict[int, Run] = field(default_factory=dict)
    change_line: dict[int, int] = field(default_factory=dict)

    def add(self, batch: Batch) -> None:
        """Take a batch into account.

        Raises:
            UnreadableError: it changes tools more often than any program does.
        """
        self.state, self.lines = batch.state, batch.last_line
        self.words |= batch.words
        self.after_end = self.after_end or batch.after_end
        for line, before, after in batch.lines:
            if after.change > before.change:
                self.change_line[after.change] = line.number
        moves = batch.moves
        if len(moves) and not self.first_move:
            self._begin(batch)
        edges = (
            np.zeros(0, np.intp) if is_constant(moves.change) else np.flatnonzero(np.diff(moves.change)) + 1
        )
        borders = [0, *edges.tolist(), len(moves)] if len(moves) else []
        for first, last in pairwise(borders):
            change = int(moves.change[first])
            if change not in self.runs:
                begun = self.change_line.get(change, int(moves.line[first]))
                self.runs[change] = Run(tool=int(moves.tool[first]), line=begun)
            self.runs[change].add(moves, slice(first, last))
        if batch.state.change > MOST_CHANGES:
            raise UnreadableError(f"it changes tools more than {MOST_CHANGES} times", batch.last_line)

    def _begin(self, batch: Batch) -> None:
        self.first_move = int(batch.moves.line[0])
        states = [batch.lines[0][1]] if batch.lines else [batch.state]
        states += [after for line, _, after in batch.lines if line.number <= self.first_move]
        self.said_before_moving = states[-1].said
        self.units_before_moving = states[-1].scale > 0


ProgramRule = Callable[[Facts, Context], Iterator[Sighting]]


def program_end(facts: Facts, context: Context) -> Iterator[Sighting]:
    """A program ends with M2 or M30, or stands between two lines of %; nothing follows (3.1, 3.6.1)."""
    if not facts.state.ended:
        yield Sighting(
            code="program-end",
            severity=Severity.ERROR,
            subject="none",
            message="the program does not end: there is no M2 or M30, nor a second line of %",
            line=facts.lines,
            hint="it may have been cut short when it was copied; post it again",
        )
    if facts.after_end:
        yield Sighting(
            code="program-end",
            severity=Severity.WARNING,
            subject="after",
            message=f"text after the program's end on line {facts.state.ended} was not read",
            line=facts.after_end,
            hint="make sure that nothing was meant to be cut there",
        )


def units_missing(facts: Facts, context: Context) -> Iterator[Sighting]:
    """Whether numbers are inches or millimetres is said before the first move (3.5.7)."""
    if facts.first_move and not facts.units_before_moving:
        codes = "G20 or G21" if context.dialect == "rs274ngc" else "G70 or G71"
        when = "before its first move" if facts.state.scale else "anywhere"
        yield Sighting(
            code="program-units",
            severity=Severity.ERROR,
            subject="none",
            message=f"the program does not say {when} whether it is in inches or millimetres ({codes})",
            line=facts.first_move,
            hint="a control that stands in the other unit cuts 25.4 times too large or too small",
        )


def safe_start(facts: Facts, context: Context) -> Iterator[Sighting]:
    """What the program before left in force is put back before the first move (common practice)."""
    missing = [code for group, code in _SAFE_START.items() if group not in facts.said_before_moving]
    if facts.first_move and missing:
        yield Sighting(
            code="program-start",
            severity=Severity.WARNING,
            message=f"the program does not set {', '.join(missing)} before its first move",
            line=facts.first_move,
            hint="what the program before it left in force decides how this one is cut",
        )


def no_tool(facts: Facts, context: Context) -> Iterator[Sighting]:
    """A program says which tool it cuts with."""
    run = facts.runs.get(0)
    if run is None or not run.cuts:
        return
    asked = (
        f"T{facts.state.selected} was asked for, but M6 never put it in"
        if facts.state.selected != NO_TOOL
        else ""
    )
    yield Sighting(
        code="program-tool",
        severity=Severity.WARNING,
        subject="none",
        message=asked or "the program cuts before it has changed to any tool: which one it wants is not said",
        line=run.line,
        hint="put T and M6 before the first cut, also where a person changes the tool",
    )


def tool_unlisted(facts: Facts, context: Context) -> Iterator[Sighting]:
    """Every tool number that is called stands in the shop file."""
    for run in facts.runs.values():
        if run.tool != NO_TOOL and context.tool(run.tool) is None:
            yield Sighting(
                code="tool-unlisted",
                severity=Severity.ERROR,
                subject=f"T{run.tool}",
                message=f"T{run.tool} is not a tool of the shop file",
                line=run.line,
                hint="put the cutter into the shop file, or correct the number in the program",
            )


PROGRAM_RULES: tuple[ProgramRule, ...] = (program_end, units_missing, safe_start, no_tool, tool_unlisted)
