"""Every code is explained, and every rule is in one list."""

import re
from pathlib import Path

from signplan.programs import rules

HERE = Path(rules.__file__).parent


def test_every_code_in_the_package_is_explained_once():
    found = set()
    for file in HERE.glob("*.py"):
        text = file.read_text(encoding="utf-8")
        found |= set(re.findall(r'code="([a-z]+(?:-[a-z]+)+)"', text))
        found |= set(re.findall(r'(?:seen\(\s*moves,\s*\w+,|_error\()\s*"([a-z]+(?:-[a-z]+)+)"', text))
    assert found == set(rules.CODES)


def test_every_code_is_in_the_document():
    text = (HERE.parents[1] / "docs" / "programs.md").read_text(encoding="utf-8")
    for code, meaning in rules.CODES.items():
        assert f"| `{code}` | {meaning} |" in text


def test_explanations_are_one_sentence():
    for text in rules.CODES.values():
        assert text.endswith(".")
        assert text.count(". ") == 0


def test_no_rule_stands_in_two_lists():
    lists = (rules.LINE_RULES, rules.MOVE_RULES, rules.PLAN_RULES, rules.PROGRAM_RULES, rules.SETUP_RULES)
    every = [rule for each in lists for rule in each]
    assert len(every) == len(set(every))
