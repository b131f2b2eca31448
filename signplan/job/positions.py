"""Where each key of a TOML file stands, which tomllib does not say.

`positions` walks a text that tomllib has accepted and maps every key path to the place of its key and of its
value. It knows no values. Its result is trusted only if it has exactly the paths that tomllib found.
"""

import bisect
import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

Path = tuple[str | int, ...]
"""A key path, such as `("hardware", 0, "part", 1, "stock")`."""

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SCALAR = re.compile(r"[^,\]}#\n]*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}'
    r"|'''.*?'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Place:
    """Where a key and its value begin: (line, column), both from 1."""

    key: tuple[int, int]
    value: tuple[int, int]


def spell(path: Path) -> str:
    """The key path as people write it.

    >>> spell(("hardware", 0, "part", 1, "stock"))
    'hardware[0].part[1].stock'
    """
    text = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in path)
    return text.removeprefix(".")


def positions(text: str, data: Mapping[str, Any]) -> dict[Path, Place]:
    """The place of every key path of a TOML text; empty if they cannot be told.

    Args:
        text: the file's text.
        data: what tomllib made of it.
    """
    try:
        found = _Walk(text).places()
        return found if found.keys() == set(_paths(data, ())) else {}
    except (IndexError, RecursionError, _LostError):
        return {}


def _paths(value: Any, path: Path) -> Iterator[Path]:
    """Every path below a value, tables and items of arrays included."""
    entries = (
        value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    )
    for step, inner in entries:
        yield (*path, step)
        yield from _paths(inner, (*path, step))


class _LostError(Exception):
    """The walk met what it does not understand."""


class _Walk:
    """One walk over a text. `at` is where it stands; `counts` how many tables each `[[array]]` has so far."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.found: dict[Path, Place] = {}
        self.counts: dict[Path, int] = {}
        self.line_starts = [0, *(match.end() for match in re.finditer("\n", text))]

    def places(self) -> dict[Path, Place]:
        table: Path = ()
        self.skip_blank()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
            self.skip_blank()
        return self.found

    def header(self) -> Path:
        """`[a.b]` or `[[a.b]]`: the path of the table that it opens."""
        start = self.at
        array = self.text.startswith("[[", start)
        self.at += 2 if array else 1
        path: Path = ()
        keys = [key for key, _ in self.keys()]
        for depth, key in enumerate(keys):
            path = (*path, key)
            self.note(path, start)
            last = depth == len(keys) - 1
            if array and last:
                self.counts[path] = self.counts.get(path, 0) + 1
            if path in self.counts:
                path = (*path, self.counts[path] - 1)
                self.note(path, start)
        self.at += 2 if array else 1
        return path

    def pair(self, table: Path) -> None:
        """`key = value`, with dotted keys; `table` is where it stands."""
        path = table
        starts: list[tuple[Path, int]] = []
        for key, start in self.keys():
            path = (*path, key)
            starts.append((path, start))
        self.expect("=")
        self.skip_space()
        for each, start in starts:
            self.note(each, start, self.at)
        self.value(path)

    def keys(self) -> Iterator[tuple[str, int]]:
        """The parts of a dotted key and where each begins."""
        while True:
            self.skip_space()
            start = self.at
            yield self.key(), start
            self.skip_space()
            if self.text[self.at] != ".":
                return
            self.at += 1

    def key(self) -> str:
        if match := _BARE_KEY.match(self.text, self.at):
            self.at = match.end()
            return match[0]
        start = self.at
        self.string()
        return next(iter(tomllib.loads(f"{self.text[start : self.at]} = 0")))

    def value(self, path: Path) -> None:
        match self.text[self.at]:
            case "[":
                self.array(path)
            case "{":
                self.inline_table(path)
            case '"' | "'":
                self.string()
            case _:
                self.at = _must(_SCALAR.match(self.text, self.at)).end()

    def array(self, path: Path) -> None:
        self.at += 1
        index = 0
        self.skip_blank()
        while self.text[self.at] != "]":
            self.note((*path, index), self.at)
            self.value((*path, index))
            index += 1
            self.skip_comma()
        self.at += 1

    def inline_table(self, path: Path) -> None:
        self.at += 1
        self.skip_blank()
        while self.text[self.at] != "}":
            self.pair(path)
            self.skip_comma()
        self.at += 1

    def string(self) -> None:
        self.at = _must(_STRING.match(self.text, self.at)).end()

    def expect(self, mark: str) -> None:
        if self.text[self.at] != mark:
            raise _LostError
        self.at += 1

    def skip_space(self) -> None:
        while self.at < len(self.text) and self.text[self.at] in " \t":
            self.at += 1

    def skip_blank(self) -> None:
        self.at = _must(_BLANK.match(self.text, self.at)).end()

    def skip_comma(self) -> None:
        self.skip_blank()
        if self.text[self.at] == ",":
            self.at += 1
            self.skip_blank()

    def note(self, path: Path, key: int, value: int | None = None) -> None:
        """The first mention of a path is its place."""
        self.found.setdefault(
            path, Place(key=self.place(key), value=self.place(key if value is None else value))
        )

    def place(self, at: int) -> tuple[int, int]:
        low = bisect.bisect_right(self.line_starts, at) - 1
        return low + 1, at - self.line_starts[low] + 1


def _must(match: re.Match[str] | None) -> re.Match[str]:
    if match is None:
        raise _LostError
    return match
