"""A program check in words, for a screen or a sheet of paper."""

import textwrap
from collections.abc import Iterator

from signplan.findings import Severity
from signplan.programs.model import NO_TOOL, FileReport, ProgramReport, ToolRun
from signplan.units import Units, to_units

NOT_A_DRY_RUN = (
    "This reads the programs and compares numbers. It does not see the machine, the screws that were moved, "
    "the tool that is really in the holder or the zero that was really set. It does not replace a dry run: "
    "run every program in the air first, with a hand at the stop."
)
"""Said in every report."""


def report_text(report: ProgramReport) -> str:
    """The whole report, with a line feed at its end."""
    lines: list[str] = []
    for file in report.files:
        lines += [*_file(file, report.units), ""]
    lines += [*_times(report), ""]
    for found in report.findings:
        lines.append(f"{found.severity}: {found.message} [{found.code}]")
    errors, warnings = (
        sum(each.severity is severity for each in report.all_findings)
        for severity in (Severity.ERROR, Severity.WARNING)
    )
    lines.append(f"{_count(errors, 'error')}, {_count(warnings, 'warning')}.")
    lines += ["", *textwrap.wrap(NOT_A_DRY_RUN, 100)]
    return "\n".join(lines) + "\n"


def _file(file: FileReport, units: Units) -> Iterator[str]:
    name = file.path.replace("\\", "/").rpartition("/")[2]
    belongs = f"setup {file.setup}, told by {file.told_by}" if file.setup else "setup not known"
    yield f"{name}: {belongs}; {_count(file.lines, 'line')}, {_minutes(file.seconds)}"
    if file.stops:
        yield f"  stops {_count(file.stops, 'time')} for a person; that time is not counted"
    if file.low:
        yield f"  cuts in  {_box(file.low, file.high, units)}"
    for run in file.runs:
        yield f"  {_run(run, units)}"
    for found in file.findings:
        yield f"  {found.where}: {found.severity}: {found.message} [{found.code}]"
        if found.hint:
            yield f"      {found.hint}"


def _run(run: ToolRun, units: Units) -> str:
    tool = "no tool" if run.tool == NO_TOOL else f"T{run.tool}"
    text = f"{tool:8}line {run.line:<8}{_minutes(run.seconds):>9}"
    return f"{text}  {_box(run.low, run.high, units)}" if run.low else f"{text}  cuts nothing"


def _box(low: tuple[float, ...], high: tuple[float, ...], units: Units) -> str:
    sides = (
        f"{axis} {to_units(a, units):.3f} to {to_units(b, units):.3f}"
        for axis, a, b in zip("XYZ", low, high, strict=True)
    )
    return f"{', '.join(sides)} {units}"


def _times(report: ProgramReport) -> Iterator[str]:
    """Time at the machine by setup, beside the plan's."""
    for setup, planned in report.planned:
        seconds = [file.seconds for file in report.files if file.setup == setup]
        if seconds:
            yield f"{setup}: programs {_minutes(sum(seconds))}, plan {_minutes(planned)}"


def _minutes(seconds: float) -> str:
    return f"{seconds / 60:.1f} min"


def _count(number: int, thing: str) -> str:
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"
