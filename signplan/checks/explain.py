"""What each finding means, in words, for `signplan explain` and docs/checks.md, which it prints."""

import difflib
import textwrap
from collections.abc import Iterator

from signplan.checks.explanation import Explanation
from signplan.checks.explanations import EXPLANATIONS
from signplan.errors import SignplanError

_WIDTH = 100
_HEAD = """\
# Findings

What signplan may say about a job. An error spoils a panel or a machine: the documents are written, each page
marked NOT READY, and the command exits 1. A warning needs a decision by a person. A note is worth knowing.
A finding never stops the others, and none of them certifies anything: loads, hanging, dust and glue belong to
engineers, officials, safety data sheets and the employer's safety programme.

This page is what `signplan explain` prints; `signplan explain CODE` prints one part of it."""


def explanation(code: str) -> str:
    """The text about one code.

    Raises:
        SignplanError: there is no such finding; with the one that was probably meant.
    """
    if code in EXPLANATIONS:
        return "\n".join(_lines(code, EXPLANATIONS[code]))
    close = difflib.get_close_matches(code.casefold(), EXPLANATIONS, n=1)
    near = f"did you mean '{close[0]}'?" if close else "`signplan explain` prints all of them"
    raise SignplanError(f"there is no finding '{code}'; {near}")


def all_explanations() -> str:
    """Every code, explained, under a head that says what findings are."""
    blocks = ("\n".join(_lines(code, each)) for code, each in sorted(EXPLANATIONS.items()))
    return "\n\n".join((_HEAD, *blocks))


def _lines(code: str, each: Explanation) -> Iterator[str]:
    yield f"## {code}: {each.title}"
    yield ""
    yield textwrap.fill(each.meaning, _WIDTH)
    yield ""
    for label, text in (("Judged by", each.formula), ("Source", each.source), ("What to do", each.remedy)):
        if text:
            yield textwrap.fill(f"- {label}: {text}", _WIDTH, subsequent_indent="  ", break_on_hyphens=False)
