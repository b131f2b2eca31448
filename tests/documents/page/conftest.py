"""The proof in a real browser: Debian's Chromium, driven over its own protocol, so that the page's policy
stays in force; and axe-core, an independent judge of accessibility, by name from npm.
"""

import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Callable, Iterator
from ctypes.util import find_library
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from signplan.documents.proof import render_proof
from signplan.findings import Finding, Severity
from signplan.plan import Plan

CHROMIUM = shutil.which("chromium")
NPM = shutil.which("npm")
AXE = "axe-core@4.14.1"
QUIET = ("--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-first-run")

Open = Callable[..., Any]


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One Chromium for all tests; every page gets a profile of its own."""
    if not CHROMIUM:
        pytest.skip("no Chromium on this machine")
    if sys.platform == "linux" and not find_library("atomic"):
        pytest.skip("no libatomic on this machine, which the driver of Chromium needs")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=CHROMIUM, args=list(QUIET))
        yield started
        started.close()


@pytest.fixture
def open_proof(browser: Any, tmp_path: Path) -> Iterator[Open]:
    """Open a plan's proof from a file. By the end nothing else was asked for, and nothing complained of."""
    file, asked, complaints = tmp_path / "proof.html", set(), []
    contexts = []

    def open_(plan: Plan, **options: Any) -> Any:
        file.write_text(render_proof(plan), encoding="utf-8")
        contexts.append(browser.new_context(**options))
        contexts[-1].set_default_timeout(10_000)
        page = contexts[-1].new_page()
        page.on("request", lambda request: asked.add(request.url))
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto(file.as_uri())
        return page

    yield open_
    for context in contexts:
        context.close()
    assert asked == {file.as_uri()}
    assert not complaints


@pytest.fixture(scope="session")
def axe() -> str:
    """The script of axe-core, kept in the project's cache once it is there."""
    kept = Path(os.environ["XDG_CACHE_HOME"]) / f"{AXE}.min.js"
    if not kept.exists():
        if not NPM:
            pytest.skip("no npm on this machine")
        kept.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=kept.parent) as name:
            quiet = ("--silent", "--cache", f"{name}/npm", "--pack-destination", name)
            subprocess.run([NPM, "pack", AXE, *quiet], cwd=name, check=True, timeout=120, capture_output=True)
            (archive,) = Path(name).glob("*.tgz")
            with tarfile.open(archive) as packed:
                script = packed.extractfile("package/axe.min.js")
                assert script
                (Path(name) / "axe.js").write_bytes(script.read())
            os.replace(Path(name) / "axe.js", kept)
    return kept.read_text(encoding="utf-8")


@pytest.fixture(scope="session")
def found(plan_not_ready: Plan) -> Plan:
    """A plan with an error in the cavity of A, a warning on the face of B, and a note without a place."""
    cavity, note = plan_not_ready.findings
    face = Finding(
        code="art-too-fine",
        severity=Severity.WARNING,
        message="on side B the cutter does not get into a corner",
        where="carve[1]",
        hint="name a smaller cutter",
        spot=(300.0, 300.0),
        panel="B",
    )
    return replace(plan_not_ready, findings=(cavity, face, note))
