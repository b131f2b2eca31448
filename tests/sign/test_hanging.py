"""Where a sign hangs from, found from its steel. The statics are in tests/validation/test_hanging.py."""

import pytest

from signplan.job.model import Hanging
from signplan.sign.hanging import hanging_points

ROD = """
[[hardware]]
name = "{name}"
clearance = 1
[[hardware.part]]
shape = "round"
diameter = 10
from = [{x}, 250]
to = [{to}, 450]
"""


def sign_of(judge, *rods: str):
    return judge("".join(rods)).sign


def test_rods_that_leave_the_top_are_points_from_left_to_right(judge):
    sign = sign_of(judge, ROD.format(name="b", x=400, to=400), ROD.format(name="a", x=100, to=100))
    points, through = hanging_points(sign, Hanging())
    assert points == ((100.0, 400.0), (400.0, 400.0))
    assert through == pytest.approx(0.0)


def test_a_slanted_rod_hangs_where_it_crosses_the_top(judge):
    points, _ = hanging_points(sign_of(judge, ROD.format(name="a", x=100, to=140)), Hanging())
    assert points == ((130.0, 400.0),)


def test_steel_that_stays_inside_or_leaves_below_is_no_point(judge):
    inside = ROD.replace("450", "350").format(name="a", x=100, to=100)
    below = ROD.replace("450", "-50").format(name="b", x=300, to=300)
    assert hanging_points(sign_of(judge, inside, below), Hanging()) == ((), 0.0)


def test_points_of_the_job_come_first(judge):
    sign = sign_of(judge, ROD.format(name="a", x=100, to=100))
    stated = Hanging(points=((500.0, 400.0), (50.0, 400.0)))
    assert hanging_points(sign, stated) == (((50.0, 400.0), (500.0, 400.0)), 0.0)
