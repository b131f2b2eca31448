"""How long it takes to prove that a sign closes, against reading its artwork, both in one run.

.venv/bin/python tests/benchmarks/closing_speed.py [JOB ...]
"""

import sys
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

from signplan.artwork.importer import read_artwork
from signplan.checks.case import Case
from signplan.checks.judge import check_sign
from signplan.job.read import read_job
from signplan.plan import make_plan
from signplan.sign.assemble import closing
from signplan.sign.fits import _sampled
from signplan.sign.location import play, stacks
from signplan.sign.schemes import schemes

JOBS = Path(__file__).parents[2] / "demo_jobs"
ROUNDS = 5


def best(work: Callable[[], object]) -> float:
    """The shortest of a few rounds, seconds."""
    times = []
    for _ in range(ROUNDS):
        _sampled.cache_clear()
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def measure(name: str) -> None:
    """Print what reading and judging one demo job take."""
    loaded, plan = read_job(JOBS / name), make_plan(JOBS / name)
    sign, shop = plan.sign, plan.shop
    setups = [planned.setup for planned in plan.setups]
    files = sorted({art.file for art in _arts(loaded.job)})
    stacked = stacks(sign, shop, setups)
    fits = closing(sign, play(stacked))
    case = Case(
        sign=sign, fits=fits, stacks=stacked, job=plan.job, shop=shop, schemes=plan.schemes, mass=plan.mass
    )
    reading = best(lambda: [read_artwork(loaded.folder / file) for file in files])
    parts = {
        "location": best(lambda: stacks(sign, shop, setups)),
        "schemes": best(lambda: schemes(sign, shop, plan.layout, setups, cutter=12.7)),
        "closing and captive": best(lambda: closing(sign, play(stacked))),
        "all checks": best(lambda: check_sign(case)),
    }
    print(f"{name}: reading {reading * 1e3:.0f} ms")
    for part, seconds in parts.items():
        print(f"  {part:20} {seconds * 1e3:6.1f} ms  {seconds / reading:.2f} of reading")
    total = sum(parts.values())
    print(f"  {'together':20} {total * 1e3:6.1f} ms  {total / reading:.2f} of reading")


def _arts(job):
    yield job.sign.outline
    if job.sign.outline_b:
        yield job.sign.outline_b
    for carve in job.carve:
        if carve.art:
            yield carve.art


if __name__ == "__main__":
    for job in sys.argv[1:] or ["gannet-and-thrum", "tansyrigg-orchard"]:
        measure(job)
