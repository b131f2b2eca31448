"""One program, streamed once through the rules.

In: a file and what it is held against. Out: what it does, how long that takes, and what is wrong with it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from signplan.findings import Severity
from signplan.programs.against_plan import Site, rapid_into_board
from signplan.programs.clock import Clock
from signplan.programs.collect import Sightings
from signplan.programs.facts import Facts
from signplan.programs.line_rules import quoted
from signplan.programs.model import Context, Line, Moves, Sighting, ToolRun
from signplan.programs.moves import Batch, read_moves
from signplan.programs.rules import LINE_RULES, MOVE_RULES, PLAN_RULES, PROGRAM_RULES
from signplan.programs.source import Piece, UnreadableError, read_pieces
from signplan.programs.thinning import thinned
from signplan.programs.words import LETTERS
from signplan.units import MM_PER

ROUNDING = {"mm": 0.001, "in": 0.0001 * 25.4}
"""Step of a program's coordinates, mm: three places of a millimetre, four of an inch."""


@dataclass(slots=True)
class Reading:
    """What one program says. `seconds` are those of motion, by tool change; none if it cannot be read."""

    facts: Facts
    sightings: Sightings
    seconds: dict[int, float] = field(default_factory=dict)
    readable: bool = True

    @property
    def runs(self) -> tuple[ToolRun, ...]:
        """What it does between tool changes, in order."""
        return tuple(
            ToolRun(
                tool=run.tool,
                line=run.line,
                seconds=self.seconds.get(change, 0.0),
                cut_length=run.cut_length,
                low=tuple(run.low.tolist()) if run.cuts else (),
                high=tuple(run.high.tolist()) if run.cuts else (),
            )
            for change, run in sorted(self.facts.runs.items())
        )


def read_program(path: Path, context: Context, site: Site | None) -> Reading:
    """Read a program to its end. One that cannot be read has one sighting, which says why.

    Raises:
        InputError: it cannot be opened.
    """
    facts, sightings = Facts(), Sightings()
    machine = context.shop.machine
    clock = Clock(machine)
    doubt = _Doubt()
    try:
        # Places that are not known are infinite, and no number once they are compared: that is meant.
        with np.errstate(invalid="ignore", over="ignore"):
            for batch in _batches(path, context, sightings):
                facts.add(batch)
                doubt.add(batch)
                moves = thinned(batch.moves, machine, rounding=ROUNDING[context.units])
                clock.add(moves)
                for sighting in (*_of_lines(batch, context), *_of_moves(moves, context, site)):
                    sightings.add(sighting)
        doubt.settle()
        if not facts.words:
            raise UnreadableError("there is not one word in the file", 1)
    except UnreadableError as refused:
        alone = Sightings()
        alone.add(
            Sighting(
                code="program-unreadable",
                severity=Severity.ERROR,
                message=f"this is no program: {refused}",
                line=refused.line,
                hint="give the file that the machine runs",
            )
        )
        return Reading(facts=Facts(), sightings=alone, readable=False)
    for rule in PROGRAM_RULES:
        for sighting in rule(facts, context):
            sightings.add(sighting)
    return Reading(facts=facts, sightings=sightings, seconds=clock.seconds())


def tools_of(path: Path, context: Context) -> tuple[int, ...]:
    """The tools that a program cuts with, in order; none if it cannot be read."""
    facts = Facts()
    try:
        with np.errstate(invalid="ignore", over="ignore"):
            for batch in _batches(path, context, Sightings()):
                facts.add(batch)
    except UnreadableError:
        return ()
    return tuple(run.tool for run in facts.runs.values() if run.cuts)


def _batches(path: Path, context: Context, sightings: Sightings) -> Iterator[Batch]:
    return read_moves(_pieces(path, sightings), context.dialect, scale=float(MM_PER[context.units]))


def _pieces(path: Path, sightings: Sightings) -> Iterator[Piece]:
    for piece in read_pieces(path):
        for sighting in piece.sightings:
            sightings.add(sighting)
        yield piece


def _of_lines(batch: Batch, context: Context) -> Iterator[Sighting]:
    for line, before, after in batch.lines:
        for rule in LINE_RULES:
            yield from rule(line, before, after, context)


def _of_moves(moves: Moves, context: Context, site: Site | None) -> Iterator[Sighting]:
    if not len(moves) and not moves.faults:
        return
    for rule in MOVE_RULES:
        yield from rule(moves, context)
    yield from rapid_into_board(moves, context, site)
    if site is not None and not moves.moved_zero.any():
        for plan_rule in PLAN_RULES:
            yield from plan_rule(moves, context, site)
        site.clear(moves)


@dataclass(slots=True)
class _Doubt:
    """Whether a file is a program at all: most of one's lines can be read."""

    lines: int = 0
    strange: int = 0
    first: Line | None = None

    def add(self, batch: Batch) -> None:
        """Take a batch into account.

        Raises:
            UnreadableError: there were many lines, and most of them cannot be read.
        """
        self.lines = batch.last_line
        for line, _, _ in batch.lines:
            if _is_strange(line):
                self.strange += 1
                self.first = self.first or line
        if self.strange > _MANY:
            self.settle()

    def settle(self) -> None:
        """Decide, now that no more lines come.

        Raises:
            UnreadableError: most lines cannot be read.
        """
        if self.first is not None and 2 * self.strange > self.lines:
            raise UnreadableError(
                f"{self.strange} of {self.lines} lines cannot be read, first {quoted(self.first.rest)}",
                self.first.number,
            )


_MANY = 50


def _is_strange(line: Line) -> bool:
    if line.words:
        return all(word.letter not in LETTERS for word in line.words)
    return bool(line.rest)
