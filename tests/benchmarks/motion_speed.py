"""How fast the motion model is, against a compiled loop of the same recurrence in the same run.

    .venv/bin/python tests/benchmarks/motion_speed.py [LARGEST]

LARGEST is the number of points of the longest path, 2e7 by default. The loop needs numba, which is not a
dependency: install it by hand, or only the figures without it are printed. Times are of one thread, the least
of a few rounds. Memory is what travel_time allocates on top of its input.
"""

import math
import resource
import sys
import time
import tracemalloc

import numpy as np

from signplan.timing.motion import MotionLimits, travel_time

try:
    import numba
except ImportError:
    numba = None

ROUTER = MotionLimits(speed=(250, 250, 80), accel=(500, 500, 300), corner_tolerance=0.05)
FEED = 100.0


def relief_rows(count):
    """A zig-zag over a carved surface, one point every 0.1 mm."""
    along = np.arange(count) * 0.1
    x = np.abs((along + 100) % 400 - 200)
    y = np.floor((along + 100) / 200) * 0.3
    points = np.empty((count, 3))
    points[:, 0], points[:, 1], points[:, 2] = x, y, np.sin(x / 7) + 0.3 * np.sin(y * 3)
    return points


def loop_time(points, feed, speed, accel, tolerance):
    """The uncoupled model, one vertex after the other: the plainest thing that a compiler can be given."""
    n = len(points) - 1
    length, along, top, cap = np.empty(n), np.empty(n), np.empty(n), np.zeros(n + 1)
    blend, arc = np.zeros(n + 1), np.zeros(n + 1)
    ux = uy = uz = 0.0
    for i in range(n):
        dx = points[i + 1, 0] - points[i, 0]
        dy = points[i + 1, 1] - points[i, 1]
        dz = points[i + 1, 2] - points[i, 2]
        size = math.sqrt(dx * dx + dy * dy + dz * dz)
        vx, vy, vz = dx / size, dy / size, dz / size
        length[i] = size
        along[i] = 1 / max(abs(vx) / accel[0], abs(vy) / accel[1], abs(vz) / accel[2])
        top[i] = min(feed, 1 / max(abs(vx) / speed[0], abs(vy) / speed[1], abs(vz) / speed[2])) ** 2
        if i:
            tx, ty, tz = vx - ux, vy - uy, vz - uz
            sine = min(max(math.sqrt(tx * tx + ty * ty + tz * tz) / 2, 1e-12), 1.0)
            cosine = math.sqrt(1 - sine * sine)
            shorter = min(length[i - 1], size)
            span = shorter + max(1 - 2 * sine * sine, 0.0) * abs(size - length[i - 1]) / 2
            cut = min(tolerance * (1 + cosine) / sine, span / 2)
            across = max(abs(tx) / accel[0], abs(ty) / accel[1], abs(tz) / accel[2], 1e-15)
            cap[i] = min(top[i - 1], top[i], 2 * cosine * cut / across)
            blend[i] = min(cut, shorter / 2)
            arc[i] = 2 * math.asin(sine) * cosine / sine * blend[i]
        ux, uy, uz = vx, vy, vz
    for i in range(n):
        cap[i + 1] = min(cap[i + 1], cap[i] + 2 * along[i] * length[i])
    for i in range(n - 1, -1, -1):
        cap[i] = min(cap[i], cap[i + 1] + 2 * along[i] * length[i])
    total, cut_here = 0.0, 0.0
    for i in range(n):
        low, high, budget = cap[i], cap[i + 1], along[i] * length[i]
        peak = math.sqrt(min(top[i], (low + high) / 2 + budget))
        speed_here, speed_next = math.sqrt(low), math.sqrt(high)
        total += (length[i] + ((peak - speed_here) ** 2 + (peak - speed_next) ** 2) / (2 * along[i])) / peak
        following = 0.0
        if i + 1 < n:
            following = math.sqrt(min(top[i + 1], (high + cap[i + 2]) / 2 + along[i + 1] * length[i + 1]))
        cut_next = 0.0
        if 0 < speed_next * (1 + 1e-6) < min(peak, following):
            cut_next = blend[i + 1]
            total += arc[i + 1] / speed_next
        if cut_here or cut_next:
            less = cut_here + cut_next
            rest = math.sqrt(min(top[i], max((low + high) / 2 + budget - along[i] * less, low, high)))
            total -= 2 * less / (peak + rest)
        cut_here = cut_next
    return total


def race(calls, rounds=5):
    """Least processor seconds of each call, the calls taking turns so that a busy machine slows all alike."""
    least = [math.inf] * len(calls)
    for _ in range(rounds):
        for i, call in enumerate(calls):
            start = time.process_time()
            call()
            least[i] = min(least[i], time.process_time() - start)
    return least


def main():
    largest = int(float(sys.argv[1])) if len(sys.argv) > 1 else 20_000_000
    compiled = numba and numba.njit(loop_time)
    loop_limits = np.array(ROUTER.speed), np.array(ROUTER.accel), ROUTER.corner_tolerance
    print(
        "   points    uncoupled      coupled      coupled/uncoupled      loop      uncoupled/loop  difference"
    )
    for count in (100_000, 1_000_000, 5_000_000, 20_000_000):
        if count > largest:
            break
        points = relief_rows(count)
        calls = [
            lambda points=points: travel_time(points, FEED, ROUTER, coupled=False),
            lambda points=points: travel_time(points, FEED, ROUTER),
        ]
        if compiled:
            calls.append(lambda points=points: compiled(points, FEED, *loop_limits))
            difference = abs(calls[0]() / calls[2]() - 1)
        plain, coupled, *loop = race(calls, 5 if count < 1e7 else 3)
        per_point = 1e9 / count
        line = f"{count:9d} {plain:7.3f} s {per_point * plain:3.0f} ns"
        line += f" {coupled:7.3f} s {per_point * coupled:3.0f} ns {coupled / plain:10.2f}"
        if compiled:
            line += (
                f" {loop[0]:13.3f} s {per_point * loop[0]:3.0f} ns {plain / loop[0]:10.2f} {difference:13.0e}"
            )
        print(line, flush=True)
    for name, options in (("uncoupled", {"coupled": False}), ("coupled", {})):
        part = points[:2_000_000]
        tracemalloc.start()
        travel_time(part, FEED, ROUTER, **options)
        print(f"peak of {name}, {len(part)} points: {tracemalloc.get_traced_memory()[1] / 1e6:.1f} MB")
        tracemalloc.stop()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    rows = (relief_rows(100_000) for _ in range(largest // 100_000))
    seconds = travel_time(rows, FEED, ROUTER, coupled=False)
    grown = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1e3
    print(f"{largest} points streamed from a generator, {seconds:.0f} s of travel: grown by {grown:.1f} MB")


if __name__ == "__main__":
    main()
