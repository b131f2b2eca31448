"""Drawings written on the spot: a DXF by ezdxf, an SVG as text."""

import os
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

os.environ.setdefault("XDG_CACHE_HOME", tempfile.mkdtemp(prefix="signplan-tests-"))


@pytest.fixture
def dxf(tmp_path: Path) -> Callable[..., Path]:
    """Write a DXF: `dxf(lambda space: space.add_circle((0, 0), 5))`; the document is `space.doc`."""

    def write(
        draw: Callable[[Any], object], *, units: int = 4, version: str = "R2010", fmt: str = "asc"
    ) -> Path:
        import ezdxf

        document = ezdxf.new(version, units=units)
        if version != "R12":
            document.header["$INSUNITS"] = units
        draw(document.modelspace())
        path = tmp_path / "face.dxf"
        document.saveas(path, fmt=fmt)
        return path

    return write


@pytest.fixture
def svg(tmp_path: Path) -> Callable[..., Path]:
    """Write an SVG from what is inside its root, which lies in line 1; the page is 100 by 50 mm."""

    def write(inside: str, *, page: str = 'width="100mm" height="50mm" viewBox="0 0 100 50"') -> Path:
        spaces = (
            'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" xmlns:d="urn:d"'
        )
        path = tmp_path / "face.svg"
        path.write_text(f"<svg {spaces} {page}>\n{inside}\n</svg>\n", encoding="utf-8")
        return path

    return write
