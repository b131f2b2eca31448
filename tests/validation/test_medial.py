"""The medial axis on lettering, against exact distances and against points that no Voronoi diagram made.

Reference for radii: GEOS distances through shapely. Reference for completeness: the definition itself (Blum,
"A transformation for extracting new descriptors of shape", 1967, from memory): the discs of the axis together
are the shape. Reference for the largest disc: shapely's maximum inscribed circle.
"""

from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon

from signplan.artwork.importer import read_artwork
from signplan.geometry.medial import WORTH, medial_axis

ART = Path(__file__).parents[2] / "demo_jobs" / "gannet-and-thrum" / "art" / "face.dxf"


@pytest.fixture(scope="module", params=["LETTERS", "SMALL TEXT"])
def lettering(request) -> MultiPolygon:
    artwork, _ = read_artwork(ART)
    layer = artwork.layer(request.param)
    assert layer is not None
    return MultiPolygon([region.shape for region in layer.regions])


@pytest.fixture(scope="module")
def branches(lettering) -> list[np.ndarray]:
    return [branch.points for branch in medial_axis(lettering)]


@pytest.fixture(scope="module")
def places(branches) -> np.ndarray:
    return np.concatenate(branches)


def test_radii_are_exact_to_a_hundredth(lettering, places):
    exact = shapely.distance(shapely.points(places[:, :2]), lettering.boundary)
    assert np.abs(places[:, 2] - exact).max() < 0.01


def test_halfway_between_two_points_the_radius_is_their_mean_to_a_hundredth(lettering, branches):
    middles = np.concatenate([(points[1:] + points[:-1]) / 2 for points in branches])
    exact = shapely.distance(shapely.points(middles[:, :2]), lettering.boundary)
    assert np.abs(middles[:, 2] - exact).max() < 0.01


def dense(points: np.ndarray, step: float) -> np.ndarray:
    """A branch with points at most a step apart, its radius linear between those it has."""
    way = np.concatenate([[0], np.cumsum(np.linalg.norm(np.diff(points[:, :2], axis=0), axis=1))])
    at = np.linspace(0, way[-1], int(way[-1] / step) + 2)
    return np.column_stack([np.interp(at, way, column) for column in points.T])


def test_the_discs_of_the_axis_are_the_lettering(lettering, branches):
    places = np.concatenate([dense(points, 0.25) for points in branches])
    kept = places[places[:, 2] > 0.01]
    discs = shapely.union_all(shapely.buffer(shapely.points(kept[:, :2]), kept[:, 2], quad_segs=12))
    left = lettering.difference(discs.buffer(2 * WORTH))
    assert left.area < 1e-5 * lettering.area
    assert discs.difference(lettering.buffer(0.01)).area < 1e-6 * lettering.area


def test_the_largest_disc_is_the_largest_inscribed_circle(lettering, places):
    largest = max(shapely.maximum_inscribed_circle(part, tolerance=1e-3).length for part in lettering.geoms)
    assert places[:, 2].max() == pytest.approx(largest, abs=2e-3)
