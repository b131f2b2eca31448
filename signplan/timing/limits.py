"""What a machine's axes can do, and the error for what no machine can."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from signplan.errors import SignplanError

Floats = NDArray[np.float64]


class MotionError(SignplanError, ValueError):
    """A path, a feed or a limit from which no time can be computed; the text says which and where."""


@dataclass(frozen=True, slots=True)
class MotionLimits:
    """What a machine's axes can do, and how it takes corners.

    The language of RS274/NGC (Kramer, Proctor and Messina, NISTIR 6556, 2000) names three ways: exact stop
    is `exact_stop`; exact path is a corner tolerance of a few thousandths of a millimetre; continuous is
    the tolerance that the controller is set to.

    Attributes:
        speed: top speed of each axis, mm/s.
        accel: acceleration of each axis, mm/s2.
        corner_tolerance: how far a rounded corner may pass from the programmed one, mm.
        exact_stop: come to rest at the end of every programmed move, instead of rounding its corner.
        path_accel: limit along the path, and another time across it, mm/s2.
        jerk: limit of the change of acceleration along the path, mm/s3.

    Raises:
        MotionError: a limit that is not a number above zero (the tolerance may be zero).
    """

    speed: tuple[float, float, float]
    accel: tuple[float, float, float]
    corner_tolerance: float
    exact_stop: bool = False
    path_accel: float = math.inf
    jerk: float = math.inf

    def __post_init__(self) -> None:
        for name in ("speed", "accel"):
            given = getattr(self, name)
            values = _numbers(name, given)
            if values.shape != (3,) or not (np.isfinite(values) & (values > 0)).all():
                raise MotionError(f"{name}: {given} is not three numbers above zero, for X, Y and Z")
            object.__setattr__(self, name, tuple(values.tolist()))
        for name in ("path_accel", "jerk"):
            if not _numbers(name, getattr(self, name)) > 0:
                raise MotionError(f"{name}: {getattr(self, name)} is not a number above zero")
        if not 0 <= _numbers("corner_tolerance", self.corner_tolerance) < math.inf:
            raise MotionError(f"corner_tolerance: {self.corner_tolerance} is not a number, zero or more")


def _numbers(name: str, given: Any) -> Floats:
    try:
        return np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError):
        raise MotionError(f"{name}: {given!r} is not a number") from None
