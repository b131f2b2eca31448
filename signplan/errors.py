"""What stops the program: input that cannot be used.

Trouble with a *job* that can be read is a `Finding`, collected and never raised. These exceptions are for
input that cannot be read at all. Only the command line catches them.
"""

from dataclasses import dataclass


class SignplanError(Exception):
    """The program cannot go on; the text is one clear message for a person."""

    exit_code = 2


@dataclass(frozen=True, kw_only=True, slots=True)
class Problem:
    """One thing wrong with an input file, with its place.

    `line` and `column` count from 1; 0 means that the place has none. `key` is the key of the job that asks
    for what is wrong, if the file is not the job's own.
    """

    file: str
    message: str
    line: int = 0
    column: int = 0
    excerpt: str = ""
    key: str = ""

    def __str__(self) -> str:
        place = self.file
        if self.line:
            place += f":{self.line}"
            if self.column:
                place += f":{self.column}"
        text = ": ".join(filter(None, (place, self.key, self.message)))
        if self.excerpt:
            text += f"\n    {self.excerpt}"
            if self.column:
                text += "\n    " + " " * (self.column - 1) + "^"
        return text


class InputError(SignplanError):
    """An input file that cannot be used, with every problem found in it."""

    def __init__(self, *problems: Problem) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))
