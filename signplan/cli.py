"""The commands. Each loads, plans, reports and exits; heavy libraries load only inside those that need them.

What a command is asked for goes to standard output, messages for people to standard error.
"""

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from signplan.errors import InputError, Problem, SignplanError

if TYPE_CHECKING:
    from signplan.findings import Finding
    from signplan.job.read import LoadedJob
    from signplan.job.stock_tables import Stock
    from signplan.plan import Plan

NOT_READY = 1
"""Exit status of a job with findings of severity error."""

app = typer.Typer(
    name="signplan",
    help="Plan carved double-sided signs: prove that they close around their steel, order the work, "
    "print the traveller.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
)


class _Paper(StrEnum):
    LETTER = "letter"
    A4 = "a4"


class _Units(StrEnum):
    INCH = "in"
    MM = "mm"


class _File(StrEnum):
    JOB = "job"
    SHOP = "shop"


_Job = Annotated[Path, typer.Argument(metavar="JOB", help="A job.toml, or the folder that it is in.")]
_Json = Annotated[bool, typer.Option("--json", help="Print one JSON object and nothing else.")]
_PaperOption = Annotated[
    _Paper | None,
    typer.Option("--paper", help="Paper of the sheets; else letter for inch jobs and a4 for mm."),
]


@app.command()
def plan(
    job: _Job,
    out: Annotated[
        Path | None,
        typer.Option("--out", metavar="DIR", help="Folder of the documents; else plan/ by the job."),
    ] = None,
    paper: _PaperOption = None,
    as_json: _Json = False,
) -> None:
    """Plan a job and write its documents."""
    with _refusals(as_json):
        made, loaded = _planned(job)
        from signplan.documents.write import kept_aside, write_documents

        folder = out or loaded.folder / "plan"
        aside = kept_aside(made, folder)
        written = write_documents(made, folder, paper=paper)
        _report(made, loaded)
        _say(_outcome(made))
        if aside:
            _say(f"What {folder} held of another revision or job is kept in {aside}.")
        _print(_plan_json(made) if as_json else "\n".join(map(str, written)))
        _finish(made)


@app.command()
def check(
    job: _Job,
    removal: Annotated[
        bool, typer.Option("--removal", help="Also sweep every tool path through the board; half a minute.")
    ] = False,
    as_json: _Json = False,
) -> None:
    """Say what is wrong with a job; write nothing."""
    with _refusals(as_json):
        made, loaded = _planned(job)
        if removal:
            from signplan.checks.removal import check_removal

            swept = check_removal(made.setups, made.sign.width)
            made = replace(made, findings=(*made.findings, *swept))
        _report(made, loaded)
        if as_json:
            _print(_plan_json(made))
        _finish(made)


@app.command()
def traveller(
    job: _Job,
    out: Annotated[Path, typer.Option("--out", metavar="FILE.pdf", help="The file to write.")],
    paper: _PaperOption = None,
) -> None:
    """Write the traveller alone."""
    with _refusals():
        made, loaded = _planned(job)
        from signplan.documents.traveller import render_traveller
        from signplan.documents.write import paper_of, traveller_at, write_file

        before, now = traveller_at(out), made.job.job
        write_file(out, render_traveller(made, paper=paper or paper_of(made)))
        _report(made, loaded)
        if before not in ("", f"{now.number} revision {now.revision}"):
            _say(f"{out} was the traveller of {before}; it is replaced.")
        _print(str(out))
        _finish(made)


@app.command()
def day(
    jobs: Annotated[list[Path], typer.Argument(metavar="JOB...", help="Jobs, the most urgent first.")],
    start: Annotated[str, typer.Option("--start", metavar="H:MM", help="When work begins.")] = "8:00",
    until: Annotated[str, typer.Option("--until", metavar="H:MM", help="Closing time.")] = "16:30",
    breaks: Annotated[
        list[str] | None,
        typer.Option("--break", metavar="H:MM-H:MM", help="A break, such as 12:00-12:30; may be repeated."),
    ] = None,
    date: Annotated[str | None, typer.Option("--date", help="For the heading, such as 2026-03-09.")] = None,
    as_json: _Json = False,
) -> None:
    """Plan the day of a machine: the holds of one job or several, none of them split."""
    with _refusals(as_json):
        from signplan.day.hours import read_hours
        from signplan.day.plan import plan_day
        from signplan.day.text import day_json, day_text

        hours = read_hours(start, until, breaks=breaks or (), on=date)
        plans = {job: _planned(job)[0] for job in dict.fromkeys(jobs)}
        planned = plan_day([plans[job] for job in jobs], hours)
        _print(day_json(planned) if as_json else day_text(planned))
        raise typer.Exit(NOT_READY if planned.not_ready else 0)


@app.command()
def log(
    job: _Job,
    setup: Annotated[str, typer.Argument(metavar="SETUP", help="As its sheets name it, such as AB-inner.")],
    minutes: Annotated[
        str,
        typer.Argument(metavar="MINUTES", help="Vacuum on to vacuum off: 47, 47.5, or with hours 1:05."),
    ],
    date: Annotated[
        datetime | None,
        typer.Option("--date", formats=["%Y-%m-%d"], metavar="YYYY-MM-DD", help="When it ran."),
    ] = None,
    note: Annotated[str, typer.Option("--note", help="Anything worth knowing of it.")] = "",
    force: Annotated[bool, typer.Option("--force", help="Even if it is far from what is expected.")] = False,
) -> None:
    """Keep how long a hold really took; from three holds on, estimates go by the shop's own."""
    with _refusals():
        from signplan.documents.shop_log import log_hold, read_entry

        entry = read_entry(minutes, date=date.date() if date else None, note=note)
        made, loaded = _planned(job)
        for line in log_hold(loaded, made, setup, entry, force=force):
            _say(line)
        _print(str(loaded.log_file))


@app.command()
def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="The folder to make.")],
    units: Annotated[_Units, typer.Option("--units", help="Units of the job and the shop.")] = _Units.INCH,
) -> None:
    """Make a working job folder to start from."""
    with _refusals():
        from signplan.documents.write import write_file
        from signplan.job.starter import starter_files

        contents = {folder / name: content for name, content in starter_files(units.value).items()}
        if taken := [path for path in contents if os.path.lexists(path)]:
            raise InputError(*(Problem(file=str(path), message="is there already") for path in taken))
        for path, content in contents.items():
            write_file(path, content)
        _print("\n".join(map(str, contents)))
        _say(f"Now try: signplan plan {folder}")


@app.command()
def order(
    job: _Job,
    graph: Annotated[
        Path | None,
        typer.Option("--graph", metavar="FILE", help="Write the graph: FILE.svg, FILE.graphml, or both."),
    ] = None,
) -> None:
    """Print the order of work; the graph of what comes before what, and why, to a file."""
    with _refusals():
        made, loaded = _planned(job)
        _report(made, loaded)
        _print("\n".join(_order_lines(made)))
        if graph:
            from signplan.documents.order_graph import render_order_graphml, render_order_svg
            from signplan.documents.write import write_file

            for suffix, render in ((".svg", render_order_svg), (".graphml", render_order_graphml)):
                if graph.suffix == suffix or graph.suffix not in (".svg", ".graphml"):
                    write_file(graph.with_suffix(suffix), render(made).encode())
        _finish(made)


@app.command()
def programs(
    job: _Job,
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="NC programs of its setups.")],
    iso: Annotated[bool, typer.Option("--iso", help="Words as ISO 6983-1 has them: G70, G71.")] = False,
) -> None:
    """Hold the shop's own NC programs against the plan; reads only."""
    with _refusals():
        made, _ = _planned(job)
        from signplan.programs.check import check_programs
        from signplan.programs.report import report_text

        report = check_programs(made, files, dialect="iso6983" if iso else "rs274ngc")
        _print(report_text(report))
        wrong = any(finding.severity == "error" for finding in report.all_findings)
        raise typer.Exit(NOT_READY if wrong else 0)


@app.command()
def schema(file: Annotated[_File, typer.Argument(metavar="job|shop", help="Which file.")]) -> None:
    """Print the JSON Schema of the job or shop file, for editors."""
    from signplan.job.schema import file_schema

    _print(json.dumps(file_schema(file.value), indent=2))


@app.command()
def stock(
    word: Annotated[str, typer.Argument(metavar="[WORD]", help='Such as nut, or "nut 3/8".')] = "",
) -> None:
    """List the built-in hardware sizes, with their sources."""
    with _refusals():
        from signplan.job.stock import look_up, search

        found = search(word) or (look_up(word),)
        _print("\n".join(_stock_lines(found)))


@app.command()
def explain(code: Annotated[str, typer.Argument(metavar="[CODE]", help="Such as web-thin.")] = "") -> None:
    """Say what a finding means and what to do; all of them without CODE."""
    with _refusals():
        from signplan.checks.explain import all_explanations, explanation

        _print(explanation(code) if code else all_explanations())


@contextmanager
def _refusals(as_json: bool = False) -> Iterator[None]:
    """Say why input cannot be used, and exit as that asks."""
    try:
        yield
    except SignplanError as error:
        problems = (
            error.problems if isinstance(error, InputError) else (Problem(file="", message=str(error)),)
        )
        if as_json:
            keys = ("file", "line", "column", "message")
            listed = [{key: getattr(problem, key) for key in keys} for problem in problems]
            _print(json.dumps({"format": "signplan-refusal/1", "problems": listed}, indent=2))
        _say(str(error))
        raise typer.Exit(error.exit_code) from None


def _planned(job: Path) -> "tuple[Plan, LoadedJob]":
    from signplan.job.read import read_job

    loaded = read_job(job)
    with _progress(f"Planning {loaded.job.job.number} ..."):
        from signplan.plan import make_plan

        return make_plan(loaded.job_file), loaded


@contextmanager
def _progress(text: str) -> Iterator[None]:
    """A line that is gone when the work is done; on a terminal only."""
    shown = sys.stderr.isatty()
    if shown:
        sys.stderr.write(text)
        sys.stderr.flush()
    try:
        yield
    finally:
        if shown:
            sys.stderr.write("\r" + " " * len(text) + "\r")
            sys.stderr.flush()


def _report(made: "Plan", loaded: "LoadedJob") -> None:
    """The findings, errors first, and how many there are."""
    from signplan.findings import Severity, in_reading_order

    for finding in in_reading_order(made.findings):
        _say(_finding_text(finding, loaded))
    counts = [
        f"{number} {severity}{'' if number == 1 else 's'}"
        for severity in Severity
        if (number := sum(finding.severity is severity for finding in made.findings))
    ]
    head = made.job.job
    _say(f"{head.number} {head.title}, revision {head.revision}: {', '.join(counts) or 'nothing found'}")


def _finding_text(finding: "Finding", loaded: "LoadedJob") -> str:
    panel = f"panel {finding.panel}" if finding.panel and f" {finding.panel}" not in finding.message else ""
    where = ", ".join(filter(None, (finding.where, panel, loaded.locate(finding.where))))
    text = f"{finding.severity:<8} {where}{': ' if where else ''}{finding.message} [{finding.code}]"
    return f"{text}\n         -> {finding.hint}" if finding.hint else text


def _outcome(made: "Plan") -> str:
    """What the owner wants to know first."""
    from signplan.documents.words import count, duration

    ready = "" if made.ready else "\nNOT READY: every page says so. Mend the errors before any board is cut."
    changes = f"{count(made.order.changes, 'tool change')}, {_fewest(made)}"
    return (
        f"About {duration(made.time.seconds)} ({duration(made.time.low)} to {duration(made.time.high)}) in "
        f"{count(len(made.setups), 'hold')}, {made.time.reason}; {changes}.{ready}"
    )


def _fewest(made: "Plan") -> str:
    return "the fewest possible" if made.order.proven else f"at least {made.order.lower_bound} are needed"


def _order_lines(made: "Plan") -> Iterator[str]:
    """The operations as they run, each setup and each change of tool on a line of its own."""
    tool = ""
    for planned in made.setups:
        yield f"setup {planned.setup.id}"
        for each in planned.operations:
            if each.tool.id != tool:
                tool = each.tool.id
                yield f"  T{each.tool.number} {tool}"
            yield f"    {each.operation.id}"
    yield f"{made.order.changes} tool changes, {_fewest(made)}"
    yield ""
    yield from _comparison_lines(made)


def _comparison_lines(made: "Plan") -> Iterator[str]:
    """The planned order beside those that people take: changes by setup and in all, and their minutes.

    A change is told with the spindle's run-up; the shop's own way of changing as its logged holds have it.
    """
    hand, changer = _seconds_a_change(made)
    setups = [planned.setup.id for planned in made.setups]
    planned = {planned.setup.id: planned.changes for planned in made.setups}
    orders = [("as planned", made.order.changes, planned)]
    orders += [(each.name, each.changes, dict(each.by_setup)) for each in made.comparisons]
    yield f"{'tool changes':<20}{''.join(f'{name:>11}' for name in setups)}     in all    by hand  by changer"
    for name, changes, of_setup in orders:
        counts = "".join(f"{of_setup.get(setup, 0):>11}" for setup in setups)
        by_hand, by_changer = changes * hand / 60, changes * changer / 60
        yield f"{name:<20}{counts}{changes:>11}{by_hand:>7.0f} min{by_changer:>8.1f} min"


def _seconds_a_change(made: "Plan") -> tuple[float, float]:
    """One change by hand, one by a changer; no logged hold says anything of the other way."""
    from signplan.timing.estimate import change_seconds
    from signplan.timing.model import Seconds

    change, run_up = made.shop.tool_change, made.shop.machine.spin_up_seconds
    hand, changer = change.by_hand_s + run_up, change.by_changer_s + run_up
    own = made.calibration.of(Seconds(changes=change_seconds(made.shop))).changes
    return (hand, own) if change.kind == "automatic" else (own, changer)


def _plan_json(made: "Plan") -> str:
    from signplan.documents.plan_json import render_plan_json

    return render_plan_json(made).rstrip("\n")


def _finish(made: "Plan") -> NoReturn:
    raise typer.Exit(0 if made.ready else NOT_READY)


def _stock_lines(found: "tuple[Stock, ...]") -> Iterator[str]:
    """Sizes under their source, in inches and millimetres."""
    from signplan.job.stock import sizes_text

    head = ""
    for each in found:
        said = f"{each.source} ({each.certainty})" + (f"\n  {each.note}" if each.note else "")
        if said != head:
            yield f"\n{said}" if head else said
            head = said
        yield f"  {each.name:<24} {each.shape:<6} {sizes_text(each)}"


def _print(text: str) -> None:
    typer.echo(text)


def _say(text: str) -> None:
    typer.echo(text, err=True)
