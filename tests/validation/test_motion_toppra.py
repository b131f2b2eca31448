"""Travel time along smooth curves against toppra.

toppra (Pham and Pham, "A new approach to time-optimal path parameterization based on reachability analysis",
IEEE Transactions on Robotics, 2018) solves the whole problem on a grid; the model here has a closed form and
four repeats. 12 curves on 3 machines run always; set SIGNPLAN_SLOW=1 for all of them and for more chords.
"""

import os
from pathlib import Path
from runpy import run_path
from types import SimpleNamespace

import numpy as np
import pytest

from signplan.timing.motion import travel_time

reference = SimpleNamespace(**run_path(str(Path(__file__).parents[1] / "benchmarks" / "motion_curves.py")))

SLOW = os.environ.get("SIGNPLAN_SLOW") == "1"
CURVES = list(reference.CURVES)[: None if SLOW else 12]


@pytest.fixture(scope="module")
def shortest():
    return {
        (name, machine): reference.shortest_time(name, machine)
        for name in CURVES
        for machine in reference.MACHINES
    }


def errors(shortest, chord, **options):
    found = []
    for (name, machine), wanted in shortest.items():
        feed, limits = reference.MACHINES[machine]
        found.append(travel_time(reference.sampled(name, chord), feed, limits, **options) / wanted - 1)
    return np.array(found)


@pytest.mark.parametrize("chord", [0.1, 0.05, 0.07] if SLOW else [0.1])
def test_coupled_times_are_within_two_percent(shortest, chord):
    found = errors(shortest, chord)
    assert np.sqrt((found**2).mean()) <= 0.003
    assert np.abs(found).max() <= 0.01


def test_uncoupled_times_are_a_little_short(shortest):
    found = errors(shortest, 0.1, coupled=False)
    assert found.min() >= -0.15
    assert found.max() <= 0.002
    assert found.mean() <= -0.03


def test_length_over_feed_is_no_estimate(shortest):
    found = []
    for (name, machine), wanted in shortest.items():
        points = reference.sampled(name, 0.1)
        length = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
        found.append(length / reference.MACHINES[machine][0] / wanted - 1)
    assert np.mean(found) < -0.25
