"""The plan of a job, and the one place that knows the order of the stages.

Documents read a `Plan` and compute nothing; every number on a page is a field here.
"""

import hashlib
from dataclasses import dataclass
from pathlib import Path

from signplan.findings import Finding, Severity
from signplan.job.model import Job
from signplan.job.shop import Board, Shop
from signplan.operations.order import Order
from signplan.schedule.model import Comparison, PlannedSetup
from signplan.sign.assemble import ItemFit
from signplan.sign.location import Stack
from signplan.sign.mass import Mass
from signplan.sign.model import Sign
from signplan.sign.setups import Layout
from signplan.timing.model import Band


@dataclass(frozen=True, kw_only=True, slots=True)
class InputFile:
    """A file that the plan was made from, relative to the job's folder, and its SHA-256."""

    path: str
    sha256: str


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
        text = "\n".join(f"{each.path} {each.sha256}" for each in self.inputs)
        return hashlib.sha256(text.encode()).hexdigest()[:12]


def make_plan(job_file: Path) -> Plan:
    """Read a job (its file or folder) and plan it whole.

    Raises:
        SignplanError: the job, its shop or its artwork cannot be used.
    """
    raise NotImplementedError
