"""What the checks of a sign are given: everything that is known about it, and in which units to speak."""

import math
from dataclasses import dataclass

from signplan.geometry.precision import SAME
from signplan.job.model import Job
from signplan.job.shop import Shop
from signplan.sign.assemble import ItemFit
from signplan.sign.fits import Stack
from signplan.sign.mass import Mass
from signplan.sign.model import Item, Pocket, Sign
from signplan.sign.schemes import Scheme
from signplan.units import MM_PER, Units, fine, to_units


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """A sign to be judged.

    `fits` are in the order of its items, `schemes` from the best on, if any but its own were looked at;
    `mass` may be unknown.
    """

    sign: Sign
    fits: tuple[ItemFit, ...]
    stacks: tuple[Stack, ...]
    job: Job
    shop: Shop
    schemes: tuple[Scheme, ...] = ()
    mass: Mass | None = None

    @property
    def units(self) -> Units:
        """The units of the job."""
        return self.job.job.units

    @property
    def pockets(self) -> tuple[Pocket, ...]:
        """The pockets of both panels."""
        return tuple(pocket for panel in self.sign.panels for pocket in panel.pockets)

    def item(self, name: str) -> Item:
        """The hardware item of that name."""
        return next(item for item in self.sign.items if item.name == name)

    def say(self, length: float) -> str:
        """A length as fits are spoken of, in the job's units."""
        return fine(length, self.units)

    def enough(self, length: float) -> str:
        """A length as fits are spoken of, rounded up: so much does."""
        step = MM_PER["in"] / 1000 if self.units == "in" else 0.01
        return self.say(math.ceil(length / step - SAME) * step)

    def number(self, length: float) -> float:
        """A length in the job's units."""
        return to_units(length, self.units)

    def place(self, spot: tuple[float, ...]) -> str:
        """A place in the assembly frame: from the lower left corner, seen from side A."""
        return f"({', '.join(self.say(value) for value in spot)})"


_WAYS = ("right", "up and right", "up", "up and left", "left", "down and left", "down", "down and right")


def heading(degrees: float) -> str:
    """A direction seen from side A, counter-clockwise from the right.

    >>> heading(90), heading(200)
    ('up', 'at 200 degrees (left)')
    """
    name = _WAYS[round(degrees / 45) % 8]
    return name if degrees % 45 == 0 else f"at {degrees:.0f} degrees ({name})"
