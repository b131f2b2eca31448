"""Points become blocks: the same whatever the blocks and chunks."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.timing.limits import MotionLimits
from signplan.timing.segments import read_blocks

ROUTER = MotionLimits(speed=(250, 250, 80), accel=(500, 500, 300), corner_tolerance=0.05)


def whole(blocks):
    """All blocks as one, shared vertices once."""
    blocks = list(blocks)
    for before, after in pairwise(blocks):
        assert before.cap[-1] == after.cap[0]
        assert before.span[-1] == after.span[0]
        assert before.bend[-1] == after.bend[0]
        assert (before.turn[:, -1:] == after.turn[:, :1]).all()
    caps = np.concatenate([*(block.cap[:-1] for block in blocks), blocks[-1].cap[-1:]])
    return np.concatenate([block.number for block in blocks]), caps


def wavy(count):
    x = np.arange(count) / 3
    return np.column_stack((x, np.sin(x), 0.2 * np.cos(3 * x)))


@given(size=st.integers(1, 60), chunk=st.integers(1, 60), stop=st.integers(0, 49))
def test_blocks_join_without_a_seam(size, chunk, stop):
    points = wavy(50)
    numbers, caps = whole(read_blocks(points, 90, ROUTER, stops=[stop]))
    pieces = (points[i : i + chunk] for i in range(0, 50, chunk))
    found_numbers, found = whole(read_blocks(pieces, 90, ROUTER, stops=[stop], size=size, ceilings=True))
    assert (found_numbers == numbers).all()
    assert found == pytest.approx(caps, rel=1e-12)
    assert caps[0] == caps[stop] == caps[-1] == 0


def test_segments_without_length_are_left_out_and_keep_their_numbers():
    points = np.repeat(wavy(6), [1, 3, 1, 2, 1, 1], axis=0)
    (block,) = read_blocks(points, np.arange(1.0, 9.0), ROUTER)
    assert block.number.tolist() == [0, 3, 4, 6, 7]
    assert block.top == pytest.approx(np.array([1, 4, 5, 7, 8]) ** 2.0)


def test_a_direction_gets_what_its_axes_allow():
    (block,) = read_blocks([(0, 0, 0), (30, 0, 40), (30, 0, 41)], np.inf, ROUTER)
    assert block.accel == pytest.approx([300 / 0.8, 300])
    assert np.sqrt(block.top) == pytest.approx([80 / 0.8, 80])


def test_the_path_may_be_limited_as_a_whole():
    limits = MotionLimits(speed=(250,) * 3, accel=(500,) * 3, corner_tolerance=0.05, path_accel=200)
    (block,) = read_blocks([(0, 0, 0), (3, 4, 0)], 10, limits)
    assert block.accel == pytest.approx([200])


def test_a_step_too_small_to_square_is_no_step():
    (block,) = read_blocks([(0, 0, 0), (1e-160, 0, 0), (1, 0, 0)], 10, ROUTER)
    assert block.number.tolist() == [1]
