"""A small job on disk, which each test spoils in its own way."""

from collections.abc import Callable
from pathlib import Path

import pytest

JOB = """\
[job]
number = "T-1"
title = "Test"
units = "in"

[sign]
board = "hdu-15"
panel = "1-1/2"
outline = { file = "art/face.svg", layer = "outline" }
border = 1
web = "3/8"
wall = "3/4"

[[carve]]
side = "both"
as = "raise"
art = { file = "art/face.svg", layer = "letters" }
depth = "3/8"
tools = ["em-1/4", "em-1/8"]

[[hardware]]
name = "hanger"
clearance = "1/32"

[[hardware.part]]
shape = "round"
stock = "rod 3/8"
from = [6, 20]
to = [6, 26]

[[hardware.part]]
shape = "hex"
stock = "nut 3/8"
at = [6, 20.5]
along = [0, 1]
"""

WriteJob = Callable[..., Path]


@pytest.fixture
def write_job(tmp_path: Path) -> WriteJob:
    """Writes the job, with texts of it replaced, and its artwork; gives its folder."""

    def write(*changes: tuple[str, str], text: str = JOB) -> Path:
        for old, new in changes:
            assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the job"
            text = text.replace(old, new)
        folder = tmp_path / "job"
        (folder / "art").mkdir(parents=True)
        (folder / "art" / "face.svg").write_text("<svg/>")
        (folder / "job.toml").write_text(text)
        return folder

    return write
