"""What a control remembers from line to line, but for what plain moves change: those are read in columns.

In: a line's words. Out: the state that the line's own move is made in. A line's words act in the order of
table 8 of RS274/NGC (section 3.8, from memory), not in the order in which they are written: the feed mode and
the feed, the speed, the tool, the spindle, then everything else that is modal, then the move, then a stop.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from signplan.programs.model import NO_TOOL, Dialect, Line
from signplan.programs.words import G_GROUP, M_GROUP, UNITS

FULL_RESET = (20, 300)
"""M2 and M30 end a program."""

AXES = "XYZ"


@dataclass(frozen=True, kw_only=True, slots=True)
class State:
    """The modal state. Codes are times ten; 0 is "not said yet".

    Attributes:
        scale: mm in a unit of the program; 0 until it says.
        tool, selected: tool number in the spindle, and the one that a T word asked for last.
        change: how many tools the program has changed to.
        turning: M3 or M4 is in force; `speed` is the last S, rpm.
        length: G43 is in force; `length_number` its H.
        moved_zero: the zero was moved (G92, G10), so that places cannot be judged.
        pauses: how often the machine has stood still for a reason other than a move.
        dwell: seconds of G4 so far; `stops`: M0, M1 and M60 so far.
        ended: line of M2, M30 or the second %; 0 before.
        percents: lines of a lone %.
    """

    plane: int = 170
    absolute: bool = True
    inverse: bool = False
    scale: float = 0.0
    compensated: bool = False
    length: bool = False
    length_number: int = NO_TOOL
    path: int = 0
    to_start: bool = True
    tool: int = NO_TOOL
    selected: int = NO_TOOL
    change: int = 0
    turning: bool = False
    speed: float = 0.0
    moved_zero: bool = False
    pauses: int = 0
    dwell: float = 0.0
    stops: int = 0
    ended: int = 0
    percents: int = 0
    said: frozenset[str] = frozenset()

    @property
    def rpm(self) -> float:
        """What the spindle turns at; zero while it stands."""
        return self.speed if self.turning else 0.0


def groups_of(line: Line, dialect: Dialect) -> list[tuple[str, str]]:
    """The (modal group, word) of every code on a line that has one."""
    known = {"G": G_GROUP[dialect], "M": M_GROUP}
    found = []
    for word in line.words:
        group = known.get(word.letter, {}).get(word.key)
        if group:
            found.append((group, str(word)))
    return found


def after(state: State, line: Line, dialect: Dialect) -> State:
    """The state in which the line's own move is made, and in which the next line starts."""
    if line.percent:
        percents = state.percents + 1
        return replace(state, percents=percents, ended=line.number if percents == 2 else state.ended)
    g_codes, m_codes = line.keys("G"), line.keys("M")
    # 1. Feed mode and speed; the feed itself is a column of the moves.
    for code in g_codes:
        if code in (930, 940, 950):
            state = replace(state, inverse=code == 930)
    for value in line.values("S"):
        state = replace(state, speed=value)
    # 2. The tool, then the spindle, which a change has stopped.
    for value in line.values("T"):
        state = replace(state, selected=int(value) if 0 <= value < 1e6 else NO_TOOL)
    if 60 in m_codes:
        state = replace(
            state,
            tool=state.selected,
            change=state.change + 1,
            turning=False,
            pauses=state.pauses + 1,
            length=False,
        )
    for code in m_codes:
        if code in (30, 40, 50):
            state = replace(state, turning=code != 50, pauses=state.pauses + (code != 50))
    # 3. A dwell, and what else is modal.
    if 40 in g_codes:
        seconds = next(iter(line.values("P")), 0.0)
        state = replace(state, dwell=state.dwell + max(seconds, 0.0), pauses=state.pauses + 1)
    state = _modes(state, g_codes, line, dialect)
    # 4. Stops and the end come after the move, but nothing on this line can tell the difference.
    if any(code in (0, 10, 600) for code in m_codes):
        state = replace(state, stops=state.stops + 1, pauses=state.pauses + 1)
    if any(code in FULL_RESET for code in m_codes):
        state = replace(state, ended=line.number)
    groups = {f"{group}" for group, _ in groups_of(line, dialect)}
    return replace(state, said=state.said | groups) if groups - state.said else state


def _modes(state: State, codes: Iterable[int], line: Line, dialect: Dialect) -> State:
    units = UNITS[dialect]
    for code in codes:
        match code:
            case 170 | 180 | 190:
                state = replace(state, plane=code)
            case 900 | 910:
                state = replace(state, absolute=code == 900)
            case 400 | 410 | 420:
                state = replace(state, compensated=code != 400)
            case 430:
                numbers = line.values("H")
                state = replace(state, length=True, length_number=int(numbers[0]) if numbers else NO_TOOL)
            case 490:
                state = replace(state, length=False)
            case 980 | 990:
                state = replace(state, to_start=code == 980)
            case 920 | 921 | 922 | 923 | 100:
                state = replace(state, moved_zero=True)
            case _ if code in units:
                state = replace(state, scale=units[code])
            case _ if G_GROUP[dialect].get(code) == "path":
                state = replace(state, path=code)
    return state
