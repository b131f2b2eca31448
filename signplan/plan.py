"""The plan of a job, and the one place that knows the order of the stages.

Documents read a `Plan` and compute nothing; every number on a page is a field here.
"""

from dataclasses import dataclass
from pathlib import Path

from signplan.findings import Finding, Severity
from signplan.job.model import Job
from signplan.job.shop import Board, Shop, Tool
from signplan.operations.model import Need, Operation
from signplan.operations.order import Order
from signplan.sign.assemble import ItemFit
from signplan.sign.location import Stack
from signplan.sign.mass import Mass
from signplan.sign.model import Sign
from signplan.sign.setups import Layout, Setup
from signplan.timing.feeds import CuttingData
from signplan.timing.model import Band, Seconds
from signplan.toolpaths.model import Toolpath


@dataclass(frozen=True, kw_only=True, slots=True)
class InputFile:
    """A file that the plan was made from, relative to the job's folder, and its SHA-256."""

    path: str
    sha256: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedOperation:
    """An operation in its place: setup, path on the table, feeds, time, and what comes first."""

    operation: Operation
    setup: str
    tool: Tool
    cutting: CuttingData
    path: Toolpath
    seconds: float
    needs: tuple[Need, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class PlannedSetup:
    """A setup in working order: its operations as they run, and where its time goes.

    `first_tool` is in the spindle when it starts cutting; `starts_with_change` says whether it has to be
    put there; `changes` counts those of this setup, that one included.
    """

    setup: Setup
    operations: tuple[PlannedOperation, ...]
    first_tool: str
    starts_with_change: bool
    changes: int
    seconds: Seconds
    hold: Band
    latest_start: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Alternative:
    """Another layout that was planned, for comparison."""

    layout: Layout
    setups: int
    changes: int
    seconds: float
    chosen: bool
    refused: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Comparison:
    """The job in an order that people really take."""

    name: str
    changes: int
    seconds: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """Everything that is known about how to make one sign."""

    job: Job
    shop: Shop
    board: Board
    inputs: tuple[InputFile, ...]
    sign: Sign
    layout: Layout
    setups: tuple[PlannedSetup, ...]
    order: Order
    alternatives: tuple[Alternative, ...]
    comparisons: tuple[Comparison, ...]
    fits: tuple[ItemFit, ...]
    stacks: tuple[Stack, ...]
    mass: Mass
    time: Band
    findings: tuple[Finding, ...]

    @property
    def ready(self) -> bool:
        """No finding of severity error is open."""
        return all(finding.severity is not Severity.ERROR for finding in self.findings)

    @property
    def hash(self) -> str:
        """Twelve hexadecimal digits that stand for all input files."""
        import hashlib

        text = "\n".join(f"{each.path} {each.sha256}" for each in self.inputs)
        return hashlib.sha256(text.encode()).hexdigest()[:12]


def make_plan(job_file: Path) -> Plan:
    """Read a job (its file or folder) and plan it whole.

    Raises:
        SignplanError: the job, its shop or its artwork cannot be used.
    """
    raise NotImplementedError
