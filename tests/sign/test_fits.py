"""Fits by themselves, and chains of them. Published values are in tests/validation/test_fits.py."""

import numpy as np
import pytest
from shapely import box

from signplan.sign.fits import Fit, stack_up
from signplan.sign.location import corners
from signplan.sign.register import STAY, Placement

HERE = np.zeros((1, 2))
QUARTER = Placement(0, -1, 50, 1, 0, 20)


def test_a_fit_without_a_pair_does_not_turn():
    assert Fit(words="cut", shift=0.05).at(corners(box(0, 0, 900, 600))).tolist() == [0.05] * 5


def test_pins_close_together_are_worse():
    """Beyond the pins an error grows with the lever arm."""
    near = Fit(words="pins", shift=0.05, pair=((0, 0), (100, 0)))
    far = Fit(words="pins", shift=0.05, pair=((-200, 0), (300, 0)))
    at = corners(box(-300, -200, 400, 200))
    assert near.at(at).max() > 3 * far.at(at).max()
    assert (far.at(at) >= 0.05).all()


def test_it_does_not_matter_in_which_frame_a_pair_is_told():
    pair = ((10.0, 5.0), (90.0, 35.0))
    told = tuple(QUARTER.point(*pin) for pin in pair)
    at = corners(box(-40, 0, 150, 80))
    here = Fit(words="pins", shift=0.05, pair=pair).at(at)
    there = Fit(words="pins", shift=0.05, pair=told, placement=QUARTER).at(at)
    assert there == pytest.approx(here, rel=1e-6)


def test_an_error_along_one_direction_is_out_along_it_only():
    (maps,) = Fit(words="size", shift=2.0, along=(1.0, 0.0), placement=QUARTER).maps(HERE)
    across, along = maps[0]
    assert across == pytest.approx([0, 0])
    assert np.linalg.norm(along) == pytest.approx(2.0)


@pytest.mark.parametrize(("mirrored", "allowance"), [(False, 0.0), (True, 0.2)])
def test_an_error_that_both_ends_share_counts_by_its_difference(mirrored, allowance):
    """Moved alike they stay together; mirrored, they move apart by twice the error."""
    other = Placement(-1, 0, 0, 0, 1, 0) if mirrored else STAY
    fits = [
        Fit(words="blank", shift=0.1),
        Fit(words="dowel", shift=0.3),
        Fit(words="blank", shift=0.1, placement=other),
    ]
    stack = stack_up(fits, HERE, name="ends", kind="seam")
    assert [share.words for share in stack.path] == ["blank", "dowel"]
    assert [share.allowance for share in stack.path] == pytest.approx([allowance, 0.3], abs=1e-12)
    assert stack.largest == "dowel"


def test_the_figures_are_those_of_the_worst_place():
    turning = Fit(words="pins", shift=0.1, pair=((0, 0), (10, 0)))
    at = np.array([[5.0, 0.0], [20.0, 0.0], [10.0, 0.0]])
    assert stack_up([turning], at, name="ends", kind="seam").worst == pytest.approx(0.1 * 2 * 15 / 10)
