import numpy as np
import pytest
import shapely

from signplan.artwork.flatten import ShapeError
from signplan.artwork.nearby import pairs


def test_every_pair_once_in_order():
    points = np.asarray(shapely.points([(0, 0), (5, 0), (0.5, 0), (5, 0.5)]))
    assert pairs(points, "dwithin", distance=1).tolist() == [[0, 2], [1, 3]]


def test_a_heap_is_refused():
    points = np.asarray(shapely.points(np.zeros((3000, 2))))
    with pytest.raises(ShapeError, match="more than 1,000,000 times"):
        pairs(points, "dwithin", distance=1)
