"""Rules on single lines: what the language allows, and which of its words this check follows.

Each rule is a generator of one code. It gets a line that is more than a plain move, the modal state before
it and after it, and what the program is held against. Sections are those of RS274/NGC (NISTIR 6556, 2000),
from memory.
"""

from collections import Counter
from collections.abc import Callable, Iterator

from signplan.findings import Severity
from signplan.programs.modal import AXES, State, groups_of
from signplan.programs.model import NO_TOOL, Context, Line, Sighting
from signplan.programs.words import G_GROUP, LETTERS, M_GROUP, NOT_CHECKED

LineRule = Callable[[Line, State, State, Context], Iterator[Sighting]]

HIGHEST_LINE_NUMBER = 99999
MOST_M_WORDS = 4
_EXPRESSIONS = frozenset("#[]=*")
_BRACKETS = frozenset("()")
_LOSES_PLACES = frozenset(("G10", "G92", "G92.1", "G92.2", "G92.3", "G38.2"))


def unknown_word(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """A word that the language does not have is named with its line, never passed over."""
    for word in line.words:
        known = {"G": G_GROUP[context.dialect], "M": M_GROUP}.get(word.letter)
        if word.letter in LETTERS and (known is None or word.key in known):
            continue
        yield Sighting(
            code="program-word",
            severity=Severity.ERROR,
            subject=str(word),
            message=f"{word} is not a word of the language that programs are read in",
            line=line.number,
            hint="find out what your control does with it, or post the program without it",
        )


def broken_line(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """A line that is not made of words, or whose line number is none (3.3.1, 3.3.2)."""
    rest = line.rest
    if rest and _EXPRESSIONS.isdisjoint(rest) and _BRACKETS.isdisjoint(rest):
        yield _error("program-line", line, f"the line cannot be read from {quoted(rest)} on", "text")
    for place, word in enumerate(line.words):
        if word.letter == "N" and place:
            yield _error("program-line", line, f"the line number {word} does not stand first", "N place")
        elif word.letter == "N" and (word.key % 10 or not 0 <= word.value <= HIGHEST_LINE_NUMBER):
            yield _error(
                "program-line", line, f"the line number {word} is not one of 0 to {HIGHEST_LINE_NUMBER}", "N"
            )


def comment(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """A comment is closed on its line and holds no other (3.3.3)."""
    if _BRACKETS.isdisjoint(line.rest):
        return
    what = (
        "a comment is not closed on its line" if ")" not in line.rest else "a comment stands inside another"
    )
    yield _error(
        "program-comment", line, what, "brackets", hint="what follows may be cut as a move, or skipped"
    )


def modal_group(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """One word of each modal group a line, four M words at most, every other letter once (3.4, 3.3.2)."""
    groups: dict[str, list[str]] = {}
    for group, word in groups_of(line, context.dialect):
        groups.setdefault(group, []).append(word)
    for group, words in groups.items():
        if len(words) > 1 and set(words) != {"M7", "M8"}:
            yield _error(
                "program-group", line, f"{' and '.join(words)} on one line: both set the {group}", group
            )
    letters = Counter(word.letter for word in line.words)
    for letter, count in letters.items():
        if count > 1 and letter not in "GM":
            yield _error("program-group", line, f"{letter} stands {count} times on one line", letter)
    if letters["M"] > MOST_M_WORDS:
        yield _error(
            "program-group", line, f"{letters['M']} M words on one line; {MOST_M_WORDS} are allowed", "M"
        )
    takes_axes = set(groups.get("non-modal", ())) & {"G10", "G28", "G30", "G92"}
    if takes_axes and "motion" in groups and not letters.keys().isdisjoint(AXES):
        both = " and ".join((*sorted(takes_axes), *groups["motion"]))
        yield _error("program-group", line, f"{both} on one line: both take its axis words", "axes")


def not_checked(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """A word that this check knows but does not follow is named: silence would be taken for approval."""
    for word in line.words:
        key = word.letter if word.letter in "ABC" else str(word)
        if key in NOT_CHECKED:
            severity = Severity.ERROR if key in _LOSES_PLACES else Severity.WARNING
            yield Sighting(
                code="program-not-checked",
                severity=severity,
                subject=key,
                message=f"{word} {NOT_CHECKED[key]}",
                line=line.number,
                hint="check what it does at the machine, with the tool above the blank",
            )
    if not _EXPRESSIONS.isdisjoint(line.rest) and _BRACKETS.isdisjoint(line.rest):
        yield _error(
            "program-not-checked",
            line,
            f"{quoted(line.rest)} is computed by the control; this check does not compute",
            "expression",
            hint="post the program with plain numbers",
        )


def optional_line(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """A line that the block delete switch skips makes two programs of one (3.3)."""
    if line.optional:
        yield Sighting(
            code="program-optional",
            severity=Severity.WARNING,
            message="a line begins with /, so block delete skips it; it was checked as if that is off",
            line=line.number,
            hint="set the switch off for this program, or take the line out",
        )


def tool_word(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """T selects, M6 changes; a change without a selection puts in nobody knows what (3.6.3, 3.7.3)."""
    for value in line.values("T"):
        if value < 0 or value != int(value):
            yield _error("program-tool", line, f"T{value:g} is not a tool number", "number")
    if after.change > before.change and after.selected == NO_TOOL:
        yield Sighting(
            code="program-tool",
            severity=Severity.WARNING,
            subject="no T",
            message="M6 changes the tool, but no T word has said to which",
            line=line.number,
            hint="put the T word on the line of the M6",
        )


def length_number(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """G43 takes the length of the tool in the spindle, by the same number (3.5.11)."""
    if 430 not in line.keys("G") or after.tool == NO_TOOL or after.length_number == after.tool:
        return
    what = "without H" if after.length_number == NO_TOOL else f"with H{after.length_number}"
    yield Sighting(
        code="length-number",
        severity=Severity.WARNING,
        subject=f"T{after.tool}",
        message=f"G43 {what} while T{after.tool} is in the spindle: the length of another tool",
        line=line.number,
        measured=float(after.length_number),
        wanted=float(after.tool),
        hint="a wrong length drives the cutter into the blank or the table",
    )


def units_change(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """Inches and millimetres are said once, at the top (3.5.7)."""
    if before.scale and after.scale != before.scale:
        yield Sighting(
            code="program-units",
            severity=Severity.WARNING,
            subject="both",
            message="the program changes between inches and millimetres",
            line=line.number,
            hint="post it in one unit",
        )


def spindle_reversed(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """Router cutters are right-handed: turned backwards they burn and can come loose (common practice)."""
    if 40 in line.keys("M"):
        yield Sighting(
            code="spindle-reversed",
            severity=Severity.WARNING,
            message="M4 turns the spindle backwards",
            line=line.number,
            hint="use M3 unless the cutter is left-handed",
        )


def work_offset(line: Line, before: State, after: State, context: Context) -> Iterator[Sighting]:
    """The plan has one zero: the lower left corner of the blank, on its top. G54 is taken for it."""
    for group, word in groups_of(line, context.dialect):
        if group == "work offset" and word not in ("G54", "G53"):
            yield Sighting(
                code="work-offset",
                severity=Severity.WARNING,
                subject=word,
                message=f"{word} takes another zero; it was checked as if that were the corner of the blank",
                line=line.number,
                hint="make sure of that zero at the machine, or use G54",
            )


def _error(code: str, line: Line, message: str, subject: str, *, hint: str = "") -> Sighting:
    return Sighting(
        code=code, severity=Severity.ERROR, message=message, line=line.number, subject=subject, hint=hint
    )


def quoted(text: str) -> str:
    """Some of a text, with what cannot be printed made visible."""
    shown = text[:20].encode("unicode_escape").decode("ascii")
    return f"'{shown}{'...' if len(text) > 20 else ''}'"


LINE_RULES: tuple[LineRule, ...] = (
    unknown_word,
    broken_line,
    comment,
    modal_group,
    not_checked,
    optional_line,
    tool_word,
    length_number,
    units_change,
    spindle_reversed,
    work_offset,
)
