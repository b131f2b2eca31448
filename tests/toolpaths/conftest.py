"""A router, cutters of any size, and operations round a piece of work."""

from collections.abc import Callable

import pytest

from signplan.job.shop import Machine, Tool
from signplan.operations.model import Kind, Operation, Work


@pytest.fixture
def machine() -> Machine:
    """A small router; feeds in mm a minute, as a shop file would say them."""
    return Machine(
        name="router",
        bed=(1500, 1200),
        travel_z=200,
        feed_max=15000,
        rapid=(30000, 30000, 10000),
        accel=(1500, 1500, 800),
        rpm=(6000, 24000),
        spindle_kw=3,
        clearance_z=10,
    )


@pytest.fixture
def tool() -> Callable[..., Tool]:
    """A cutter of a shape and diameter, long enough for any test unless it says otherwise."""

    def make(shape: str, diameter: float, **more: object) -> Tool:
        usual = {"number": 1, "id": f"{shape}-{diameter}", "flutes": 2, "cutting_length": 60, "reach": 70}
        return Tool(**{**usual, "shape": shape, "diameter": diameter, **more})

    return make


@pytest.fixture
def operation() -> Callable[..., Operation]:
    """An operation on A's outer face."""

    def make(kind: Kind, tool: Tool, work: Work, depth: float) -> Operation:
        return Operation(
            id=f"A/outer/test/{kind}",
            panel="A",
            face="outer",
            kind=kind,
            feature="test",
            treatment=None,
            tool=tool.id,
            work=work,
            depth=depth,
        )

    return make
