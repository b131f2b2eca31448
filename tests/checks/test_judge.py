"""The list of checks: every rule once, every code explained."""

import inspect
import re

from signplan.checks import assembly, closing, handling, hardware, machine, material, registration, work
from signplan.checks.explanations import EXPLANATIONS
from signplan.checks.judge import CHECKS, check_sign

MODULES = (assembly, closing, handling, hardware, machine, material, registration, work)
LISTED = (*CHECKS, *machine.CHECKS, *work.CHECKS)


def test_every_rule_is_listed():
    rules = {
        f for m in MODULES for name, f in vars(m).items()
        if inspect.isgeneratorfunction(f) and f.__module__ == m.__name__ and not name.startswith("_")
    }  # fmt: skip
    assert rules - {work.check_work} == set(LISTED)


def test_every_rule_has_one_code_that_is_named_after_it_and_explained():
    for rule in LISTED:
        codes = set(re.findall(r'code="([a-z-]+)"', inspect.getsource(rule)))
        code = rule.__name__.replace("_", "-")
        assert codes <= {code}
        assert code in EXPLANATIONS


def test_every_rule_gives_its_reason():
    assert all(rule.__doc__ and rule.__doc__.rstrip().endswith(".") for rule in LISTED)


def test_a_finding_does_not_stop_the_others(judge):
    text = '[[hardware]]\nname = "a"\nclearance = 0\n[[hardware.part]]\nshape = "flat"\nsize = [60, 20]\n'
    text += (
        "thickness = 70\ncenter = [300, 25]\n[dowels]\ndiameter = 10\ndepth = 35\nat = [[10, 10], [9, 99]]\n"
    )
    judged = judge(text)
    assert judged.codes >= {"cavity-tight", "wall-thin", "web-thin", "dowel-blocked"}
    assert check_sign(judged.case) == judged.findings
