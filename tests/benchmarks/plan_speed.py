"""Planning a demo job against a script that only imports the same libraries and reads the same files.

    .venv/bin/python tests/benchmarks/plan_speed.py [RUNS]

Both run as whole processes, in turn, in one run; printed is the ratio of their medians. Wanted: below 3.
"""

import statistics
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
JOBS = ("gannet-and-thrum", "tansyrigg-orchard")

FLOOR = """
import json, sys, tomllib
from pathlib import Path
import ezdxf, networkx, numpy, pydantic, pyvoronoi, shapely, svgelements
job = Path(sys.argv[1])
for name in ("job.toml",):
    data = tomllib.loads((job / name).read_text())
tomllib.loads((job / data["job"]["shop"]).read_text())
for art in sorted((job / "art").iterdir()):
    if art.suffix == ".dxf":
        ezdxf.readfile(art)
    else:
        svgelements.SVG.parse(str(art))
"""

PLAN = """
import sys
from pathlib import Path
from signplan.plan import make_plan
make_plan(Path(sys.argv[1]))
"""


def seconds(script: str, job: Path) -> float:
    begin = time.perf_counter()
    subprocess.run([sys.executable, "-c", script, str(job)], check=True, cwd=ROOT)
    return time.perf_counter() - begin


def main(runs: int) -> None:
    for name in JOBS:
        job = ROOT / "demo_jobs" / name
        pairs = [(seconds(FLOOR, job), seconds(PLAN, job)) for _ in range(runs + 1)][1:]
        floor, plan = (statistics.median(column) for column in zip(*pairs, strict=True))
        print(f"{name}: read and import {floor:.2f} s, plan {plan:.2f} s, ratio {plan / floor:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
