"""What all tests share: the switch that writes golden files anew, and libraries kept from writing outside."""

import os
from pathlib import Path

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--regenerate", action="store_true", help="write the golden files anew")


def pytest_configure(config: pytest.Config) -> None:
    cache = Path(__file__).parent.parent / ".venv" / "cache"
    os.environ.setdefault("XDG_CACHE_HOME", str(cache))


@pytest.fixture
def regenerate(request: pytest.FixtureRequest) -> bool:
    """Whether golden files are to be written instead of compared."""
    return bool(request.config.getoption("--regenerate"))
