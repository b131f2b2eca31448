"""The table of errors in docs/time.md: travel time against references that share nothing with it.

    .venv/bin/python tests/benchmarks/motion_accuracy.py

Takes about a minute. Every row is an error of travel_time in percent of the reference.
"""

import math
from dataclasses import replace
from pathlib import Path
from runpy import run_path

import motion_curves as reference
import numpy as np
import ruckig

from signplan.timing.motion import MotionLimits, travel_time


def row(name, errors):
    """Print one line of the table: mean, root mean square and worst error in percent."""
    errors = 100 * np.asarray(errors)
    figures = errors.mean(), math.sqrt((errors**2).mean()), errors[np.abs(errors).argmax()]
    print("|", name, *(f"| {_percent(figure)}" for figure in figures), "|")


def _percent(value):
    return f"{value:+.2f}" if abs(value) >= 0.005 else "< 0.005" if abs(value) > 1e-9 else "< 1e-9"


def ruckig_time(length, speed, accel, jerk):
    """Rest to rest in one axis."""
    move, trajectory = ruckig.InputParameter(1), ruckig.Trajectory(1)
    move.target_position = [length]
    move.max_velocity, move.max_acceleration, move.max_jerk = [speed], [accel], [jerk]
    ruckig.Ruckig(1).calculate(move, trajectory)
    return trajectory.duration


def lines():
    """1000 moves from rest to rest, with and without a limit on jerk."""
    chance = np.random.default_rng(2)
    plain, soft = [], []
    for _ in range(1000):
        length, speed, accel = (float(10 ** chance.uniform(*span)) for span in ((-2, 3), (0, 2.5), (1.5, 4)))
        jerk = accel / chance.uniform(0.003, 0.3)
        limits = MotionLimits(speed=(1e4,) * 3, accel=(accel,) * 3, corner_tolerance=0.01)
        path = [(0, 0, 0), (length, 0, 0)]
        shape = (
            length / speed + speed / accel if length >= speed**2 / accel else 2 * math.sqrt(length / accel)
        )
        plain.append(travel_time(path, speed, limits) / shape - 1)
        soft.append(
            travel_time(path, speed, replace(limits, jerk=jerk)) / ruckig_time(length, speed, accel, jerk) - 1
        )
    row("1000 straight moves, rest to rest, closed form", plain)
    row("the same with a limit on jerk, ruckig", soft)


def polylines():
    """60 legs with sharp corners, against steps of 2 um along the rounded path."""
    checks = run_path(str(Path(__file__).parents[1] / "validation" / "test_motion.py"))
    for leg in (0.5, 3, 10):
        errors = []
        for tolerance in (0.005, 0.02, 0.1):
            chance = np.random.default_rng(5)
            angle, legs = np.cumsum(chance.uniform(-2.6, 2.6, 60)), leg * chance.uniform(0.7, 1.3, 60)
            steps = np.column_stack((legs * np.cos(angle), legs * np.sin(angle), 0 * angle))
            points = np.vstack((np.zeros((1, 3)), np.cumsum(steps, axis=0)))
            wanted = checks["integrated"](points, 100, 1000, tolerance)
            errors.append(travel_time(points, 100, checks["isotropic"](1000, tolerance)) / wanted - 1)
        row(f"sharp corners every {leg} mm, tolerances .005 to .1 mm, integration", errors)


def uneven_machines():
    """Curves drawn by lot, on machines whose Z axis is slower to speed up than X and Y."""
    for slower in (2, 5):
        chance, errors = np.random.default_rng(0), []
        for _ in range(30):
            reference.CURVES["by lot"] = _curve_by_lot(chance), 2 * math.pi
            accel = 10 ** chance.uniform(2.7, 3.5) * np.array([1, chance.uniform(0.7, 1.4), 1 / slower])
            limits = MotionLimits(speed=10 ** chance.uniform(1.8, 2.8, 3), accel=accel, corner_tolerance=0.03)
            feed = float(10 ** chance.uniform(1.3, 2.6))
            reference.MACHINES["by lot"] = feed, limits
            wanted = reference.shortest_time("by lot", "by lot")
            errors.append(travel_time(reference.sampled("by lot", 0.1), feed, limits) / wanted - 1)
        row(f"30 curves by lot in three axes, Z {slower} times slower to speed up, toppra", errors)


def _curve_by_lot(chance):
    waves = chance.normal(size=(3, 4, 2)) * np.array([30, 30, 8])[:, None, None]
    waves /= np.arange(1, 5)[None, :, None] ** 1.5

    def curve(t):
        return tuple(
            sum(a * np.sin((n + 1) * t) + b * np.cos((n + 1) * t) for n, (a, b) in enumerate(axis))
            for axis in waves
        )

    return curve


def curves():
    """Smooth curves on three machines."""
    pairs = [(name, machine) for name in reference.CURVES for machine in reference.MACHINES]
    wanted = [reference.shortest_time(*pair) for pair in pairs]
    what = f"{len(reference.CURVES)} curves on {len(reference.MACHINES)} machines"

    def errors(time):
        return [time(*pair) / best - 1 for pair, best in zip(pairs, wanted, strict=True)]

    def model(chord, **options):
        def time(name, machine):
            feed, limits = reference.MACHINES[machine]
            return travel_time(reference.sampled(name, chord), feed, limits, **options)

        return errors(time)

    def length_over_feed(name, machine):
        steps = np.diff(reference.sampled(name, 0.1), axis=0)
        return np.linalg.norm(steps, axis=1).sum() / reference.MACHINES[machine][0]

    def rounded(name, machine):
        feed, limits = reference.MACHINES[machine]
        return travel_time(np.round(reference.sampled(name, 0.05), 3), feed, limits)

    def thinned(name, machine):
        feed, limits = reference.MACHINES[machine]
        return travel_time(np.round(reference.sampled(name, 0.05), 3), feed, limits, rounded=0.001)

    row(f"{what}, toppra: length over feed", errors(length_over_feed))
    row("uncoupled, chords of 0.1 mm", model(0.1, coupled=False))
    for chord in (0.5, 0.2, 0.1, 0.05):
        row(f"coupled, chords of {chord} mm", model(chord))
    row("coupled, chords of 0.05 mm, coordinates rounded to 0.001 mm", errors(rounded))
    row("the same, thinned", errors(thinned))


if __name__ == "__main__":
    print("| what, and the reference | mean % | rms % | worst % |")
    print("|---|---|---|---|")
    lines()
    polylines()
    curves()
    uneven_machines()
