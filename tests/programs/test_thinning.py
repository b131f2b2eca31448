"""Thinning keeps the path where it is, and the time what it would be without rounding."""

from itertools import pairwise

import numpy as np
import pytest

from signplan.programs.model import is_constant
from signplan.programs.thinning import allowed_by, kept, noticed, thinned
from signplan.timing.estimate import motion_limits
from signplan.timing.motion import travel_time


def wave(step):
    """An ellipse, then rows of a relief: curved, dense, with corners between."""
    turn = np.arange(0, 2 * np.pi, step / 40)
    x = np.arange(0, 100, step)
    return np.concatenate(
        (
            np.stack((60 * np.cos(turn), 25 * np.sin(turn), 0 * turn)),
            np.stack((x, 30 + 0 * x, np.sin(x / 3) - 1)),
            np.stack((x[::-1], 30.5 + 0 * x, np.sin(x[::-1] / 3) - 1)),
        ),
        axis=1,
    )


@pytest.mark.parametrize("step", [0.02, 0.05, 0.1])
def test_the_time_of_a_rounded_path_is_that_of_the_exact_one(shop, step):
    machine, feed, rounding = shop.machine, 80.0, 0.001
    exact = wave(step)
    rounded = np.round(exact / rounding) * rounding
    least = noticed(np.full(exact.shape[1] - 1, feed), rounding, min(machine.accel[:2]))
    keep = kept(rounded, least, np.zeros(exact.shape[1], bool), allowed_by(machine, rounding))
    limits = motion_limits(machine)
    wanted = travel_time(exact.T, feed, limits)
    assert travel_time(rounded[:, keep].T, feed, limits) == pytest.approx(wanted, rel=0.03)
    assert keep.sum() < exact.shape[1]


def test_no_point_lies_off_the_thinned_path_by_more_than_allowed():
    points = wave(0.05)
    keep = kept(points, np.full(points.shape[1] - 1, 2.0), np.zeros(points.shape[1], bool), 0.01)
    at = np.flatnonzero(keep)
    for first, last in pairwise(at):
        chord = points[:, last] - points[:, first]
        inside = points[:, first:last] - points[:, [first]]
        share = np.clip(chord @ inside / max(chord @ chord, 1e-300), 0, 1)
        assert np.linalg.norm(inside - share * chord[:, None], axis=0).max() <= 0.01


def test_moves_that_differ_are_not_joined(moves_of, shop):
    text = "M3 S9000\nG0 X0 Y0 Z0\nG1 F6000\n" + "".join(f"X{k / 100}\n" for k in range(1, 200))
    text += "S8000\n" + "".join(f"X{k / 100} F3000\n" for k in range(200, 400)) + "G0 X9\nM30\n"
    [batch] = moves_of(text)
    few = thinned(batch.moves, shop.machine, rounding=0.001)
    assert len(few) < len(batch.moves) / 5
    for rpm in (9000.0, 8000.0):
        mine, whole = few.rpm == rpm, batch.moves.rpm == rpm
        assert few.line[mine][0] == batch.moves.line[whole][0]
        assert few.last_line[mine][-1] == batch.moves.line[whole][-1]
    np.testing.assert_array_equal(few.end[:, -1], batch.moves.end[:, -1])
    np.testing.assert_array_equal(few.start[:, 1:], few.end[:, :-1])


def test_exact_modes_follow_every_point(moves_of, shop):
    text = (
        "G61.1 M3 S9000\nG0 X0 Y0 Z0\nG1 F6000\n" + "".join(f"X{k / 100}\n" for k in range(1, 50)) + "M30\n"
    )
    [batch] = moves_of(text)
    assert thinned(batch.moves, shop.machine, rounding=0.001) is batch.moves


def test_a_constant_is_known_without_looking():
    assert is_constant(np.broadcast_to(3, 10))
    assert not is_constant(np.full(10, 3))
