import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from signplan.artwork.importer import read_artwork
from signplan.artwork.model import CHORD_ERROR
from signplan.errors import InputError


def test_an_unknown_unit(dxf):
    with pytest.raises(InputError, match="unknown unit 'furlong'; use mm, cm, m, in, ft"):
        read_artwork(dxf(lambda space: space.add_circle((0, 0), 1)), units="furlong")


def test_an_unreadable_file(tmp_path):
    with pytest.raises(InputError, match=r"face.dxf: no such file"):
        read_artwork(tmp_path / "face.dxf")


def test_the_same_file_reads_the_same(dxf):
    def draw(space):
        for k in range(20):
            space.add_circle((k * 3 % 17, k), 2 + k)
            space.add_line((k, 0), (k + 1, 50))

    path = dxf(draw)
    assert repr(read_artwork(path)) == repr(read_artwork(path))


SHAPES = st.lists(
    st.tuples(st.integers(3, 7), st.floats(4, 9), st.floats(0, 6), st.floats(-0.2, 0.6), st.booleans()),
    min_size=1,
    max_size=5,
)


@settings(deadline=None, max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(SHAPES, st.randoms(use_true_random=False))
def test_a_drawing_reads_back_whatever_the_order_direction_and_splitting(dxf, shapes, random):
    """Polygons with bulged sides, each with a hole or not, drawn as loose lines and arcs in any order.

    Oracle: the shoelace formula, and for a side of chord c and bulge b the circular segment
    r^2 / 2 (theta - sin theta), with theta = 4 atan b and r = c (1 + b^2) / (4 b).
    """

    def segment(c, b):
        if abs(b) < 1e-9:
            return 0.0
        theta, r = 4 * math.atan(abs(b)), c * (1 + b * b) / (4 * abs(b))
        return math.copysign(r * r / 2 * (theta - math.sin(theta)), b)

    wanted, pieces = [], []
    for place, (sides, size, turn, bulge, holed) in enumerate(shapes):
        x, y = 30.0 * place, 7.0 * place
        corners = [
            (
                x + size * math.cos(turn + math.tau * k / sides),
                y + size * math.sin(turn + math.tau * k / sides),
            )
            for k in range(sides)
        ]
        chord = 2 * size * math.sin(math.pi / sides)
        area = sides * (size**2 * math.sin(math.tau / sides) / 2 + segment(chord, bulge))
        hole = size * 0.05 if holed else 0
        wanted.append((area - math.pi * hole**2, int(holed)))
        pieces += [(*pair, bulge) for pair in zip(corners, corners[1:] + corners[:1], strict=True)]
        if holed:
            pieces.append(((x, y), hole, None))
    random.shuffle(pieces)

    def draw(space):
        for start, end, bulge in pieces:
            if bulge is None:
                space.add_circle(start, end)
            elif abs(bulge) < 1e-9:
                middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
                for a, b in ((start, middle), (end, middle)):
                    space.add_line(*((a, b) if random.random() < 0.5 else (b, a)))
            elif random.random() < 0.5:
                space.add_lwpolyline([(*start, bulge), (*end, 0)], format="xyb")
            else:
                space.add_lwpolyline([(*end, -bulge), (*start, 0)], format="xyb")

    artwork, findings = read_artwork(dxf(draw))
    (layer,) = artwork.layers
    regions = sorted(layer.regions, key=lambda region: region.shape.centroid.x)
    assert not layer.lines
    assert not findings
    assert [len(region.shape.interiors) for region in regions] == [holes for _, holes in wanted]
    for region, (area, _) in zip(regions, wanted, strict=True):
        assert abs(region.shape.area - area) <= CHORD_ERROR * region.shape.length
