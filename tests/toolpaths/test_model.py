"""What a tool path says of itself."""

import numpy as np
import pytest

from signplan.toolpaths.model import Move, Toolpath


def test_the_mean_depth_is_that_of_the_cutting_moves_by_their_length():
    """By hand: 30 mm at 2 deep and 10 mm on the way from 2 to 6 make (60 + 40) / 40 = 2.5."""
    path = Toolpath(
        points=np.array([(0, 0, 9), (0, 0, -2), (30, 0, -2), (30 + 84**0.5, 0, -6), (0, 0, 9)], dtype=float),
        moves=np.array([Move.PLUNGE, Move.CUT, Move.CUT, Move.RAPID], dtype=np.int8),
    )
    assert path.mean_depth == pytest.approx(2.5)


def test_the_mean_depth_of_a_path_that_cuts_nothing_is_none():
    path = Toolpath(points=np.array([(0.0, 0, 9), (5, 0, 9)]), moves=np.array([Move.RAPID], dtype=np.int8))
    assert path.mean_depth == 0
