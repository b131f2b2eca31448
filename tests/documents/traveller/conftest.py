"""Travellers of the demo jobs, planned and printed once for all tests of their pages."""

from functools import cache
from pathlib import Path

import pytest

from signplan.documents.traveller import render_traveller
from signplan.plan import Plan, make_plan

_DEMO = Path(__file__).parents[3] / "demo_jobs"
JOBS = tuple(sorted(job.parent.name for job in _DEMO.glob("*/job.toml")))
PAPERS = ("letter", "a4")


@cache
def _plan(job: str) -> Plan:
    return make_plan(_DEMO / job)


@cache
def _printed(job: str, paper: str) -> bytes:
    return render_traveller(_plan(job), paper=paper)


@pytest.fixture(scope="session", params=[(job, paper) for job in JOBS for paper in PAPERS], ids="-".join)
def printed(request: pytest.FixtureRequest) -> tuple[Plan, bytes]:
    """A demo job and its traveller, every job on both papers."""
    job, paper = request.param
    return _plan(job), _printed(job, paper)


@pytest.fixture(scope="session", params=JOBS)
def job(request: pytest.FixtureRequest) -> tuple[Plan, bytes]:
    """A demo job and its traveller on the paper of its units."""
    plan = _plan(request.param)
    return plan, _printed(request.param, "letter" if plan.job.job.units == "in" else "a4")
