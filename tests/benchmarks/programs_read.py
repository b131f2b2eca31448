"""How long a program of a million lines takes to check, against plain Python that reads and splits its lines.

    .venv/bin/python tests/benchmarks/programs_read.py [LINES]

Two programs, both held against the plan of a demo job: the demo program of its outer faces over and over,
and the rows of a relief, every line with X, Y and Z. Processor time, best of three in one run, one thread.
Two plain ways: `kept` makes a list of the words of every line, `passed` splits each line and forgets it.
`moves` reads the program up to the place and the feed of every move, `check` also judges and times them. The
plan is made before the clock starts; its maps are not.
"""

import resource
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from signplan.plan import make_plan
from signplan.programs.check import check_programs
from signplan.programs.moves import read_moves
from signplan.programs.source import read_pieces

JOB = Path(__file__).parents[2] / "demo_jobs" / "gannet-and-thrum"
DEMO = JOB / "programs" / "right" / "GT-041 AB-outer.nc"
HEAD = "G17 G20 G40 G49 G80 G90 G94 G54\nT1 M6\nG43 H1\nS18000 M3\nG0 X3 Y3 Z0.5\nG1 Z0 F200\n"


def again_and_again(lines):
    """The demo program, its body repeated."""
    head, *body = DEMO.read_text().splitlines()[1:-2]
    body = [line for line in body if line != "M30"]
    times = -(-lines // len(body))
    return "\n".join([head, *(body * times)[:lines], "G0 Z0.5", "M5", "M30"]) + "\n"


def relief_rows(lines):
    """A zig-zag over a carved surface of a million square millimetres, in inches."""
    step = 0.012
    along = np.arange(lines) * step
    x = 3 + np.abs((along + 30) % 60 - 30)
    y = 3 + np.floor((along + 30) / 30) * 0.02 % 20
    z = 0.1 * np.sin(x * 3) * np.cos(y * 5) - 0.12
    rows = (f"G1 X{a:.4f} Y{b:.4f} Z{c:.4f}" for a, b, c in zip(x, y, z, strict=True))
    return HEAD + "\n".join(rows) + "\nG0 Z0.5\nM5\nM30\n"


def kept(path):
    """Plain Python: the words of every line, as a list of lists."""
    with path.open() as file:
        return [line.split() for line in file]


def passed(path):
    """The least that plain Python can do: split every line and forget it."""
    words = 0
    with path.open() as file:
        for line in file:
            words += len(line.split())
    return words


def moves(path):
    """The program as moves, judged by nobody."""
    return sum(len(batch.moves) for batch in read_moves(read_pieces(path), "rs274ngc", scale=25.4))


def best(call, repeats=3):
    """Processor seconds of the quickest of some calls."""
    times = []
    for _ in range(repeats):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def main():
    lines = int(float(sys.argv[1])) if len(sys.argv) > 1 else 1_000_000
    plan = make_plan(JOB)
    print(
        "program            lines     kept   passed    moves    check  check/kept  moves, check/passed  found"
    )
    with tempfile.TemporaryDirectory() as folder:
        for name, make in (("demo, repeated", again_and_again), ("relief rows", relief_rows)):
            path = Path(folder) / "AB-outer.nc"
            path.write_text(make(lines))
            found = len(check_programs(plan, [path]).files[0].findings)
            held, gone, read, check = (
                best(lambda call=call: call(path))  # noqa: B023
                for call in (kept, passed, moves, lambda path: check_programs(plan, [path]))
            )
            print(
                f"{name:15} {lines:9d} {held:6.3f} s {gone:6.3f} s {read:6.3f} s {check:6.3f} s "
                f"{check / held:9.2f} {read / gone:10.2f} {check / gone:9.2f} {found:7d}"
            )
    print(f"largest size of the process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    main()
