"""Records of a program check: what a program says, what it does, and what is wrong with it.

Lengths mm, feeds mm/s, times s; positions in the frame of the setup: X right and Y away from the operator
from the blank's lower left corner, Z = 0 on its top.
"""

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from signplan.findings import Finding, Severity
from signplan.job.shop import Board, Shop, Tool
from signplan.schedule.model import PlannedSetup
from signplan.units import Units

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Ints = NDArray[np.int64]

Dialect = Literal["rs274ngc", "iso6983"]

UNKNOWN = np.inf
"""A coordinate of which the program does not say where it is; not a number means 'not said on this line'."""

NO_TOOL = -1


@dataclass(frozen=True, kw_only=True, slots=True)
class Word:
    """A letter and its number. `key` is ten times the number: G61.1 is 611, so that codes are whole."""

    letter: str
    value: float

    @property
    def key(self) -> int:
        """Ten times the number; -1 if that is not whole, which no code is."""
        tenfold = round(self.value * 10)
        return tenfold if abs(self.value * 10 - tenfold) < 1e-6 else -1

    def __str__(self) -> str:
        return f"{self.letter}{self.value:g}"


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """A line that is more than a plain move. `rest` is what of it could not be read as words."""

    number: int
    words: tuple[Word, ...] = ()
    rest: str = ""
    optional: bool = False
    percent: bool = False

    def values(self, letter: str) -> list[float]:
        """The numbers that follow that letter."""
        return [word.value for word in self.words if word.letter == letter]

    def keys(self, letter: str) -> list[int]:
        """The codes of that letter, times ten."""
        return [word.key for word in self.words if word.letter == letter]


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Moves:
    """Straight moves in a row, each starting where the one before it ends; n of them. Arcs are chorded.

    Attributes:
        line, last_line: (n,) where each stands in the file: on one line, or on several that were made one.
        start, end: (3, n); `UNKNOWN` where the program does not say.
        known: (n,) both ends are said.
        low, high: (3,) corners of the box of them all.
        cutting: (n,) at a feed; the others are rapids.
        feed: (n,) mm/s; inf for a rapid, nan where no feed was ever given.
        regime: (n,) differs where the modal state does.
        tool, change: (n,) tool number in the spindle, and which tool change of the program put it there.
        rpm: (n,) zero while the spindle stands.
        path: (n,) path mode as a code times ten: 610 exact path, 611 exact stop, 640 continuous; 0 unsaid.
        rest: (n,) the machine stands still before the move.
        moved_zero: (n,) made after a word that moved the program's zero; its place is not to be judged.
        measured: (n,) a length offset is in force.
        bored_before: lowest Z cut where the first move starts, since the tool came there; inf if none.
        faults: what could not be made a move.
    """

    line: Ints
    last_line: Ints
    start: Floats
    end: Floats
    known: Bools
    low: Floats
    high: Floats
    cutting: Bools
    feed: Floats
    regime: Ints
    tool: Ints
    change: Ints
    rpm: Floats
    path: Ints
    rest: Bools
    moved_zero: Bools
    measured: Bools
    bored_before: float
    faults: tuple["Fault", ...]

    def __len__(self) -> int:
        return len(self.line)

    @property
    def points(self) -> Floats:
        """(3, n + 1): where the first starts, and where each ends."""
        return np.concatenate((self.start[:, :1], self.end), axis=1)


def chosen(places: Floats, which: Ints | Bools) -> Floats:
    """Some of (3, n) places, by number or mask, each axis in one piece of memory as all others are."""
    if which.dtype == bool:
        return places.compress(which, axis=1)
    return places.take(which, axis=1)


def is_constant(values: NDArray[Any]) -> bool:
    """Whether an array is one value repeated without being stored again; False says nothing."""
    return len(values) < 2 or values.strides == (0,)


@dataclass(frozen=True, kw_only=True, slots=True)
class Fault:
    """A line whose move cannot be made, and why: "arc" or "no motion mode"."""

    kind: Literal["arc", "motion"]
    line: int
    why: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Sighting:
    """Something wrong on a line. Sightings with one code and subject become one finding.

    `worst` decides which of them is quoted: the greatest; of equal ones the first.
    """

    code: str
    severity: Severity
    message: str
    line: int
    subject: str = ""
    count: int = 1
    worst: float = 0.0
    measured: float | None = None
    wanted: float | None = None
    unit: str = ""
    hint: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Context:
    """What a program is held against. `planned` is None while its setup is not known."""

    shop: Shop
    board: Board
    units: Units
    dialect: Dialect = "rs274ngc"
    planned: PlannedSetup | None = None

    @property
    def setup(self) -> str:
        """Id of the setup; "" while it is not known."""
        return self.planned.setup.id if self.planned else ""

    def tool(self, number: int) -> Tool | None:
        """The tool with that number, or None."""
        return next((tool for tool in self.shop.tools if tool.number == number), None)


@dataclass(frozen=True, kw_only=True, slots=True)
class ToolRun:
    """What a program does between two tool changes.

    `low` and `high` are the corners of the box that the tip cuts in; both empty if it cuts nothing.
    """

    tool: int
    line: int
    seconds: float
    cut_length: float
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class FileReport:
    """One program: where it belongs, what it does, how long it takes, what is wrong with it.

    Attributes:
        setup: id of its setup; "" if that could not be told.
        told_by: how the setup was told: "its name", "a comment", "its tools".
        runs: its tools in order, each with what it does.
        seconds: motion, dwells, and tool changes with run-up.
        stops: how often it waits for a person, which `seconds` does not count.
        low, high: corners of the box of all moves at a feed; empty if there are none.
    """

    path: str
    setup: str
    told_by: str
    lines: int
    runs: tuple[ToolRun, ...]
    seconds: float
    stops: int
    low: tuple[float, ...]
    high: tuple[float, ...]
    findings: tuple[Finding, ...]

    @property
    def tools(self) -> tuple[int, ...]:
        """Tool numbers in order."""
        return tuple(run.tool for run in self.runs)


@dataclass(frozen=True, kw_only=True, slots=True)
class ProgramReport:
    """All programs that were given, and what is to be said of the job as a whole.

    `planned` has, by setup id, the seconds that the plan computed for cutting, travel and changes.
    """

    units: Units
    files: tuple[FileReport, ...]
    planned: tuple[tuple[str, float], ...]
    findings: tuple[Finding, ...]

    @property
    def all_findings(self) -> tuple[Finding, ...]:
        """Those of every file, then those of the job."""
        return tuple(finding for file in self.files for finding in file.findings) + self.findings
