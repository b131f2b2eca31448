"""A TOML file on disk to its data and the places of its keys; or one clear refusal."""

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from signplan.errors import InputError, Problem
from signplan.job import positions
from signplan.job.positions import Place, spell

MOST_BYTES = 1 << 20
"""A job file has a few kilobytes; a megabyte is some other file."""

_LONGEST_EXCERPT = 160
_SYNTAX_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


@dataclass(frozen=True, kw_only=True, slots=True)
class Document:
    """A TOML file that has been read. `name` is how messages call it; `places` may be empty."""

    name: str
    lines: tuple[str, ...]
    data: Mapping[str, Any]
    places: Mapping[positions.Path, Place]

    def problem(self, path: positions.Path, message: str, *, at_key: bool = False) -> Problem:
        """A problem with the value (or the key) at a path, placed on its line, or on its nearest table's."""
        text = f"{spell(path)}: {message}" if path else message
        place = self.places.get(path)
        line, column = self.position(path) if place is None or at_key else place.value
        return Problem(
            file=self.name, message=text, line=line, column=column, excerpt=excerpt(self.lines, line)
        )

    def position(self, path: positions.Path) -> tuple[int, int]:
        """Line and column of a key, or of the nearest table round it; (0, 0) if there is none."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places[path].key if path else (0, 0)


def excerpt(lines: tuple[str, ...], line: int) -> str:
    """The line as it can be printed with a mark under a column; empty for none and for very long ones."""
    if not 0 < line <= len(lines) or len(lines[line - 1]) > _LONGEST_EXCERPT:
        return ""
    return "".join(letter if letter.isprintable() else " " for letter in lines[line - 1]).rstrip()


def parse_document(text: str, name: str) -> Document:
    """Read a TOML text; `name` is what messages call it.

    Raises:
        InputError: the text is not TOML; with line and column.
    """
    text = text.replace("\r\n", "\n")
    lines = tuple(text.split("\n"))
    try:
        data = tomllib.loads(text)
    except RecursionError:
        raise InputError(Problem(file=name, message="its brackets are nested too deeply")) from None
    except ValueError as error:
        raise InputError(_syntax_problem(str(error), name, lines)) from None
    return Document(name=name, lines=lines, data=data, places=positions.positions(text, data))


def read_document(path: Path) -> Document:
    """Read a TOML file.

    Raises:
        InputError: it is missing, unreadable, too large, not UTF-8 or not TOML.
    """
    name = str(path)
    try:
        with path.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = "no such file" if isinstance(error, FileNotFoundError) else _reason(error)
        raise InputError(Problem(file=name, message=reason)) from None
    if len(content) > MOST_BYTES:
        raise InputError(Problem(file=name, message="is larger than a megabyte; this is no job or shop file"))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        message = "is not UTF-8 text; save it again as UTF-8"
        raise InputError(Problem(file=name, message=message, line=line)) from None
    return parse_document(text, name)


def _reason(error: Exception) -> str:
    return f"cannot be read: {getattr(error, 'strerror', None) or error}"


def _syntax_problem(message: str, name: str, lines: tuple[str, ...]) -> Problem:
    """tomllib says the place inside its text; here it becomes the problem's."""
    match = _SYNTAX_PLACE.search(message)
    line, column = (0, 0) if match is None else (len(lines), len(lines[-1]) + 1)
    if match and match[1]:
        line, column = int(match[1]), int(match[2])
    said = _SYNTAX_PLACE.sub("", message)
    return Problem(
        file=name,
        message=f"not valid TOML: {said[:1].lower()}{said[1:]}",
        line=line,
        column=column,
        excerpt=excerpt(lines, line),
    )
