"""Steel as large as its name says."""

import pytest

JOB = """
[[hardware]]
name = "{name}"
clearance = 1
held_by = "set screw"
[[hardware.part]]
shape = "round"
{size}
from = [200, 250]
to = [200, 460]
"""


def codes(judge, size, name="pipe post"):
    return [f.code for f in judge(JOB.format(name=name, size=size)).findings if f.code == "pipe-nominal"]


def test_a_pipe_given_by_its_nominal_size(judge):
    found = judge(JOB.format(name="pipe post", size='diameter = "1 in"')).the("pipe-nominal")
    assert found.message == (
        "'pipe post' is given as 25.40 mm across, a pipe's nominal size; pipe 1 measures 33.40 mm outside "
        "(ASME B36.10M)."
    )
    assert found.where == "hardware[0].part[0].diameter"
    assert found.hint.startswith('Write stock = "pipe 1" instead')


@pytest.mark.parametrize("size", ["diameter = 25.4", "diameter = 25.44", 'diameter = "1/2 in"'])
def test_in_either_unit(judge, size):
    assert codes(judge, size) == ["pipe-nominal"]


@pytest.mark.parametrize("size", ['stock = "pipe 1"', "diameter = 33.4", "diameter = 25.5", "diameter = 26"])
def test_a_size_that_was_measured_or_looked_up_is_right(judge, size):
    assert codes(judge, size) == []


@pytest.mark.parametrize("name", ["rod", "piper's bar"])
def test_a_rod_of_that_diameter_is_what_it_says(judge, name):
    assert codes(judge, "diameter = 25.4", name) == []
