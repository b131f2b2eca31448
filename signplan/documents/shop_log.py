"""A hold that ran, into the shop's log: what the person typed, held against the plan, and one table more.

What the file has already stays as it is, byte for byte; the same hold a second time is another table.
"""

import datetime
import json
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from signplan.documents.words import as_said, band_words, duration
from signplan.documents.write import write_file
from signplan.errors import InputError, Problem, SignplanError
from signplan.job.fields import Words
from signplan.job.log import LONGEST, SHORTEST, LoggedHold
from signplan.job.read import LoadedJob
from signplan.job.wording import listed, suggestion
from signplan.plan import Plan, hash_of
from signplan.schedule.model import PlannedSetup
from signplan.timing.calibrate import KINDS, calibrate, timing_figures

FAR_OFF = 4.0
"""A hold that took so many times what was expected, or that fraction of it, is a slip of the finger."""

HEAD = """\
# How long holds really took on this machine, in minutes from vacuum on to vacuum off. `signplan log` adds
# a table for each: cutting, travel and changes are what was computed, took is what was measured. Mend a
# slip here, or take its table out. From three holds on, estimates go by them.
"""

_MINUTES = re.compile(r"[0-9]{1,5}(?:\.[0-9]+)?")
_HOURS = re.compile(r"([0-9]{1,3}):([0-5][0-9])(?::([0-5][0-9]))?")


@dataclass(frozen=True, kw_only=True, slots=True)
class Entry:
    """What a person says of a hold: minutes from vacuum on to vacuum off, the day, a note."""

    took: float
    date: datetime.date | None = None
    note: str = ""


def read_entry(minutes: str, *, date: datetime.date | None = None, note: str = "") -> Entry:
    """What was typed.

    Raises:
        InputError: the minutes are none, or the note has more than one line.
    """
    try:
        TypeAdapter(Words).validate_python(note)
    except ValidationError as error:
        raise _refusal("--note", str(error.errors()[0]["ctx"]["error"])) from None
    return Entry(took=minutes_of(minutes), date=date, note=note)


def minutes_of(text: str) -> float:
    """Minutes of a length of time: `47`, `47.5`, or with hours `1:05` and `1:05:30`.

    Raises:
        InputError: the text is none, it is nothing, or it is more than a day.

    >>> minutes_of("47.5"), minutes_of("1:05"), minutes_of("0:47:30")
    (47.5, 65.0, 47.5)
    """
    text = text.strip()
    if clock := _HOURS.fullmatch(text):
        hours, minutes, seconds = (int(part or 0) for part in clock.groups())
        took = hours * 60 + minutes + seconds / 60
    elif _MINUTES.fullmatch(text):
        took = float(text)
    else:
        raise _refusal(
            "MINUTES",
            f"'{text}' is no length of time; write minutes as 47 or 47.5, hours and minutes as 1:05",
        )
    if took < SHORTEST:
        raise _refusal("MINUTES", f"'{text}' is next to nothing, and a hold takes more than nothing")
    if took > LONGEST:
        raise _refusal("MINUTES", f"'{text}' is more than a day, and no hold is; write minutes as 47 or 47.5")
    return took


def log_hold(
    loaded: LoadedJob, plan: Plan, setup: str, entry: Entry, *, force: bool = False
) -> tuple[str, ...]:
    """Add a hold to the shop's log; lines that say what that does. `force`: even if it is far off.

    Raises:
        SignplanError: there is no such setup, no shop file to lie beside, the time is far off what was
            expected, or the log cannot be written; the log is as it was.
    """
    file, planned = _log_file(loaded), _setup(plan, setup)
    expected = planned.hold.seconds / 60
    if not force and not expected / FAR_OFF <= entry.took <= expected * FAR_OFF:
        raise _refusal(
            "MINUTES",
            f"{_minutes(entry.took)} for {setup}, where {duration(expected * 60)} are expected; if that is "
            "so, say it again with --force",
        )
    hold = _logged(plan, planned, entry, _inputs_without(plan, file, loaded.folder))
    _append(file, hold)
    return tuple(_said(plan, planned, hold, (*loaded.log, hold)))


def _log_file(loaded: LoadedJob) -> Path:
    if loaded.log_file is None:
        raise InputError(
            Problem(
                file=str(loaded.job_file),
                message="the log lies beside the shop file, and this job uses the built-in example shop; "
                'name your own: shop = "shop.toml" under [job] (`signplan new DIR` makes one to start from)',
            )
        )
    return loaded.log_file


def _setup(plan: Plan, setup: str) -> PlannedSetup:
    names = [each.setup.id for each in plan.setups]
    if setup not in names:
        near = suggestion(setup, names)
        raise SignplanError(f"{plan.job.job.number} has no setup '{setup}'; it has {listed(names)}{near}")
    return plan.setups[names.index(setup)]


def _inputs_without(plan: Plan, file: Path, folder: Path) -> str:
    """The hash of all inputs but the log, which is another after every hold."""
    log = Path(os.path.relpath(file, folder)).as_posix()
    return hash_of(each for each in plan.inputs if each.path != log)


def _logged(plan: Plan, planned: PlannedSetup, entry: Entry, inputs: str) -> LoggedHold:
    head, computed = plan.job.job, planned.computed
    return LoggedHold(
        job=head.number,
        revision=head.revision,
        setup=planned.setup.id,
        date=entry.date,
        cutting=round(computed.cutting / 60, 3),
        travel=round(computed.travel / 60, 3),
        changes=round(computed.changes / 60, 3),
        took=round(entry.took, 3),
        note=entry.note,
        inputs=inputs,
        figures=timing_figures(plan.shop),
    )


def _append(file: Path, hold: LoggedHold) -> None:
    """One table more at the end of the file, whose lines end as they did; a linked file is followed."""
    target = Path(os.path.realpath(file))
    try:
        before = target.read_bytes() if target.exists() else HEAD.encode()
        locked = target.exists() and not target.stat().st_mode & 0o222
    except OSError as error:
        raise SignplanError(
            f"{file}: cannot be read ({error.strerror or error}); nothing was logged"
        ) from error
    if locked:
        raise SignplanError(f"{file}: is set to be read only; nothing was logged. Allow writing to it first")
    end = "\r\n" if b"\r\n" in before else "\n"
    gap = "" if before.endswith(b"\n") or not before else end
    table = end.join(("", *_lines(hold), ""))
    write_file(target, before + (gap + table).encode())


def _lines(hold: LoggedHold) -> Iterator[str]:
    """The table of a hold; a JSON text of one line is a TOML text too."""
    yield "[[hold]]"
    for key, value in hold.model_dump().items():
        match value:
            case None | "":
                continue
            case str():
                yield f"{key} = {json.dumps(value, ensure_ascii=False)}"
            case datetime.date():
                yield f"{key} = {value.isoformat()}"
            case _:
                yield f"{key} = {value}"


def _said(plan: Plan, planned: PlannedSetup, hold: LoggedHold, log: tuple[LoggedHold, ...]) -> Iterator[str]:
    """What was logged, whether it was expected, and what estimates go by now."""
    band = planned.hold
    yield (
        f"{hold.job}, revision {hold.revision}, {hold.setup}: {_minutes(hold.took)} logged; "
        f"{duration(band.seconds)} were expected, {band_words(band.low, band.high)}."
    )
    if not as_said(band.low) <= as_said(hold.took * 60) <= as_said(band.high):
        yield "That is outside. If the machine waited for somebody, take that off in the log."
    now = calibrate(log, plan.shop)
    if not now.fit:
        yield f"Estimates stay as {now.reason}."
        return
    factors = (f"{kind} x {factor:.2f}" for kind, factor in zip(KINDS, now.factors, strict=True))
    again = now.hold(planned.computed)
    yield (
        f"Estimates are {now.reason}: {', '.join(factors)}. For this hold {duration(again.seconds)}, nine "
        f"times in ten {band_words(again.low, again.high)}."
    )


def _minutes(minutes: float) -> str:
    """As they are kept: `47.5 min`, never `1e+02 min`."""
    return f"{f'{minutes:.3f}'.rstrip('0').rstrip('.')} min"


def _refusal(what: str, message: str) -> InputError:
    return InputError(Problem(file=what, message=message))
