"""Lines as rows with everything that is in force on them: modal state, motion mode, positions, feed.

In: a table of columns and what the piece before left behind. Out: the same rows with every modal value filled
in, in mm and mm/s. Which moves they make is for `moves` to say.
"""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from signplan.programs.cycles import CYCLES
from signplan.programs.modal import AXES, State, after
from signplan.programs.model import UNKNOWN, Bools, Dialect, Floats, Ints, Line
from signplan.programs.table import COLUMNS, NOTHING_SAID, Table
from signplan.programs.words import G_GROUP

RAPID, CLOCKWISE, ANTICLOCKWISE, PROBE, NONE = 0, 20, 30, 382, 800
"""Motion modes that are treated by themselves, as codes times ten."""

_TO_REFERENCE = frozenset((280, 300))
_AXES_ARE_NO_MOVE = frozenset((100, 280, 300, 920))
_OUT_OF_FRAME = frozenset((530, PROBE))


@dataclass(slots=True, eq=False)
class Carry:
    """What one piece hands to the next. `scale` is what a unit is while the program has not said."""

    scale: float
    state: State = field(default_factory=State)
    place: Floats = field(default_factory=lambda: np.full(3, UNKNOWN))
    motion: int = NOTHING_SAID
    feed: float = np.nan
    pauses: int = 0
    bored: float = np.inf
    cycle: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, eq=False)
class Regimes:
    """The states of a piece, each with the row from which it is in force; and the lines that set them."""

    starts: list[int]
    states: list[State]
    lines: list[tuple[Line, State, State]]


def read_others(table: Table, state: State, dialect: Dialect) -> Regimes:
    """Read the lines that are not plain, up to the end of the program, and fill in their columns."""
    found = Regimes([0], [state], [])
    for row in table.others.tolist():
        line = table.line(row)
        before, state = state, after(state, line, dialect)
        found.lines.append((line, before, state))
        if state is not before:
            found.starts.append(row)
            found.states.append(state)
        _fill(table, row, line, dialect)
        if state.ended:
            break
    return found


def _fill(table: Table, row: int, line: Line, dialect: Dialect) -> None:
    """Put the words of a line into the columns, and mark the positions that it makes unknown."""
    codes = line.keys("G")
    for code in codes:
        if G_GROUP[dialect].get(code) == "motion":
            table.motion[row] = code
    places = _AXES_ARE_NO_MOVE.isdisjoint(codes)
    for word in line.words:
        if (word.letter in COLUMNS or word.letter == "Q") and (places or word.letter not in AXES):
            table.column(word.letter)[row] = word.value
    lost = {axis for axis in AXES if axis in line.rest}
    if not _OUT_OF_FRAME.isdisjoint(codes):
        lost |= {word.letter for word in line.words if word.letter in AXES}
    if not _TO_REFERENCE.isdisjoint(codes):
        lost = set(AXES)
    for axis in lost:
        table.column(axis)[row] = UNKNOWN


class Rows:
    """The first `count` rows of a table, filled in.

    Attributes:
        regime: (n,) which of the states of the piece is in force.
        motion: (n,) motion mode, code times ten.
        given: (3, n) axis words, mm; nan where a line has none.
        scale: (n,) mm in a unit.
        moving: (n,) the line moves the machine.
        lost: (n,) it moves it to where the program does not say.
        cycle, arc: (n,) it does so by a canned cycle, or along an arc.
    """

    def __init__(self, table: Table, regimes: Regimes, carry: Carry, count: int) -> None:
        self.table, self.count = table, count
        self._states = regimes.states
        self.regime = self._regimes(regimes.starts)
        self.scale = self.of("scale")
        if not self.scale.all():
            self.scale = np.where(self.scale > 0, self.scale, carry.scale)
        self.motion = _held_codes(table.motion[:count], carry.motion)
        self.given = np.empty((3, count))
        for k, axis in enumerate(AXES):
            self.given[k] = table.columns[axis][:count] * self.scale if axis in table.columns else np.nan
        x, y, z = np.isnan(self.given)
        self.moving = ~(x & y & z)
        x, y, z = np.isinf(self.given)
        self.lost = x | y | z
        self.cycle = self._none()
        if (self.motion > NONE).any():
            self.cycle = np.isin(self.motion, list(CYCLES)) & self.moving & ~self.lost
        self.arc = (self.motion == CLOCKWISE) | (self.motion == ANTICLOCKWISE)
        if self.arc.any():
            self.moving |= self.arc & ~np.isnan([self.column(letter) for letter in "IJKR"]).all(axis=0)
            self.arc &= self.moving & ~self.lost

    def _regimes(self, starts: list[int]) -> Ints:
        if len(starts) == 1:
            return np.broadcast_to(np.int64(0), self.count)
        edges = np.array([*starts, self.count]).clip(max=self.count)
        return np.repeat(np.arange(len(starts)), np.diff(edges))

    def _none(self) -> Bools:
        return np.zeros(self.count, dtype=bool)

    def of(self, name: str, kind: type = float) -> NDArray[Any]:
        """An attribute of the modal state, by row."""
        values = [getattr(state, name) for state in self._states]
        if len(values) == 1:
            return np.broadcast_to(np.array(values[0], dtype=kind), self.count)
        return np.array(values, dtype=kind)[self.regime]

    def of_each(self, row: Ints, name: str, kind: type = float) -> NDArray[Any]:
        """An attribute of the modal state for some rows; a constant is not stored again for each."""
        values = [getattr(state, name) for state in self._states]
        if len(set(values)) == 1:
            return np.broadcast_to(np.array(values[0], dtype=kind), len(row))
        return np.array(values, dtype=kind)[self.regime[row]]

    def ever(self, name: str) -> bool:
        """An attribute of the modal state holds somewhere."""
        return any(getattr(state, name) for state in self._states)

    def column(self, letter: str) -> Floats:
        """The numbers after a letter as they are written; nan where a line has none."""
        if letter in self.table.columns:
            return self.table.columns[letter][: self.count]
        return np.full(self.count, np.nan)

    def places(self, before: Floats) -> tuple[Floats, Floats]:
        """Where each row starts and ends, (3, n), from the place before them all."""
        absolute = self.of("absolute", bool)
        ends = np.array([held(self.given[k], before[k], absolute) for k in range(3)])
        return np.concatenate((before[:, None], ends[:, :-1]), axis=1), ends

    def feeds(self, before: float) -> tuple[Floats, float]:
        """The feed in force on each row, mm/s, and the last. By inverse time: 1/s, and on that row only."""
        said = self.column("F")
        if not self.ever("inverse"):
            feed = held(said * self.scale / 60, before)
        else:
            inverse = self.of("inverse", bool)
            feed = held(np.where(inverse, np.nan, said * self.scale / 60), before)
            before, feed = float(feed[-1]), np.where(inverse, said / 60, feed)
            return np.where(feed > 0, feed, np.nan), before
        last = float(feed[-1])
        return (feed if last > 0 and (feed > 0).all() else np.where(feed > 0, feed, np.nan)), last


def held(said: Floats, before: float, absolute: Bools | None = None) -> Floats:
    """Each value kept until the next one is said. Where not `absolute`, what is said is added instead.

    >>> nan = np.nan
    >>> held(np.array([nan, 3, nan, 5]), 1.0).tolist()
    [1.0, 3.0, 3.0, 5.0]
    >>> held(np.array([2, 3, nan, 5]), 1.0, np.array([False, True, True, False])).tolist()
    [3.0, 3.0, 3.0, 8.0]
    """
    missing = np.isnan(said)
    if absolute is None or absolute.all():
        if not missing.any():
            return said
        added = None
    else:
        added = np.where(absolute | missing, 0.0, said)
        missing |= ~absolute
    last = np.maximum.accumulate(np.where(missing, -1, np.arange(len(said))))
    kept = np.where(last < 0, before, said[last])
    if added is None:
        return kept
    total = np.cumsum(added)
    places: Floats = kept + total - np.where(last < 0, 0.0, total[last])
    return places


def _held_codes(said: Ints, before: int) -> Ints:
    if (said == NOTHING_SAID).all():
        return np.full(len(said), before)
    last = np.maximum.accumulate(np.where(said == NOTHING_SAID, -1, np.arange(len(said))))
    return np.where(last < 0, before, said[last])
