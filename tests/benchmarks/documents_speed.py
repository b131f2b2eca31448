"""Rendering every document of a demo job against planning it.

    .venv/bin/python tests/benchmarks/documents_speed.py [RUNS]

Each run is a process of its own, as a shop's is; printed is the ratio of the medians. Wanted: below 0.5.
"""

import statistics
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
JOBS = ("gannet-and-thrum", "tansyrigg-orchard")

BOTH = """
import sys, time
from pathlib import Path
from signplan.documents.write import render_documents
from signplan.plan import make_plan
begin = time.perf_counter()
plan = make_plan(Path(sys.argv[1]))
planned = time.perf_counter()
render_documents(plan)
print(planned - begin, time.perf_counter() - planned)
"""


def seconds(job: Path) -> tuple[float, float]:
    command = [sys.executable, "-c", BOTH, str(job)]
    said = subprocess.run(command, check=True, cwd=ROOT, capture_output=True, text=True).stdout
    plan, documents = map(float, said.split())
    return plan, documents


def main(runs: int) -> None:
    for name in JOBS:
        pairs = [seconds(ROOT / "demo_jobs" / name) for _ in range(runs + 1)][1:]
        plan, documents = (statistics.median(column) for column in zip(*pairs, strict=True))
        print(f"{name}: plan {plan:.2f} s, documents {documents:.2f} s, ratio {documents / plan:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
