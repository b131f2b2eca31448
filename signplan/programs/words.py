"""The language: its letters, its codes and their modal groups, and one line to words.

RS274/NGC after Kramer, Proctor and Messina, "The NIST RS274/NGC Interpreter - Version 3", NISTIR 6556, 2000,
sections 3.3 to 3.6 (tables 4 and 8). ISO 6983-1 differs in a few codes; its table here is the part that a
three-axis router meets. Both from memory: the reports were not at hand when this was written.

Codes are kept times ten, so that G61.1 is the whole number 611.
"""

import re
from collections.abc import Mapping

from signplan.programs.model import Dialect, Line, Word

LARGEST = 1e9
"""No number of a program is larger; one that is was not meant."""

LETTERS = frozenset("ABCDFGHIJKLMNPQRSTXYZ")
"""Letters that the language gives a meaning."""

_NGC_GROUPS: dict[str, tuple[float, ...]] = {
    "non-modal": (4, 10, 28, 30, 53, 92, 92.1, 92.2, 92.3),
    "motion": (0, 1, 2, 3, 38.2, 80, 81, 82, 83, 84, 85, 86, 87, 88, 89),
    "plane": (17, 18, 19),
    "distance": (90, 91),
    "feed mode": (93, 94),
    "units": (20, 21),
    "cutter compensation": (40, 41, 42),
    "length offset": (43, 49),
    "return": (98, 99),
    "work offset": (54, 55, 56, 57, 58, 59, 59.1, 59.2, 59.3),
    "path": (61, 61.1, 64),
}
_ISO_GROUPS: dict[str, tuple[float, ...]] = {
    "non-modal": (4, 92),
    "motion": (0, 1, 2, 3, 80, 81, 82, 83, 84, 85, 86, 87, 88, 89),
    "plane": (17, 18, 19),
    "distance": (90, 91),
    "feed mode": (93, 94, 95),
    "units": (70, 71),
    "cutter compensation": (40, 41, 42),
    "length offset": (43, 44),
    "work offset": (53, 54, 55, 56, 57, 58, 59),
    "path": (60, 61, 62),
}
_M_GROUPS: dict[str, tuple[float, ...]] = {
    "stop": (0, 1, 2, 30, 60),
    "tool change": (6,),
    "spindle": (3, 4, 5),
    "coolant": (7, 8, 9),
    "overrides": (48, 49),
}


def _by_code(groups: Mapping[str, tuple[float, ...]]) -> dict[int, str]:
    return {round(code * 10): name for name, codes in groups.items() for code in codes}


G_GROUP: dict[Dialect, dict[int, str]] = {"rs274ngc": _by_code(_NGC_GROUPS), "iso6983": _by_code(_ISO_GROUPS)}
"""Modal group of every G code."""

M_GROUP = _by_code(_M_GROUPS)
"""Modal group of every M code."""

UNITS: dict[Dialect, dict[int, float]] = {
    "rs274ngc": {200: 25.4, 210: 1.0},
    "iso6983": {700: 25.4, 710: 1.0},
}
"""Millimetres in a unit of the program, by the code that sets it."""

NOT_CHECKED: dict[str, str] = {
    "G10": "sets a work offset from the program; where its zero then lies is not known",
    "G92": "moves the program's zero; positions after it cannot be held against the plan",
    "G92.1": "takes back a moved zero; positions after it cannot be held against the plan",
    "G92.2": "takes back a moved zero; positions after it cannot be held against the plan",
    "G92.3": "moves the program's zero; positions after it cannot be held against the plan",
    "G38.2": "is a probe move; where it ends is not known",
    "G28": "goes to the machine's reference point; the way there is not checked",
    "G30": "goes to the machine's second reference point; the way there is not checked",
    "G53": "moves in the machine's own frame; where that is over the blank is not known",
    "G41": "offsets the path to the left by a radius that only the control knows; it was checked as written",
    "G42": "offsets the path to the right by a radius that only the control knows; it was checked as written",
    "G84": "is a tapping cycle, which a router has no use for; it is not checked",
    "G86": "is a boring cycle that stops the spindle; it is not checked",
    "G87": "is a back-boring cycle; it is not checked",
    "G88": "is a boring cycle that waits for a person; it is not checked",
    "G95": "feeds per turn of the spindle; feeds after it are not checked",
    "A": "turns a rotary axis, which this machine does not have",
    "B": "turns a rotary axis, which this machine does not have",
    "C": "turns a rotary axis, which this machine does not have",
}
"""Words of the language that this check does not follow, and why; each is named where it stands."""

_WORD = re.compile(r"([A-Z])([+-]?(?:\d+\.?\d*|\.\d+))")


def read_line(text: str, number: int) -> Line:
    """A clean line (capitals, no blanks, no comments) to its words.

    >>> line = read_line("/N20G1X-1.5", 7)
    >>> line.optional, [str(word) for word in line.words], line.rest
    (True, ['N20', 'G1', 'X-1.5'], '')
    >>> read_line("G1X#3", 8).rest
    'X#3'
    """
    optional = text.startswith("/")
    text = text.removeprefix("/")
    if text == "%":
        return Line(number=number, percent=True)
    found = []
    place = 0
    while (match := _WORD.match(text, place)) and abs(float(match[2])) <= LARGEST:
        found.append(Word(letter=match[1], value=float(match[2])))
        place = match.end()
    return Line(number=number, words=tuple(found), rest=text[place:], optional=optional)
