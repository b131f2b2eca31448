"""How numbers and names of a plan are put into words; the sheets and the proof share them."""

import math
from collections.abc import Sequence

from signplan.job.shop import Tool
from signplan.operations.model import Operation
from signplan.plan import Plan
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.sign.setups import Setup
from signplan.timing.model import Band, Seconds
from signplan.units import KG_PER_POUND, Units, fine, half_up, shop, to_units

SAME_FRACTION = 0.05
"""A size this close to a 64th of an inch, mm, is spoken of as one."""

_KINDS = {
    "index": "drill for the index pins",
    "rough": "clear",
    "rest": "clear what is left",
    "finish": "walls to size",
    "incise": "vee grooves",
    "channel": "cut the channel",
    "line": "follow the line",
    "relief-rough": "rough the relief",
    "relief-finish": "finish the relief",
    "edge": "shape the edge",
    "bore": "bore the holes",
    "vent": "vent grooves",
    "dowel": "dowel holes",
    "cutout": "CUT OUT",
}


def length(mm: float, units: Units) -> str:
    """A size as the trade reads it, with its unit: `1-1/2"`, `38.1 mm`."""
    return shop(mm, units) if units == "in" else f"{shop(mm, units)} mm"


def exact(mm: float, units: Units) -> str:
    """A size to be cut or measured: a fraction only where it is one, and always its decimal.

    >>> exact(9.525, "in"), exact(9.9, "in"), exact(13.3, "in"), exact(38.1, "mm")
    ('3/8" (.375)', '25/64" (.390)', '.524"', '38.1 mm')
    """
    if units == "mm":
        return length(mm, units)
    decimals, sixty_fourths = place(mm, units).removeprefix("0"), round(mm / 25.4 * 64)
    if abs(sixty_fourths * 25.4 / 64 - mm) > SAME_FRACTION:
        return f'{decimals}"'
    if sixty_fourths % 2 == 0:
        return f"{shop(mm, units)} ({decimals})"
    whole, part = divmod(sixty_fourths, 64)
    return f'{f"{whole}-" if whole else ""}{part}/64" ({decimals})'


def place(mm: float, units: Units) -> str:
    """A position or a depth as a machine reads it, without its unit: `12.375`, `314.3`; halves go up.

    >>> place(6.95, "mm"), place(6.949999999999, "mm"), place(-0.01, "mm"), place(9.525, "in")
    ('7.0', '7.0', '0.0', '0.375')
    """
    return half_up(to_units(mm, units), 3 if units == "in" else 1)


def room(mm: float, units: Units) -> str:
    """A play or a tolerance: `0.031 in`, `0.79 mm`."""
    return fine(mm, units)


def feed(mm_s: float, units: Units) -> str:
    """A feed without its unit, per minute: inches to the whole, millimetres to ten."""
    if units == "in":
        return f"{to_units(mm_s * 60, units):.0f}"
    return f"{round(mm_s * 6) * 10:.0f}"


def feed_unit(units: Units) -> str:
    """The unit of `feed`."""
    return "in/min" if units == "in" else "mm/min"


def spindle(rpm: float) -> str:
    """Spindle speed to the ten: `18 000`."""
    return f"{round(rpm / 10) * 10:,}".replace(",", "\N{NARROW NO-BREAK SPACE}")


def duration(seconds: float) -> str:
    """How long something takes: `45 s`, `7.5 min`, `38 min`, `2 h 05 min`.

    >>> duration(44.6), duration(450), duration(3590), duration(7500)
    ('45 s', '7.5 min', '1 h 00 min', '2 h 05 min')
    """
    if seconds < 59.5:
        return f"{seconds:.0f} s"
    if seconds < 597:
        return f"{seconds / 60:.1f} min"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"


def as_said(seconds: float) -> float:
    """The seconds that `duration` has in words: what is compared in a sentence must be what it says.

    >>> as_said(44.6), as_said(239.0), as_said(3590.0)
    (45.0, 240.0, 3600.0)
    """
    grain = _grain(seconds)
    return round(seconds / grain, 0) * grain


def _grain(seconds: float) -> float:
    """To what a time is said: seconds, tenths of minutes, minutes."""
    return 1.0 if seconds < 59.5 else 6.0 if seconds < 597 else 60.0


def minutes_seconds(seconds: float) -> str:
    """How long an operation takes, m:ss; never nothing.

    >>> minutes_seconds(0.2), minutes_seconds(75.4)
    ('0:01', '1:15')
    """
    whole = max(1, round(seconds))
    return f"{whole // 60}:{whole % 60:02d}"


def clock(seconds: float) -> str:
    """Time since the vacuum came on, h:mm:ss.

    >>> clock(3725.4)
    '1:02:05'
    """
    whole = round(seconds)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def weight(kg: float, units: Units) -> str:
    """A weight in the job's units first: `23.5 lb (10.7 kg)`."""
    pounds, kilograms = f"{kg / KG_PER_POUND:.1f} lb", f"{kg:.1f} kg"
    return f"{pounds} ({kilograms})" if units == "in" else f"{kilograms} ({pounds})"


def letters(number: int) -> str:
    """The letters of a row or section, from 0, as many as it takes.

    >>> letters(0), letters(25), letters(26), letters(27)
    ('A', 'Z', 'AA', 'AB')
    """
    before, last = divmod(number, 26)
    return (letters(before - 1) if before else "") + chr(ord("A") + last)


def count(number: int, thing: str, many: str = "") -> str:
    """`1 change`, `3 changes`, `no changes`."""
    return f"{number or 'no'} {thing if number == 1 else many or thing + 's'}"


def listing(words: Sequence[str]) -> str:
    """`A`, `A and B`, `A, B and C`."""
    return " and ".join(filter(None, (", ".join(words[:-1]), *words[-1:])))


_HABITS = {
    "as listed": "as the job lists it",
    "panel by panel": "panel by panel, each done well",
    "down the tool list": "down the tool list, over and over",
}


def habit(name: str) -> str:
    """An order that people take, in words."""
    return _HABITS.get(name, name)


def face_up(setup: Setup) -> str:
    """What lies on the table: `PANEL A · INNER FACE UP`."""
    panels = "PANEL" if len(setup.panels) == 1 else "PANELS"
    faces = "FACE" if len(setup.panels) == 1 else "FACES"
    return f"{panels} {listing(setup.panels).upper()} · {setup.face.upper()} {faces} UP"


def seen(setup: Setup) -> str:
    """From where the drawing of a setup is seen, and whether it lies upside down."""
    tops = "tops" if len(setup.panels) > 1 else "top"
    down = "" if all(place.e > 0 for _, place in setup.placements) else f", {tops} toward you"
    if setup.face == "inner":
        return f"Seen from the glue side{down}"
    if len(setup.panels) > 1:
        return f"Each panel seen from its reader's side{down}"
    return f"Seen from the side of {setup.panels[0]}'s reader{down}"


def marked_corner(setup: Setup) -> str:
    """Where the corner that was X0 Y0 before the turn lies now; "" if the blank was not turned."""
    return {"side": "near right", "end": "far left", "": ""}[setup.turn]


def faces(setup: Setup) -> str:
    """What lies up, in a line: `panels A and B, inner faces`."""
    many = "s" if len(setup.panels) > 1 else ""
    return f"panel{many} {listing(setup.panels)}, {setup.face} face{many}"


def turn_words(turn: str) -> str:
    """What the operator does to the blank."""
    return {"side": "turn it like a page, left to right", "end": "turn it end over end, toward you"}[turn]


def tool_words(tool: Tool, units: Units) -> str:
    """A cutter as it is asked for: `1/2" flat, 2 flutes`."""
    size = length(tool.diameter, units)
    flutes = count(tool.flutes, "flute")
    match tool.shape:
        case "vee":
            return f"{tool.angle:g}° vee, {size}, {flutes}"
        case "round-over":
            return f"{length(tool.radius or 0, units)} round-over, {flutes}"
    return f"{size} {tool.shape}, {flutes}"


def work_words(operation: Operation, tag: str = "") -> str:
    """What an operation does, in the words of the shop: `A · pocket 1 (left hanger) · clear`.

    `tag` is the number of its feature on the drawing.
    """
    what = _KINDS[operation.kind]
    panel = operation.panel or "blank"
    if operation.kind in ("index", "dowel", "vent", "cutout", "edge"):
        return f"{panel} · {what}"
    feature = operation.feature.rpartition("/")[2].replace("-", " ")
    if operation.treatment:
        return f"{panel} · {tag} {operation.treatment} · {what}"
    name = feature.rstrip("0123456789 ")
    return f"{panel} · pocket {tag} ({name}) · {what}"


def hold_words(setup: PlannedSetup) -> str:
    """How long the vacuum stays on, with its band, rounded outward to the grain of its middle."""
    return around(setup.hold)


def around(band: Band) -> str:
    """A time, and within what it may lie.

    >>> around(Band(seconds=34, low=30.6, high=42.5, reason=""))
    '34 s (30 to 43 s)'
    >>> around(Band(seconds=90, low=81, high=112.5, reason=""))
    '1.5 min (1.3 to 1.9 min)'
    >>> around(Band(seconds=2280, low=2052, high=2850, reason=""))
    '38 min (34 to 48 min)'
    """
    grain = _grain(band.seconds)
    low = math.floor(round(band.low / grain, 6))
    high = math.ceil(round(band.high / grain, 6))
    unit = "s" if grain == 1 else "min"
    tenths = grain == 6
    ends = (f"{end / 10:.1f}" if tenths else f"{end}" for end in (low, high))
    return f"{duration(band.seconds)} ({' to '.join(ends)} {unit})"


def parts_words(seconds: Seconds) -> str:
    """What the time of a setup or a job is made of.

    >>> parts_words(Seconds(cutting=1860, travel=240, changes=204, handling=540))
    'Cutting 31 min, travel 4.0 min, tool changes 3.4 min; loading and cleaning 9.0 min'
    """
    cutting, travel, changes, handling = map(
        duration, (seconds.cutting, seconds.travel, seconds.changes, seconds.handling)
    )
    return f"Cutting {cutting}, travel {travel}, tool changes {changes}; loading and cleaning {handling}"


def band_words(low: float, high: float) -> str:
    """A band of time in minutes or hours."""
    return f"{duration(low)} to {duration(high)}"


def operation_numbers(plan: Plan) -> dict[str, int]:
    """Every operation's number on paper: 10, 20, 30, ... through the whole job."""
    every = (each for setup in plan.setups for each in setup.operations)
    return {each.operation.id: 10 * (k + 1) for k, each in enumerate(every)}


def blocks(setup: PlannedSetup) -> tuple[tuple[PlannedOperation, ...], ...]:
    """The operations of a setup, in working order, parted where the tool changes."""
    parted: list[list[PlannedOperation]] = []
    for each in setup.operations:
        if not parted or parted[-1][-1].operation.tool != each.operation.tool:
            parted.append([])
        parted[-1].append(each)
    return tuple(map(tuple, parted))
