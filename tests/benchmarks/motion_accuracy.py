"""The table of errors in docs/time.md: travel time against references that share nothing with it.

    .venv/bin/python tests/benchmarks/motion_accuracy.py

Takes about half a minute. Every row is an error of travel_time in percent of the reference.
"""

import math
from dataclasses import replace

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
    return f"{value:+.2f}" if abs(value) >= 0.005 else ("0" if abs(value) < 1e-9 else f"{value:+.0e}")


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
    curves()
