"""Travel time against closed forms, published values, ruckig, and integration along rounded corners."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
import ruckig

from signplan.timing.motion import MotionLimits, segment_times, travel_time
from signplan.timing.segments import read_blocks

INCH = 25.4


def isotropic(accel, tolerance=0.01, **more):
    """A machine limited by one acceleration along the path and across it, and by nothing else."""
    return MotionLimits(
        speed=(1e6,) * 3, accel=(1e9,) * 3, path_accel=accel, corner_tolerance=tolerance, **more
    )


def line(length):
    return [(0, 0, 0), (length, 0, 0)]


@pytest.mark.parametrize(
    ("length", "speed", "accel", "seconds"),
    [
        # Rest to rest: D / v + v / a where D >= v2 / a, else 2 sqrt(D / a); texts on motion control.
        (100, 100, 500, 1.2),
        (10, 100, 500, 0.282843),
        (10 * INCH, 5 * INCH, 20 * INCH, 2.25),
        (0.5 * INCH, 5 * INCH, 20 * INCH, 0.316228),
        (20, 100, 500, 0.4),  # where the two forms meet
    ],
)
def test_a_move_from_rest_to_rest(length, speed, accel, seconds):
    assert travel_time(line(length), speed, isotropic(accel)) == pytest.approx(seconds, rel=2e-6)


def test_many_short_blocks():
    # Derived: a thousand moves of .020 in at 20 in/s2 and 5 in/s take 63.246 s with exact stops, and 4.25 s
    # continuously.
    points = np.zeros((1001, 3))
    points[:, 0] = np.arange(1001) * 0.02 * INCH
    assert travel_time(points, 5 * INCH, isotropic(20 * INCH, exact_stop=True)) == pytest.approx(
        63.246, rel=1e-4
    )
    assert travel_time(points, 5 * INCH, isotropic(20 * INCH)) == pytest.approx(4.25, rel=1e-4)


def test_speed_on_an_arc():
    # v2 <= a R: radius .25 in at 20 in/s2 is 134.16 in/min.
    angle = np.linspace(0, 200 * math.pi, 40_001)
    circle = 0.25 * INCH * np.column_stack((np.cos(angle), np.sin(angle), 0 * angle))
    times = segment_times(circle, 1e4, isotropic(20 * INCH), coupled=False)[10_000:30_000]
    speed = 100 * math.pi * 0.25 / times.sum()
    assert speed * 60 == pytest.approx(134.16, rel=1e-4)


def test_length_of_arc_and_helix():
    # r x sweep, and hypot(r x sweep, dz): quarter of r 2 is 3.14159; full turn of r .5 rising .25 is 3.15152.
    quarter = np.linspace(0, math.pi / 2, 2001)
    turn = np.linspace(0, 2 * math.pi, 4001)
    arc = np.column_stack((2 * np.cos(quarter), 2 * np.sin(quarter), 0 * quarter))
    helix = np.column_stack((0.5 * np.cos(turn), 0.5 * np.sin(turn), 0.25 * turn / (2 * math.pi)))
    for points, length in ((arc, 3.14159), (helix, 3.15152)):
        crawling = 1e-3
        assert travel_time(points, crawling, isotropic(1e6)) * crawling == pytest.approx(length, rel=1e-5)


@pytest.mark.parametrize(
    ("turn", "radius", "speed"),
    [
        # Kunz and Stilman 2012: radius = tolerance cos(turn / 2) / (1 - cos(turn / 2)), v2 = a radius;
        # by hand for a tolerance of .01 mm and 1000 mm/s2. The exact ones: 3 + 2 sqrt 3, 1 + sqrt 2, 1, 0.
        (30, 28.34774, 16.836787),
        (45, 12.13707, 11.016838),
        (60, 3 + 2 * math.sqrt(3), 8.039964),
        (90, 1 + math.sqrt(2), 4.913465),
        (120, 1, 3.162278),
        (135, 0.619914, 2.489808),
        (150, 0.349198, 1.868685),
        (180, 0, 0),
    ],
)
def test_speed_at_a_corner(turn, radius, speed):
    points, limits = corner(turn), isotropic(1000, 0.01)
    (block,) = read_blocks(points, 100, limits)
    assert math.sqrt(block.cap[1]) == pytest.approx(speed, abs=1e-6)
    assert block.cap[1] / 1000 == pytest.approx(0.01 * radius, rel=1e-6, abs=1e-12)


def corner(turn, leg=100):
    angle = math.radians(turn)
    return np.array([(0, 0, 0), (leg, 0, 0), (leg + leg * math.cos(angle), leg * math.sin(angle), 0)])


@pytest.mark.parametrize("turn", [30, 45, 60, 90, 120, 135, 150])
def test_time_through_a_corner(turn):
    # Closed form: two legs between rest and the corner's speed, less what the arc replaces; and the arc.
    feed, accel, half = 100, 1000, math.radians(turn) / 2
    radius = 0.01 * math.cos(half) / (1 - math.cos(half))
    speed = math.sqrt(accel * radius)
    ramps = feed / accel + (feed - speed) / accel
    ramp_lengths = (feed**2 + feed**2 - speed**2) / (2 * accel)
    leg = ramps + (100 - radius * math.tan(half) - ramp_lengths) / feed
    wanted = 2 * leg + 2 * half * radius / speed
    assert travel_time(corner(turn), feed, isotropic(accel)) == pytest.approx(wanted, rel=1e-9)
    if turn == 90:
        at_a_point = 2 * (ramps + (100 - ramp_lengths) / feed)
        assert wanted - at_a_point == pytest.approx(0.0072, abs=5e-5)  # rounding takes 7.2 ms


def test_corners_of_a_polygon_inscribed_in_a_circle():
    # Geometry: blends of half a chord give v2 = a R cos(turn / 2), whatever the tolerance.
    for count in (12, 60, 400):
        angle = np.linspace(0, 2 * math.pi, count + 1)
        polygon = 10 * np.column_stack((np.cos(angle), np.sin(angle), 0 * angle))
        (block,) = read_blocks(polygon, 1e5, isotropic(1000, 5))
        assert block.cap[1:-1] == pytest.approx(1000 * 10 * math.cos(math.pi / count), rel=1e-9)


@pytest.mark.parametrize("leg", [0.5, 1, 3, 10])
@pytest.mark.parametrize("tolerance", [0.005, 0.02, 0.1])
def test_polylines_with_rounded_corners(leg, tolerance):
    # Reference: straight pieces and arcs laid out one by one and integrated in steps of 2 um.
    chance = np.random.default_rng(5)
    angle, legs = np.cumsum(chance.uniform(-2.6, 2.6, 60)), leg * chance.uniform(0.7, 1.3, 60)
    steps = np.column_stack((legs * np.cos(angle), legs * np.sin(angle), 0 * angle))
    points = np.vstack((np.zeros((1, 3)), np.cumsum(steps, axis=0)))
    wanted = integrated(points, 100, 1000, tolerance)
    assert travel_time(points, 100, isotropic(1000, tolerance)) == pytest.approx(wanted, rel=2.5e-3)


def integrated(points, feed, accel, tolerance):
    steps = np.diff(points, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    turns = [
        math.acos(np.clip(a @ b / la / lb, -1, 1))
        for (a, b), (la, lb) in zip(pairwise(steps), pairwise(lengths), strict=True)
    ]
    radii = [
        min(
            tolerance * math.cos(turn / 2) / (1 - math.cos(turn / 2)),
            min(lengths[i : i + 2]) / 2 / math.tan(turn / 2),
        )
        for i, turn in enumerate(turns)
    ]
    cuts = [0.0, *(r * math.tan(turn / 2) for r, turn in zip(radii, turns, strict=True)), 0.0]
    pieces, caps = [], []
    for i, length in enumerate(lengths):
        straight = length - cuts[i] - cuts[i + 1]
        pieces += [straight / n for n in [max(int(straight / 0.002), 4)] for _ in range(n)]
        caps += [feed**2] * (len(pieces) - len(caps))
        if i < len(turns):
            around = radii[i] * turns[i]
            pieces += [around / n for n in [max(int(around / 0.002), 4)] for _ in range(n)]
            caps += [min(feed**2, accel * radii[i])] * (len(pieces) - len(caps))
    squares = [0.0, *(min(pair) for pair in pairwise(caps)), 0.0]
    for i, piece in enumerate(pieces):
        squares[i + 1] = min(squares[i + 1], squares[i] + 2 * accel * piece)
    for i, piece in reversed(list(enumerate(pieces))):
        squares[i] = min(squares[i], squares[i + 1] + 2 * accel * piece)
    speeds = np.sqrt(squares)
    return float(np.sum(2 * np.array(pieces) / (speeds[1:] + speeds[:-1])))


def ruckig_time(length, speed, accel, jerk, start=0.0, end=0.0):
    """Shortest time of a move in one axis by ruckig, a trajectory generator of its own."""
    move, trajectory = ruckig.InputParameter(1), ruckig.Trajectory(1)
    move.current_position, move.target_position = [0.0], [length]
    move.current_velocity, move.target_velocity = [start], [end]
    move.max_velocity, move.max_acceleration, move.max_jerk = [speed], [accel], [jerk]
    result = ruckig.Ruckig(1).calculate(move, trajectory)
    assert result in (ruckig.Result.Working, ruckig.Result.Finished)
    return trajectory.duration


def random_moves(count):
    chance = np.random.default_rng(2)
    length = 10 ** chance.uniform(-2, 3, count)
    speed = 10 ** chance.uniform(0, 2.5, count)
    accel = 10 ** chance.uniform(1.5, 4, count)
    return zip(
        length.tolist(), speed.tolist(), accel.tolist(), chance.uniform(0.003, 0.3, count), strict=True
    )


def test_lines_from_rest_to_rest_against_ruckig():
    for length, speed, accel, ramp in random_moves(300):
        limits = isotropic(accel, jerk=accel / ramp)
        assert travel_time(line(length), speed, limits) == pytest.approx(
            ruckig_time(length, speed, accel, accel / ramp), rel=1e-6
        )
        assert travel_time(line(length), speed, isotropic(accel)) == pytest.approx(
            ruckig_time(length, speed, accel, 1e13), rel=1e-6
        )


def test_jerk_times_in_closed_form():
    # Texts on S-curve profiles. Both limits reached: L / v + v / a + a / j.  Neither: (32 L / j)^(1/3).
    assert travel_time(line(100), 100, isotropic(1000, jerk=20_000)) == pytest.approx(1 + 0.1 + 0.05)
    assert travel_time(line(1), 100, isotropic(1000, jerk=20_000)) == pytest.approx((32 / 20_000) ** (1 / 3))


def test_a_slow_stretch_between_fast_ones_against_ruckig():
    # The feed falls to 20 mm/s for 10 mm: a ramp down, a crawl, a ramp up, each from ruckig.
    points, feeds = [(0, 0, 0), (50, 0, 0), (60, 0, 0), (110, 0, 0)], [100, 20, 100]
    wanted = 2 * ruckig_time(50, 100, 1000, 20_000, 0, 20) + 10 / 20
    assert travel_time(points, feeds, isotropic(1000, jerk=20_000)) == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("ramp", [0.2, 0.05, 0.02, 0.01])
@pytest.mark.parametrize("leg", [3, 10, 30])
def test_jerk_on_a_zig_zag_against_a_chain_of_ruckig_moves(leg, ramp):
    # The corners keep their speed and their arcs; each leg is ruckig's.
    angle = np.cumsum(np.resize([1.2, -1.2], 40))
    steps = leg * np.column_stack((np.cos(angle), np.sin(angle), 0 * angle))
    points = np.vstack((np.zeros((1, 3)), np.cumsum(steps, axis=0)))
    free = isotropic(1000)
    (block,) = read_blocks(points, 100, free)
    ends = np.sqrt(block.cap)
    without, with_jerk = (
        sum(ruckig_time(leg, 100, 1000, jerk, a, b) for a, b in pairwise(ends))
        for jerk in (1e12, 1000 / ramp)
    )
    added = travel_time(points, 100, replace(free, jerk=1000 / ramp)) - travel_time(points, 100, free)
    assert added == pytest.approx(with_jerk - without, rel=1e-6)
