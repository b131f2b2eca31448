"""Lengths, places and directions as findings speak of them."""

from dataclasses import replace

import pytest

from signplan.checks.case import heading


@pytest.fixture
def case(judge):
    text = '[[hardware]]\nname = "bar"\nclearance = 1\n[[hardware.part]]\nshape = "flat"\nsize = [60, 20]\n'
    return judge(text + "thickness = 10\ncenter = [300, 150]\n").case


def test_it_speaks_in_the_units_of_the_job(case):
    assert (case.units, case.say(2.54), case.number(2.54)) == ("mm", "2.54 mm", 2.54)
    head = case.job.job.model_copy(update={"units": "in"})
    inches = replace(case, job=case.job.model_copy(update={"job": head}))
    assert (inches.say(2.54), inches.number(2.54)) == ("0.100 in", pytest.approx(0.1))
    assert (case.enough(0.1301), inches.enough(2.541)) == ("0.14 mm", "0.101 in")
    assert (case.enough(0.13), inches.enough(2.54)) == ("0.13 mm", "0.100 in")
    assert inches.place((25.4, 0.0, -2.54)) == "(1.000 in, 0.000 in, -0.100 in)"


def test_it_finds_pockets_and_items(case):
    assert [pocket.id for pocket in case.pockets] == ["A/bar-1", "B/bar-1"]
    assert case.item("bar").key == "hardware[0]"


@pytest.mark.parametrize(
    ("degrees", "words"),
    [
        (0, "right"),
        (45, "up and right"),
        (90, "up"),
        (180, "left"),
        (270, "down"),
        (359.9, "at 360 degrees (right)"),
        (100, "at 100 degrees (up)"),
    ],
)
def test_directions_in_words(degrees, words):
    assert heading(degrees) == words
