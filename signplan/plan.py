"""The plan of a job, and the one place that knows the order of the stages.

Documents read a `Plan` and compute nothing; every number on a page is a field here.
"""

import hashlib
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from signplan.artwork.importer import read_artwork
from signplan.artwork.model import Artwork
from signplan.artwork.read_height import read_height
from signplan.checks.case import Case
from signplan.checks.hanging import Hung, check_hanging
from signplan.checks.holding import Held, check_holding
from signplan.checks.judge import check_sign
from signplan.checks.machine import check_machine
from signplan.checks.work import Day, check_work
from signplan.cost.model import Costing
from signplan.cost.quote import Made, cost
from signplan.errors import InputError
from signplan.findings import Finding, Severity, in_reading_order
from signplan.job.model import Art, FlatPart, Job
from signplan.job.read import LoadedJob, read_job
from signplan.job.shop import Board, Shop
from signplan.operations.build import build_operations
from signplan.operations.order import Order
from signplan.schedule.calibrated import calibrated
from signplan.schedule.holding import Hold, holds
from signplan.schedule.model import Comparison, PlannedSetup, Schedule
from signplan.schedule.way import cut_all, cutout_diameter, schedule
from signplan.sign import assemble
from signplan.sign.assemble import ItemFit
from signplan.sign.build import build_sign
from signplan.sign.fits import Stack
from signplan.sign.hanging import HangingLoads, hang
from signplan.sign.location import play, stacks
from signplan.sign.mass import Mass, weigh
from signplan.sign.model import Sign
from signplan.sign.register import Face, Turn
from signplan.sign.schemes import Scheme, schemes
from signplan.sign.setups import Blanks, Layout, too_large
from signplan.sign.wind import WindLoad, wind_load
from signplan.timing.calibrate import Calibration, calibrate
from signplan.timing.estimate import together
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
    schemes: tuple[Scheme, ...]
    mass: Mass
    time: Band
    calibration: Calibration
    holds: tuple[Hold, ...]
    hanging: HangingLoads | None
    wind: WindLoad | None
    costing: Costing
    findings: tuple[Finding, ...]

    @property
    def ready(self) -> bool:
        """No finding of severity error is open."""
        return all(finding.severity is not Severity.ERROR for finding in self.findings)

    @property
    def hash(self) -> str:
        """Twelve hexadecimal digits that stand for all input files."""
        return hash_of(self.inputs)


def hash_of(inputs: Iterable[InputFile]) -> str:
    """Twelve hexadecimal digits that stand for some input files."""
    text = "\n".join(f"{each.path} {each.sha256}" for each in inputs)
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def make_plan(job_file: Path) -> Plan:
    """Read a job (its file or folder) and plan it whole.

    Raises:
        SignplanError: the job, its shop or its artwork cannot be used.
    """
    loaded = read_job(job_file)
    job, shop = loaded.job, loaded.shop
    board = next(board for board in shop.boards if board.id == job.sign.board)
    drawings, heights, findings = _read_artwork(loaded)

    sign, found = _build_sign(loaded, drawings, heights)
    findings += found
    calibration = calibrate(loaded.log, shop)
    schedules, chosen, found = _schedules(sign, job, shop, board=board, calibration=calibration)
    findings += found

    setups = [planned.setup for planned in chosen.setups]
    cutter = cutout_diameter(each for planned in chosen.setups for each in planned.operations)
    stacked = stacks(sign, shop, setups)
    ranked = schemes(sign, shop, chosen.layout, setups, cutter=cutter)
    fits = assemble.closing(sign, play(stacked))
    mass = weigh(sign, board.density)
    findings += check_sign(
        Case(sign=sign, fits=fits, stacks=stacked, job=job, shop=shop, schemes=ranked, mass=mass)
    )
    day = Day(schedule=chosen, job=job, shop=shop)
    findings += check_work(day)
    findings += check_machine(day)
    held = holds(chosen.setups, sign, shop, board)
    findings += check_holding(Held(day=day, holds=held, sign=sign, board=board))
    hanging = hang(sign, mass, job.hanging)
    findings += check_hanging(Hung(loads=hanging, units=job.job.units))
    others = tuple(each for each in schedules if each is not chosen)
    made = Made(
        sign=sign, job=job, shop=shop, board=board, schedule=chosen, others=others, calibration=calibration
    )
    return Plan(
        job=job,
        shop=shop,
        board=board,
        inputs=_inputs(loaded),
        sign=sign,
        layout=chosen.layout,
        setups=chosen.setups,
        order=chosen.order,
        alternatives=tuple(_alternative(each, chosen) for each in schedules),
        comparisons=chosen.comparisons,
        fits=fits,
        stacks=stacked,
        schemes=ranked,
        mass=mass,
        time=together([each.hold for each in chosen.setups], chosen.seconds.handling),
        calibration=calibration,
        holds=held,
        hanging=hanging,
        wind=wind_load(sign, mass.total, job),
        costing=cost(made),
        findings=in_reading_order(findings),
    )


def _build_sign(
    loaded: LoadedJob, drawings: Mapping[str, Artwork], heights: Mapping[str, NDArray[np.float64]]
) -> tuple[Sign, tuple[Finding, ...]]:
    """The sign; what it lacks in a drawing is told at the line of the job that asks for it."""
    try:
        return build_sign(loaded.job, loaded.shop, drawings, heights)
    except InputError as error:
        raise InputError(*(loaded.placed(problem) for problem in error.problems)) from error


def _schedules(
    sign: Sign, job: Job, shop: Shop, *, board: Board, calibration: Calibration
) -> tuple[list[Schedule], Schedule, tuple[Finding, ...]]:
    """Every layout that the job leaves open, planned whole; the best of them; what was found on its way."""
    layouts = _layouts(job)
    faces = dict.fromkeys(layout.cutout for layout in layouts)
    built = {face: build_operations(sign, job, shop, cutout=face) for face in faces}
    cuts = {face: tuple(cut_all(operations, shop, board)) for face, (operations, _) in built.items()}
    computed = [schedule(sign, job, shop, layout=each, cuts=cuts[each.cutout]) for each in layouts]
    schedules = [calibrated(each, calibration, until=job.work.until) for each in computed]
    chosen = _best(schedules, shop.machine.bed)
    return schedules, chosen, (*built[chosen.layout.cutout][1], *chosen.findings)


def _best(schedules: Sequence[Schedule], bed: tuple[float, float]) -> Schedule:
    """The quickest that can be used; of none, one whose blanks at least lie on the bed, (X, Y) mm."""

    def rank(each: Schedule) -> tuple[bool, bool, float]:
        off_the_bed = too_large([planned.setup for planned in each.setups], bed)
        return bool(each.refused), bool(off_the_bed), each.seconds.total

    return min(schedules, key=rank)


def _layouts(job: Job) -> tuple[Layout, ...]:
    """The layouts that the job leaves open."""
    work = job.work
    blanks: tuple[Blanks, ...] = ("one", "two") if work.blanks == "auto" else (work.blanks,)
    turns: tuple[Turn, ...] = ("side", "end") if work.turn == "auto" else (work.turn,)
    faces: tuple[Face, ...] = ("outer", "inner") if work.cutout == "auto" else (work.cutout,)
    return tuple(
        Layout(blanks=each, turn=turn, cutout=face, locate=work.locate)
        for each, turn, face in product(blanks, turns, faces)
    )


def _alternative(each: Schedule, chosen: Schedule) -> Alternative:
    return Alternative(
        layout=each.layout,
        setups=len(each.setups),
        changes=each.order.changes,
        seconds=each.seconds.total,
        chosen=each is chosen,
        refused=each.refused,
    )


def _art_of(job: Job) -> Iterator[Art]:
    """Every layer of a drawing that the job names, in the order of the file."""
    yield job.sign.outline
    if job.sign.outline_b:
        yield job.sign.outline_b
    for carve in job.carve:
        yield from (art for art in (carve.art, carve.within) if art)
    for part in (part for item in job.hardware for part in item.parts):
        art = part.art if isinstance(part, FlatPart) else part.axis
        if art:
            yield art


def _read_artwork(
    loaded: LoadedJob,
) -> tuple[dict[str, Artwork], dict[str, NDArray[np.float64]], list[Finding]]:
    """Every drawing that the job names, by its name there, and the heights of every relief."""
    art_of: dict[str, list[Art]] = {}
    for art in _art_of(loaded.job):
        art_of.setdefault(art.file, []).append(art)
    drawings: dict[str, Artwork] = {}
    findings: list[Finding] = []
    for file, arts in art_of.items():
        drawings[file], found = read_artwork(
            loaded.folder / file,
            units=next((art.units for art in arts if art.units), None),
            gap=max(art.gap for art in arts),
            layers={art.layer for art in arts},
        )
        findings += found
    images = sorted({carve.image for carve in loaded.job.carve if carve.image})
    return drawings, {image: read_height(loaded.folder / image).values for image in images}, findings


def _inputs(loaded: LoadedJob) -> tuple[InputFile, ...]:
    """Every file that the plan was made from, relative to the job's folder."""
    named = [art.file for art in _art_of(loaded.job)]
    named += [carve.image for carve in loaded.job.carve if carve.image]
    shop = [loaded.shop_file] if loaded.shop_file else []
    shop += [loaded.log_file] if loaded.log_file and loaded.log else []
    files = [loaded.job_file, *shop, *(loaded.folder / name for name in named)]
    by_name = {Path(os.path.relpath(file, loaded.folder)).as_posix(): file for file in files}
    return tuple(
        InputFile(path=name, sha256=hashlib.sha256(file.read_bytes()).hexdigest())
        for name, file in by_name.items()
    )
