"""The built-in hardware sizes against published tables; inch unless said.

A pocket must take the largest part of a size, so the greatest of each published pair is what counts. Values
that are from memory of the standard say so.
"""

import math

import pytest

from signplan.job.stock import look_up
from signplan.job.stock_tables import all_stock

INCH = 25.4


def inches(length):
    return round(length / INCH, 6)


# ASME B36.10M: pipe outside diameters. NPS 1-1/2 to 4 also as millimetres in the same standard.
@pytest.mark.parametrize(
    ("size", "outside", "millimetres"),
    [
        ("1/2", 0.840, 21.3),
        ("3/4", 1.050, 26.7),
        ("1", 1.315, 33.4),
        ("1-1/4", 1.660, 42.2),
        ("1-1/2", 1.900, 48.3),
        ("2", 2.375, 60.3),
        ("2-1/2", 2.875, 73.0),
        ("3", 3.500, 88.9),
        ("3-1/2", 4.000, 101.6),
        ("4", 4.500, 114.3),
    ],
)
def test_pipe_is_larger_than_its_nominal_size(size, outside, millimetres):
    pipe = look_up(f"pipe {size}")
    assert inches(pipe.diameter) == outside
    assert pipe.diameter == pytest.approx(millimetres, abs=0.05)


def test_schedule_40_walls_give_the_published_weights():
    """Plain-end weight 10.69 (D - t) t lb/ft, ASME B36.10M: NPS 1 1.6805, NPS 2 3.6563 (t from memory)."""
    for size, weight in (("1", 1.6805), ("2", 3.6563)):
        pipe = look_up(f"pipe {size}")
        outside, wall = pipe.diameter / INCH, pipe.wall / INCH
        assert 10.69 * (outside - wall) * wall == pytest.approx(weight, abs=1e-3)


# ASME B18.2.2, hex nuts: width across flats F max and min, across corners G max, height H max and min.
@pytest.mark.parametrize(
    ("size", "flats", "corners", "height"),
    [
        ("1/4", (0.428, 0.438), 0.505, (0.212, 0.226)),
        ("5/16", (0.489, 0.500), 0.577, (0.258, 0.273)),
        ("3/8", (0.551, 0.563), 0.650, (0.320, 0.337)),
        ("1/2", (0.736, 0.750), 0.866, (0.427, 0.448)),
        ("5/8", (0.922, 0.938), 1.083, (0.535, 0.559)),
    ],
)
def test_hex_nuts_at_maximum_material(size, flats, corners, height):
    nut = look_up(f"nut {size}")
    assert inches(nut.across_flats) == max(flats)
    assert inches(nut.across_corners) == corners
    assert inches(nut.thickness) == max(height)
    assert nut.across_flats / math.cos(math.pi / 6) == pytest.approx(nut.across_corners, abs=0.001 * INCH)


# ASME B18.2.1, hex bolts and hex cap screws: F max, G max, head height H max of each.
@pytest.mark.parametrize(
    ("size", "flats", "corners", "bolt_head", "cap_screw_head"),
    [
        ("1/4", 0.438, 0.505, 0.188, 0.163),
        ("5/16", 0.500, 0.577, 0.235, 0.211),
        ("3/8", 0.562, 0.650, 0.268, 0.243),
        ("1/2", 0.750, 0.866, 0.364, 0.323),
        ("5/8", 0.938, 1.083, 0.444, 0.403),
    ],
)
def test_bolt_heads_at_maximum_material(size, flats, corners, bolt_head, cap_screw_head):
    bolt, screw = look_up(f"bolt head {size}"), look_up(f"cap screw head {size}")
    assert inches(bolt.across_flats) == inches(screw.across_flats) == flats
    assert inches(bolt.across_corners) == inches(screw.across_corners) == corners
    assert (inches(bolt.thickness), inches(screw.thickness)) == (bolt_head, cap_screw_head)


# ASME B18.21.1 (B18.22.1), plain washers type A: outside diameter, and from memory what it may be over;
# greatest thickness, read for the wide series, from memory for the narrow one (.065 and .095 nominal, read).
@pytest.mark.parametrize(
    ("name", "outside", "over", "thickness"),
    [
        ("1/4 narrow", 0.625, 0.015, 0.080),
        ("5/16 narrow", 0.688, 0.015, 0.080),
        ("3/8 narrow", 0.812, 0.015, 0.080),
        ("1/2 narrow", 1.062, 0.030, 0.121),
        ("5/8 narrow", 1.312, 0.030, 0.121),
        ("1/4 wide", 0.734, 0.015, 0.080),
        ("5/16 wide", 0.875, 0.030, 0.104),
        ("3/8 wide", 1.000, 0.030, 0.104),
        ("1/2 wide", 1.375, 0.030, 0.132),
        ("5/8 wide", 1.750, 0.030, 0.160),
    ],
)
def test_washers_at_maximum_material(name, outside, over, thickness):
    washer = look_up(f"washer {name}")
    assert inches(washer.diameter) == pytest.approx(outside + over)
    assert inches(washer.thickness) == thickness


# ISO 7089 (from memory): outside diameter and greatest thickness; mm.
@pytest.mark.parametrize(
    ("size", "outside", "thickness"),
    [("M6", 12, 1.8), ("M8", 16, 1.8), ("M10", 20, 2.2), ("M12", 24, 2.7), ("M16", 30, 3.3)],
)
def test_metric_washers_at_maximum_material(size, outside, thickness):
    washer = look_up(f"washer {size}")
    assert (washer.diameter, washer.thickness) == (outside, thickness)


# ISO 4014 (from memory): greatest width across flats s and head height k, product grade A; mm.
@pytest.mark.parametrize(
    ("size", "flats", "height"),
    [("M6", 10, 4.15), ("M8", 13, 5.45), ("M10", 16, 6.58), ("M12", 18, 7.68), ("M16", 24, 10.18)],
)
def test_metric_bolt_heads_at_maximum_material(size, flats, height):
    head = look_up(f"bolt head {size}")
    assert (head.across_flats, head.thickness) == (flats, height)


# ISO 4032 (from memory): s max, m max, and the least width across corners e min; mm.
@pytest.mark.parametrize(
    ("size", "flats", "height", "least_corners"),
    [
        ("M5", 8, 4.7, 8.79),
        ("M6", 10, 5.2, 11.05),
        ("M8", 13, 6.8, 14.38),
        ("M10", 16, 8.4, 17.77),
        ("M12", 18, 10.8, 20.03),
        ("M16", 24, 14.8, 26.75),
        ("M20", 30, 18.0, 32.95),
    ],
)
def test_metric_nuts_at_maximum_material(size, flats, height, least_corners):
    nut = look_up(f"nut {size}")
    assert (nut.across_flats, nut.thickness) == (flats, height)
    assert nut.across_corners >= least_corners
    assert nut.across_corners == pytest.approx(flats / math.cos(math.pi / 6))


# ISO 286: upper deviation of m6, micrometres, for diameters over and up to, mm.
M6 = [(0, 3, 8), (3, 6, 12), (6, 10, 15), (10, 18, 18), (18, 30, 21)]


@pytest.mark.parametrize("diameter", [3, 4, 5, 6, 8, 10, 12, 16, 20])
def test_dowel_pins_have_the_upper_deviation_of_m6(diameter):
    over = next(deviation for low, high, deviation in M6 if low < diameter <= high)
    assert look_up(f"dowel pin {diameter} mm").diameter == pytest.approx(diameter + over / 1000)


# ASTM A500 10: a side up to 2-1/2 may be .020 over. A tube maker's table: least outside corner radius.
@pytest.mark.parametrize(
    ("side", "wall", "radius"),
    [
        ("1", ".065", 1 / 16),
        ("1", ".083", 5 / 64),
        ("1", ".095", 3 / 32),
        ("1-1/4", ".120", 1 / 8),
        ("2", ".120", 1 / 8),
    ],
)
def test_square_tube_is_oversize_with_its_tightest_corner(side, wall, radius):
    tube = look_up(f"tube {side} x {wall}")
    nominal = {"1": 1.0, "1-1/4": 1.25, "2": 2.0}[side]
    assert tuple(map(inches, tube.size)) == (nominal + 0.020, nominal + 0.020)
    assert inches(tube.corner_radius) == pytest.approx(radius, abs=1e-6)


def test_no_tube_corner_is_rounder_than_the_standard_allows():
    """ASTM A500 10.6: the outside corner radius is at most three times the wall."""
    for tube in (stock for stock in all_stock() if stock.kind == "tube"):
        assert tube.corner_radius <= 3 * tube.wall
    assert inches(look_up("tube 1 x .120").corner_radius) <= 0.360


# ASME B18.15, forged shoulder eyebolts: eye outside, least eye inside, greatest shoulder.
@pytest.mark.parametrize(
    ("size", "outside", "inside", "shoulder"),
    [
        ("1/4", 1.19, 0.69, 0.56),
        ("5/16", 1.44, 0.81, 0.62),
        ("3/8", 1.69, 0.94, 0.69),
        ("1/2", 2.12, 1.12, 0.94),
    ],
)
def test_eyebolts(size, outside, inside, shoulder):
    eye = look_up(f"eye {size}")
    assert tuple(map(inches, eye.size)) == (outside, outside)
    assert inches(eye.thickness) == pytest.approx((outside - inside) / 2)
    assert inches(look_up(f"eyebolt shoulder {size}").diameter) == shoulder


# ASME B1.1 and ISO 261 (from memory): the basic major diameter is the nominal size.
@pytest.mark.parametrize(
    ("name", "diameter"),
    [("rod 1/4", 6.35), ("rod 3/8", 9.525), ("rod 5/8", 15.875), ("rod M8", 8), ("rod M12", 12)],
)
def test_threaded_rod_is_as_large_as_its_name(name, diameter):
    assert look_up(name).diameter == diameter


# ASTM A29 (from memory): what a hot-wrought flat may be over, by its width.
@pytest.mark.parametrize(
    ("name", "width", "thickness"),
    [
        ("flat 1/4 x 1", 1 + 1 / 64, 0.257),
        ("flat 1/4 x 2", 2 + 1 / 32, 0.257),
        ("flat 3/8 x 4", 4 + 1 / 16, 0.390),
    ],
)
def test_flat_bar_is_oversize(name, width, thickness):
    bar = look_up(name)
    assert inches(bar.width) == pytest.approx(width, abs=1e-6)
    assert inches(bar.thickness) == pytest.approx(thickness, abs=1e-6)


def test_every_size_has_its_source_and_says_how_sure_we_are():
    for stock in all_stock():
        assert stock.source.split()[0] in {"ASME", "ASTM", "ISO"}
        assert stock.certainty in {"read", "from memory", "common practice"}
