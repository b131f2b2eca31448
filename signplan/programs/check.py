"""A shop's own programs held against the plan. Reads only.

Every file is streamed once through the rules; then the tools of each setup are compared, over all of its
programs together, in the order in which the files were given. None of it replaces a dry run.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from signplan.findings import Finding, Severity
from signplan.job.shop import Shop
from signplan.plan import Plan
from signplan.programs.against_plan import Site
from signplan.programs.model import Context, Dialect, FileReport, ProgramReport, Sighting
from signplan.programs.reading import Reading, read_program, tools_of
from signplan.programs.rules import SETUP_RULES
from signplan.programs.setups import ProgramRun, told_by, told_by_tools
from signplan.programs.source import first_comments
from signplan.schedule.model import PlannedSetup
from signplan.timing.estimate import change_seconds


def check_programs(plan: Plan, files: Sequence[Path], *, dialect: Dialect = "rs274ngc") -> ProgramReport:
    """Read programs and hold them against the plan.

    Args:
        files: in working order, one or many to a setup. A program belongs to the setup whose id its name or
            a comment near its top gives, or else to the only one that uses its tools in its order.
        dialect: "rs274ngc", or "iso6983" (G70 inch, G71 metric). It is never guessed.

    Raises:
        InputError: a file that cannot be opened.
    """
    context = Context(shop=plan.shop, board=plan.board, units=plan.job.job.units, dialect=dialect)
    return check_against(plan.setups, files, context)


def check_against(setups: Sequence[PlannedSetup], files: Sequence[Path], context: Context) -> ProgramReport:
    """What `check_programs` does, for planned setups on their own."""
    sites: dict[str, Site] = {}
    programs: list[_Program] = []
    for path in files:
        planned, how = _setup_of(path, setups, context)
        if planned is not None and planned.setup.id not in sites:
            sites[planned.setup.id] = Site(planned, context.shop)
        site = sites[planned.setup.id] if planned is not None else None
        reading = read_program(path, replace(context, planned=planned), site)
        if planned is None and reading.readable:
            reading.sightings.add(_no_setup(setups))
        programs.append(_Program(path, planned, how, reading))
    for planned in setups:
        mine = [program for program in programs if program.planned is planned]
        if mine:
            _compare_tools(mine, sites[planned.setup.id], replace(context, planned=planned))
    return ProgramReport(
        units=context.units,
        files=tuple(_report(program, context.shop) for program in programs),
        planned=tuple((each.setup.id, each.computed.total - each.computed.handling) for each in setups),
        findings=tuple(_without_program(setups, programs)),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Program:
    path: Path
    planned: PlannedSetup | None
    told_by: str
    reading: Reading


def _setup_of(
    path: Path, setups: Sequence[PlannedSetup], context: Context
) -> tuple[PlannedSetup | None, str]:
    """The setup of a program and how it was told: by its name, a comment, or its tools."""
    if name := told_by(path.stem, setups):
        how = "its name"
    elif name := told_by(" ".join(first_comments(path)), setups):
        how = "a comment"
    else:
        name, how = told_by_tools(tools_of(path, context), setups), "its tools"
    planned = next((each for each in setups if each.setup.id == name), None)
    return planned, how if planned else ""


def _no_setup(setups: Sequence[PlannedSetup]) -> Sighting:
    names = ", ".join(each.setup.id for each in setups)
    return Sighting(
        code="program-setup",
        severity=Severity.ERROR,
        message="it cannot be told which setup this program is for, so it was not held against the plan",
        line=1,
        hint=f"put the setup's name into the file's name or a comment near its top: {names}",
    )


def _without_program(setups: Sequence[PlannedSetup], programs: Sequence[_Program]) -> Iterator[Finding]:
    for each in setups:
        if not any(program.planned is each for program in programs):
            yield Finding(
                code="program-setup",
                severity=Severity.NOTE,
                message=f"no program was given for {each.setup.id}",
                where=each.setup.id,
            )


def _compare_tools(programs: Sequence[_Program], site: Site, context: Context) -> None:
    """Add what the programs of one setup together have wrong to the sightings of the file where it stands."""
    runs = [
        ProgramRun(place, run)
        for place, program in enumerate(programs)
        for _, run in sorted(program.reading.facts.runs.items())
        if run.cuts
    ]
    if not all(program.reading.readable for program in programs):
        return
    for rule in SETUP_RULES:
        for place, sighting in rule(runs, site, context):
            programs[place].reading.sightings.add(sighting)


def _report(program: _Program, shop: Shop) -> FileReport:
    reading = program.reading
    state = reading.facts.state
    boxes = [(run.low, run.high) for run in reading.runs if run.low]
    change_s = change_seconds(shop)
    return FileReport(
        path=str(program.path),
        setup=program.planned.setup.id if program.planned else "",
        told_by=program.told_by,
        lines=reading.facts.lines,
        runs=reading.runs,
        seconds=sum(reading.seconds.values()) + state.change * change_s + state.dwell,
        stops=state.stops,
        low=tuple(min(low[k] for low, _ in boxes) for k in range(3)) if boxes else (),
        high=tuple(max(high[k] for _, high in boxes) for k in range(3)) if boxes else (),
        findings=reading.sightings.findings(program.path.name),
    )
