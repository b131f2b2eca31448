"""The motion model: known cases, a plain loop, bad input."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from signplan.errors import SignplanError
from signplan.timing import motion
from signplan.timing.motion import MotionError, MotionLimits, segment_times, travel_time

ROUTER = MotionLimits(speed=(250, 250, 80), accel=(500, 500, 300), corner_tolerance=0.05)


def test_a_straight_line_takes_the_same_however_it_is_cut_up():
    whole = travel_time([(0, 0, 0), (100, 0, 0)], 100, ROUTER)
    x = np.sort(np.random.default_rng(1).uniform(0, 100, 999))
    pieces = np.zeros((1001, 3))
    pieces[1:-1, 0], pieces[-1, 0] = x, 100
    assert whole == pytest.approx(1.2)
    assert travel_time(pieces, 100, ROUTER) == pytest.approx(1.2, rel=1e-12)


def test_fewer_than_two_points_take_no_time():
    assert travel_time([], 100, ROUTER) == 0
    assert travel_time([(1, 2, 3)], 100, ROUTER) == 0
    assert travel_time([(1, 2, 3)] * 5, 100, ROUTER) == 0


def test_repeated_points_take_no_time_but_their_stops_hold():
    plain = [(0, 0, 0), (50, 0, 0), (100, 0, 0)]
    doubled = [(0, 0, 0), (50, 0, 0), (50, 0, 0), (50, 0, 0), (100, 0, 0), (100, 0, 0)]
    assert travel_time(doubled, 100, ROUTER) == pytest.approx(travel_time(plain, 100, ROUTER))
    for stop in (1, 2, 3):
        assert travel_time(doubled, 100, ROUTER, stops=[stop]) == pytest.approx(2 * (0.5 + 0.2))


def test_a_rapid_is_limited_by_its_slowest_axis():
    diagonal = travel_time([(0, 0, 0), (80, 0, 80)], np.inf, ROUTER)
    assert diagonal == pytest.approx(80 / 80 + 80 / 300)


@pytest.mark.parametrize(
    ("points", "feed", "stops", "message"),
    [
        ([(0, 0, 0), (1, math.nan, 0)], 10, None, "point 1 is not a place"),
        ([(math.nan, 0, 0)], 10, None, "point 0 is not a place"),
        ([(0, 0, 0), (math.inf, 0, 0)], 10, None, "point 1 is not a place"),
        ([(0, 0, 0), (1e200, 0, 0)], 10, None, "too far apart"),
        ([(0, 0), (1, 1)], 10, None, r"shape \(2, 2\), not \(N, 3\)"),
        ([("a", 0, 0)], 10, None, "points are not numbers"),
        ([(0, 0, 0), (1, 0, 0)], 0, None, "feed of segment 0 is 0.0"),
        ([(0, 0, 0), (1, 0, 0)], math.nan, None, "feed of segment 0 is nan"),
        ([(0, 0, 0), (1, 0, 0)], 1e-300, None, "feed of segment 0 is 1e-300"),
        ([(0, 0, 0), (1, 0, 0), (2, 0, 0)], [10, -1], None, "feed of segment 1 is -1.0"),
        ([(0, 0, 0), (1, 0, 0), (2, 0, 0)], [10], None, "1 feeds were given for 2"),
        ([(0, 0, 0), (1, 0, 0)], [10, 10], None, "2 feeds were given for 1"),
        ([(0, 0, 0), (1, 0, 0)], 10, [2], "stop 2 is not the index of a point: the last is 1"),
        ([(0, 0, 0), (1, 0, 0)], 10, [-1], "stop -1"),
        ([(0, 0, 0), (1, 0, 0)], 10, [0.5], "stops are not a list of whole numbers"),
    ],
)
def test_bad_input_is_refused_with_its_place(points, feed, stops, message):
    with pytest.raises(MotionError, match=message) as caught:
        travel_time(points, feed, ROUTER, stops=stops)
    assert isinstance(caught.value, SignplanError)
    with pytest.raises(MotionError, match=message):
        segment_times(points, feed, ROUTER, stops=stops)


# The same model, one vertex after the other, with angles and radii instead of sines and cosines.


def loop_time(points, feeds, limits, *, stops=(), coupled=False):
    at_rest = set(stops)
    moves, rest, carried = [], [], False
    for i, ((a, b), feed) in enumerate(zip(pairwise(points), feeds, strict=True)):
        step = [y - x for x, y in zip(a, b, strict=True)]
        length = math.sqrt(sum(x * x for x in step))
        carried = carried or i in at_rest
        if length:
            unit = [x / length for x in step]
            moves.append((length, unit, min(feed, _along(unit, limits.speed)), _along(unit, limits.accel)))
            rest.append(carried)
            carried = False
    if not moves:
        return 0.0
    corners = [None] + [
        _corner(a, b, limits, stop) for (a, b), stop in zip(pairwise(moves), rest[1:], strict=True)
    ]
    caps = [0.0, *(corner["square"] for corner in corners[1:]), 0.0]
    bounds = [(accel, accel) for _, _, _, accel in moves]
    squares = _scan(caps, moves, bounds)
    averaged = squares
    for _ in range(4 if coupled else 0):
        averaged = [(a + b) / 2 for a, b in zip(averaged, squares, strict=True)]
        bounds = _shared(moves, corners, averaged, limits)
        squares = _scan(_raised(caps, moves, corners, averaged, limits), moves, bounds)
    peaks = [_peak(*each) for each in zip(moves, bounds, pairwise(squares), strict=True)]
    total, cut_off = 0.0, [0.0] * len(moves)
    for i, (corner, square) in enumerate(zip(corners[1:], squares[1:-1], strict=True)):
        if 0 < math.sqrt(square) * (1 + 1e-6) < min(peaks[i : i + 2]):
            total += corner["arc"] / math.sqrt(square)
            cut_off[i] += corner["cut"]
            cut_off[i + 1] += corner["cut"]
    for move, bound, (a, b), cut in zip(moves, bounds, pairwise(squares), cut_off, strict=True):
        (length, unit, top, accel), (gain, loss) = move, bound
        low = max(a, b)
        peak = _peak(move, bound, (a, b))
        total += (peak - math.sqrt(a)) / gain + (peak - math.sqrt(b)) / loss
        total += (length - (peak * peak - a) / (2 * gain) - (peak * peak - b) / (2 * loss)) / peak
        left = max(_peak((length - cut, unit, top, accel), bound, (a, b)), math.sqrt(low))
        total -= 2 * cut / (peak + left)
    return total


def _peak(move, bound, ends):
    (length, _, top, _), (gain, loss), (a, b) = move, bound, ends
    return math.sqrt(min(top * top, (loss * a + gain * b + 2 * gain * loss * length) / (gain + loss)))


def _along(direction, limit):
    return min(most / abs(x) if x else math.inf for x, most in zip(direction, limit, strict=True))


def _corner(before, after, limits, stop):
    (l1, u1, f1, _), (l2, u2, f2, _) = before, after
    turn = [b - a for a, b in zip(u1, u2, strict=True)]
    chord = math.sqrt(sum(x * x for x in turn))
    angle = 2 * math.asin(min(chord / 2, 1.0))
    span = min(l1, l2) + max(math.cos(angle), 0) * (abs(l1 - l2) / 2)
    stop = stop or limits.exact_stop or chord >= 2
    if angle < 1e-9:
        square = 0.0 if stop else min(f1, f2) ** 2
        return {"square": square, "most": square, "arc": 0.0, "cut": 0.0, "turn": turn, "span": span}
    half = angle / 2
    tolerated = limits.corner_tolerance * math.cos(half) / (2 * math.sin(half / 2) ** 2)
    across = _along([x / chord for x in turn], limits.accel)
    square, most = (
        0.0 if stop else min(min(f1, f2) ** 2, across * radius)
        for radius in (min(tolerated, span / 2 / math.tan(half)), tolerated)
    )
    drawn = min(tolerated, min(l1, l2) / 2 / math.tan(half))
    return {
        "square": square,
        "most": min(most, 4 * square) if math.sin(half) <= 0.13 else square,
        "arc": angle * drawn,
        "cut": drawn * math.tan(half),
        "turn": turn,
        "span": span,
    }


def _scan(caps, moves, bounds):
    squares = list(caps)
    for i, ((length, *_), (gain, _)) in enumerate(zip(moves, bounds, strict=True)):
        squares[i + 1] = min(squares[i + 1], squares[i] + 2 * gain * length)
    for i, ((length, *_), (_, loss)) in reversed(list(enumerate(zip(moves, bounds, strict=True)))):
        squares[i] = min(squares[i], squares[i + 1] + 2 * loss * length)
    return squares


def _shared(moves, corners, squares, limits):
    pulls = [[0.0] * 3]
    for corner, square in zip(corners[1:], squares[1:-1], strict=True):
        pulls.append([x / corner["span"] * square for x in corner["turn"]])
    pulls.append([0.0] * 3)
    bounds = []
    for (_, unit, _, accel), (p, q) in zip(moves, pairwise(pulls), strict=True):
        gain = loss = math.inf
        for k in range(3):
            if abs(unit[k]) > 1e-9:
                pull = (p[k] + q[k]) / 2 * math.copysign(1, unit[k])
                gain = min(gain, (limits.accel[k] - pull) / abs(unit[k]))
                loss = min(loss, (limits.accel[k] + pull) / abs(unit[k]))
        bounds.append((max(gain, 0.02 * accel), max(loss, 0.02 * accel)))
    return bounds


def _raised(caps, moves, corners, squares, limits):
    raised = list(caps)
    for i, corner in enumerate(corners[1:], start=1):
        spared = corner["most"]
        for k, limit in enumerate(limits.accel):
            rate = corner["turn"][k] / corner["span"]
            if abs(rate) > 1e-12:
                share = moves[i - 1][1][k] + corner["turn"][k] / 2
                pulls = [
                    math.copysign(1, rate) * share * (squares[j + 1] - squares[j]) / (2 * moves[j][0])
                    for j in (i - 1, i)
                ]
                spared = min(spared, (limit - max(pulls)) / abs(rate))
        raised[i] = max(caps[i], spared)
    return raised


coordinate = st.one_of(st.just(0.0), st.integers(-30_000, 30_000).map(lambda n: n / 1000))


@st.composite
def paths(draw):
    steps = draw(st.lists(st.tuples(coordinate, coordinate, coordinate), max_size=25))
    scale = draw(st.sampled_from([0.01, 0.3, 1.0]))
    points = np.vstack([np.zeros((1, 3)), np.cumsum(np.reshape(steps, (-1, 3)) * scale, axis=0)])
    feeds = draw(
        st.lists(st.sampled_from([3.0, 40.0, 300.0, math.inf]), min_size=len(steps), max_size=len(steps))
    )
    stops = draw(st.lists(st.integers(0, len(steps)), max_size=3))
    tolerance = draw(st.sampled_from([0.001, 0.05, 1.0]))
    return points, feeds, stops, replace(ROUTER, corner_tolerance=tolerance, exact_stop=draw(st.booleans()))


@pytest.mark.parametrize("coupled", [False, True])
@settings(deadline=None, max_examples=150)
@given(path=paths())
def test_blocks_of_any_size_agree_with_a_plain_loop(path, coupled):
    points, feeds, stops, limits = path
    wanted = loop_time(points.tolist(), feeds, limits, stops=stops, coupled=coupled)
    for size in (1, 3, 17, 16384):
        blocks = motion._solved(points, feeds, limits, stops=stops, coupled=coupled, size=size)
        total = sum(seconds.sum() for _, seconds in motion._timed(blocks, limits))
        assert total == pytest.approx(wanted, rel=1e-7, abs=1e-7)


@pytest.mark.parametrize("coupled", [False, True])
@pytest.mark.parametrize("size", [7, 50, 16384])
def test_curves_agree_with_a_plain_loop(size, coupled):
    t = np.linspace(0, 4, 400)
    points = np.column_stack((20 * np.sin(t), 9 * np.sin(2 * t + 0.5), 1.5 * np.cos(7 * t)))
    wanted = loop_time(points.tolist(), [200.0] * 399, ROUTER, stops=(150,), coupled=coupled)
    blocks = motion._solved(points, 200.0, ROUTER, stops=[150], coupled=coupled, size=size)
    total = sum(seconds.sum() for _, seconds in motion._timed(blocks, ROUTER))
    assert total == pytest.approx(wanted, rel=1e-9)


@settings(deadline=None, max_examples=50)
@given(path=paths())
def test_every_segment_has_its_share(path):
    points, feeds, stops, limits = path
    times = segment_times(points, feeds, limits, stops=stops)
    still = ~np.diff(points, axis=0).any(axis=1)
    assert times.shape == (len(points) - 1,)
    assert (times[~still] > 0).all()
    assert (times[still] == 0).all()
    assert times.sum() == pytest.approx(travel_time(points, feeds, limits, stops=stops), rel=1e-12)


@settings(deadline=None, max_examples=50)
@given(path=paths(), size=st.integers(1, 5))
def test_a_path_may_come_in_chunks(path, size):
    points, feeds, stops, limits = path
    chunks = (points[i : i + size] for i in range(0, len(points), size))
    whole = travel_time(points, feeds, limits, stops=stops)
    assert travel_time(chunks, feeds, limits, stops=stops) == pytest.approx(whole, rel=1e-12)


def test_a_long_brake_reaches_back_over_many_blocks():
    points = np.zeros((2001, 3))
    points[:, 0] = np.linspace(0, 20, 2001)
    limits = MotionLimits(speed=(100,) * 3, accel=(100,) * 3, corner_tolerance=0.01)
    blocks = motion._solved(points, 100, limits, stops=None, coupled=False, size=7)
    total = sum(seconds.sum() for _, seconds in motion._timed(blocks, limits))
    assert total == pytest.approx(2 * math.sqrt(20 / 100), rel=1e-12)


def relief(count):
    x = np.abs((np.arange(count) * 0.1 + 100) % 400 - 200)
    y = np.floor((np.arange(count) * 0.1 + 100) / 200) * 0.3
    return np.column_stack((x, y, np.sin(x / 7) + 0.3 * np.sin(3 * y)))


def test_streaming_gives_the_same_time_across_real_blocks():
    points = relief(50_000)
    chunks = (points[i : i + 7001] for i in range(0, len(points), 7001))
    assert travel_time(chunks, 100, ROUTER) == pytest.approx(travel_time(points, 100, ROUTER), rel=1e-12)


def test_a_tolerance_of_nothing_stops_at_corners_and_not_on_straight_lines():
    sharp = replace(ROUTER, corner_tolerance=0)
    corner = travel_time([(0, 0, 0), (100, 0, 0), (100, 100, 0)], 100, sharp)
    assert corner == pytest.approx(2 * 1.2, rel=1e-4)
    line = np.linspace((0, 0, 0), (100, 70, 3), 1001)
    assert travel_time(line, 50, sharp) == pytest.approx(travel_time(line[[0, -1]], 50, ROUTER), rel=1e-6)


def test_a_finely_drawn_circle_is_held_to_its_radius():
    # Tolerance alone would let it go faster the shorter the chords are.
    limits = MotionLimits(speed=(1e4,) * 3, accel=(1e6,) * 3, path_accel=500, corner_tolerance=0.05)
    for count in (100, 1000, 10_000):
        angle = np.linspace(0, 40 * math.pi, 20 * count + 1)
        circle = np.column_stack((5 * np.cos(angle), 5 * np.sin(angle), 0 * angle))
        around = 40 * math.pi * 5 / math.sqrt(500 * 5)
        assert travel_time(circle, 1e4, limits, coupled=False) == pytest.approx(around, rel=0.02)


def test_unevenly_drawn_curves_are_taken_at_the_same_speed():
    limits = MotionLimits(speed=(1e4,) * 3, accel=(1e6,) * 3, path_accel=500, corner_tolerance=0.05)
    angle = np.sort(np.random.default_rng(4).uniform(0, 40 * math.pi, 20_000))
    even = np.linspace(0, 40 * math.pi, 20_000)
    times = [
        travel_time(np.column_stack((5 * np.cos(a), 5 * np.sin(a), 0 * a)), 1e4, limits, coupled=False)
        for a in (angle, even)
    ]
    assert times[0] == pytest.approx(times[1], rel=0.02)


def test_jerk_only_ever_adds_time_and_vanishes_as_it_grows():
    points = relief(5_000)
    free = travel_time(points, 100, ROUTER)
    times = [travel_time(points, 100, replace(ROUTER, jerk=jerk)) for jerk in (1e3, 1e4, 1e5, 1e12)]
    assert times == sorted(times, reverse=True)
    assert times[-1] == pytest.approx(free, rel=1e-6)
    assert times[0] > 1.2 * free


def test_rounded_coordinates_may_be_thinned():
    angle = np.arange(0, 2 * math.pi, 0.02 / 20)
    exact = np.column_stack((20 * np.cos(angle), 12 * np.sin(angle), 0 * angle))
    rounded = np.round(exact, 3)
    wanted = travel_time(exact, 80, ROUTER)
    assert travel_time(rounded, 80, ROUTER) > 1.1 * wanted
    assert travel_time(rounded, 80, ROUTER, rounded=0.001) == pytest.approx(wanted, rel=0.03)
    assert travel_time(iter([rounded]), 80, ROUTER, rounded=0.001) == pytest.approx(wanted, rel=0.03)
    times = segment_times(rounded, 80, ROUTER, rounded=0.001)
    assert times.shape == (len(rounded) - 1,)
    assert times.sum() == pytest.approx(wanted, rel=0.03)


@pytest.mark.parametrize("rounded", [-0.001, math.nan, math.inf])
def test_a_rounding_step_is_above_zero(rounded):
    with pytest.raises(MotionError, match="not a step above zero"):
        travel_time([(0, 0, 0), (1, 0, 0)], 10, ROUTER, rounded=rounded)
