"""Smooth curves and machines, and the shortest time along them by toppra: an independent reference."""

import math

import numpy as np
import toppra
from toppra.algorithm import TOPPRA
from toppra.constraint import JointAccelerationConstraint, JointVelocityConstraint

from signplan.timing.motion import MotionLimits

toppra.setup_logging("ERROR")
TURN = 2 * math.pi

CURVES = {
    "circle R 2": (lambda t: (2 * np.cos(t), 2 * np.sin(t), 0 * t), TURN),
    "circle R 20": (lambda t: (20 * np.cos(t), 20 * np.sin(t), 0 * t), TURN),
    "ellipse 30 x 10": (lambda t: (30 * np.cos(t), 10 * np.sin(t), 0 * t), TURN),
    "ellipse 12 x 2": (lambda t: (12 * np.cos(t), 2 * np.sin(t), 0 * t), TURN),
    "relief row, 1 high every 10": (lambda t: (t, 0 * t, np.sin(TURN * t / 10)), 100),
    "relief row, 3 high every 20": (lambda t: (t, 0 * t, 3 * np.sin(TURN * t / 20)), 100),
    "relief row, 0.3 high every 3": (lambda t: (t, 0 * t, 0.3 * np.sin(TURN * t / 3)), 60),
    "script": (
        lambda t: (8 * t + 9 * np.sin(TURN * t), 14 * np.cos(TURN * t) + 2 * np.sin(2.7 * t), 0 * t),
        5,
    ),
    "loop in three axes": (
        lambda t: (30 * np.sin(t), 20 * np.sin(2 * t + 0.5), 5 * np.sin(3 * t + 1)),
        TURN,
    ),
    "spiral": (lambda t: ((2 + 1.5 * t) * np.cos(t), (2 + 1.5 * t) * np.sin(t), 0 * t), 2 * TURN),
    "helix": (lambda t: (6 * np.cos(t), 6 * np.sin(t), -0.3 * t), 2 * TURN),
    "rosette": (lambda t: (25 * np.cos(2.5 * t) * np.cos(t), 25 * np.cos(2.5 * t) * np.sin(t), 0 * t), TURN),
    "trochoid": (lambda t: (1.2 * t + 3 * np.cos(t), 3 * np.sin(t), 0 * t), 3 * TURN),
    "eight on a relief": (lambda t: (20 * np.sin(t), 10 * np.sin(2 * t), 1.5 * np.sin(5 * t)), TURN),
    "wave in three axes": (
        lambda t: (t, 2 * np.sin(TURN * t / 15), 0.5 * np.cos(TURN * t / 8)),
        90,
    ),
    "knot": (lambda t: (15 * np.sin(3 * t), 12 * np.sin(4 * t + 0.3), 0 * t), TURN),
}
"""Name: (t -> x, y, z in mm, last t); t begins at 0."""

MACHINES = {
    "light": (80.0, MotionLimits(speed=(250, 250, 100), accel=(500, 500, 300), corner_tolerance=0.01)),
    "even": (100.0, MotionLimits(speed=(1000,) * 3, accel=(1000, 1000, 500), corner_tolerance=0.01)),
    "fast": (250.0, MotionLimits(speed=(500, 500, 200), accel=(3000, 2000, 1000), corner_tolerance=0.01)),
}
"""Name: (feed mm/s, limits)."""


def sampled(name, chord):
    """Points on a curve at even distances of about `chord` mm, (N, 3)."""
    curve, last = CURVES[name]
    t = np.linspace(0, last, 200_001)
    steps = np.diff(np.stack(curve(t)), axis=1)
    along = np.concatenate(([0.0], np.cumsum(np.linalg.norm(steps, axis=0))))
    places = np.interp(np.linspace(0, along[-1], round(along[-1] / chord) + 1), along, t)
    return np.stack(curve(places), axis=1)


def shortest_time(name, machine, grid=3000):
    """Seconds by toppra under the limits of each axis, the feed being that of a fourth axis along the path.

    Extrapolated to a grid of no width from two grids (Richardson).
    """
    coarse, fine = (_on_grid(name, machine, size) for size in (grid, 2 * grid))
    return 2 * fine - coarse


def _on_grid(name, machine, size):
    feed, limits = MACHINES[machine]
    points = sampled(name, 0.05)
    along = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1))))
    path = toppra.SplineInterpolator(along, np.column_stack((points, along)))
    speed, accel = np.array([*limits.speed, feed]), np.array([*limits.accel, 1e7])
    problem = TOPPRA(
        [
            JointVelocityConstraint(np.column_stack((-speed, speed))),
            JointAccelerationConstraint(np.column_stack((-accel, accel))),
        ],
        path,
        gridpoints=np.linspace(0, along[-1], size + 1),
        solver_wrapper="seidel",
    )
    _, speeds, *_ = problem.compute_parameterization(0, 0)
    assert speeds is not None, f"toppra finds no solution on {name}"
    return float(np.sum(2 * along[-1] / size / (speeds[1:] + speeds[:-1])))
