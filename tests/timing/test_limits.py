"""Limits that no machine can have are refused."""

import math

import numpy as np
import pytest

from signplan.errors import SignplanError
from signplan.timing.limits import MotionError, MotionLimits

GOOD = {"speed": (100, 100, 50), "accel": (500, 500, 300), "corner_tolerance": 0.05}


def test_any_three_numbers_become_a_tuple():
    limits = MotionLimits(speed=np.array([100, 100, 50]), accel=[500, 500, 300], corner_tolerance=0)
    assert limits.speed == (100.0, 100.0, 50.0)
    assert limits.accel == (500.0, 500.0, 300.0)
    assert limits == MotionLimits(**GOOD | {"corner_tolerance": 0})


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("speed", (100, 100, 0)),
        ("speed", (100, -1, 50)),
        ("speed", (100, 100)),
        ("speed", 100),
        ("accel", (500, math.nan, 300)),
        ("accel", (500, 500, math.inf)),
        ("corner_tolerance", -0.01),
        ("corner_tolerance", math.nan),
        ("corner_tolerance", math.inf),
        ("path_accel", 0),
        ("path_accel", math.nan),
        ("jerk", -5),
        ("jerk", math.nan),
        ("accel", ("fast", 1, 2)),
        ("corner_tolerance", "small"),
        ("jerk", None),
    ],
)
def test_a_limit_that_is_none_is_named(name, value):
    with pytest.raises(MotionError, match=name) as caught:
        MotionLimits(**GOOD | {name: value})
    assert isinstance(caught.value, SignplanError)
    assert isinstance(caught.value, ValueError)
