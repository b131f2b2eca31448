"""Every finding is explained, and docs/checks.md is what the program says."""

import re
from pathlib import Path

import pytest

from signplan.checks.explain import all_explanations, explanation
from signplan.checks.explanations import EXPLANATIONS
from signplan.errors import SignplanError

ROOT = Path(__file__).parents[2]
CODE = re.compile(
    r'code=\s*"([a-z-]+)"'  # a finding
    r'|(?:\.find|_error)\(\s*"([a-z-]+)"'  # a remark on a drawing, a fault of a program's line
    r'|\(\s*"(art-[a-z-]+)",'
    r'|\bbad,\s*"([a-z-]+)"'  # moves of a program
)


def used_codes():
    """Codes of findings in the source, and the file that has each."""
    found = {}
    for file in sorted((ROOT / "signplan").rglob("*.py")):
        for match in CODE.finditer(file.read_text()):
            found.setdefault(next(filter(None, match.groups())), file.name)
    return found


def test_the_search_for_codes_finds_them():
    assert {"cavity-tight", "web-thin", "art-open", "art-duplicate", "art-units"} <= set(used_codes())


def test_every_code_that_is_used_is_explained():
    assert {code: file for code, file in used_codes().items() if code not in EXPLANATIONS} == {}


def test_the_page_of_findings_is_what_the_program_prints():
    """`signplan explain > docs/checks.md` makes it so."""
    assert (ROOT / "docs" / "checks.md").read_text() == all_explanations() + "\n"


def test_every_code_is_on_the_page():
    page = (ROOT / "docs" / "checks.md").read_text()
    assert [code for code in EXPLANATIONS if f"\n## {code}: " not in page] == []


def test_an_explanation_has_meaning_formula_source_and_remedy():
    assert (
        explanation("pocket-corner")
        == """\
## pocket-corner: a sharp corner of steel meets the round corner that the cutter leaves

A round cutter cannot leave a sharp inside corner. Without a relief the steel's corner stands on
what is left, and the panels stay apart.

- Judged by: clearance >= (r - Rp)(1 - 1/sqrt 2) = 0.293 (r - Rp), with r the radius of the cutter
  and Rp that of the steel's corner
- Source: geometry; checked by brute force in the tests
- What to do: let the corner be relieved, round or chamfer the steel, use a smaller cutter, or give
  clearance"""
    )


@pytest.mark.parametrize(
    ("code", "message"),
    [
        ("web-thn", "there is no finding 'web-thn'; did you mean 'web-thin'?"),
        ("xyzzy", "there is no finding 'xyzzy'; `signplan explain` prints all of them"),
    ],
)
def test_an_unknown_code_is_told(code, message):
    with pytest.raises(SignplanError) as caught:
        explanation(code)
    assert str(caught.value) == message
