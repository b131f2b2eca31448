"""The axes shared between the path and its turns.

Along a direction u, while the path turns at a rate k (1/mm), an axis has to give  u s" + k w  for an
acceleration s" along the path at the squared speed w. What the second part takes is not there for the
first: an axis that pulls the path round cannot also speed it up. The bound on s" depends on the profile
that is sought, so it is taken from the profile of the pass before, averaged with those of earlier passes.
"""

from dataclasses import dataclass

import numpy as np

from signplan.timing.limits import Floats, MotionLimits

_LEAST_SHARE = 1e-9
"""An axis with a smaller share than this in a direction does not limit it."""

_LEAST_ACCEL = 0.02
"""Share of its acceleration that a segment keeps, however much of it the turning takes."""

_STRAIGHT_SPAN = 1e-9
"""mm. Keeps the ends of a path, which do not turn, out of 0 / 0."""


@dataclass(slots=True)
class Coupling:
    """What turning takes from each axis on the n segments of a block.

    `half_rate` (3, n + 1): half of k at each vertex; `per_share` (3, n): 1 / u; `push` (3, n): acceleration
    along the segment that each axis could give alone; `square` (n + 1): squared speed, averaged over passes.
    """

    half_rate: Floats
    per_share: Floats
    push: Floats
    square: Floats
    path_accel: float

    @classmethod
    def of(cls, unit: Floats, turn: Floats, span: Floats, square: Floats, limits: MotionLimits) -> "Coupling":
        """Coupling of segments in directions `unit` (3, n), from the turns (3, n + 1) at their vertices."""
        per_share = 1 / np.where(np.abs(unit) < _LEAST_SHARE, _LEAST_SHARE, unit)
        return cls(
            half_rate=turn / (2 * np.maximum(span, _STRAIGHT_SPAN)),
            per_share=per_share,
            push=np.array(limits.accel)[:, None] * np.abs(per_share),
            square=square,
            path_accel=limits.path_accel,
        )

    def accelerations(self, square: Floats) -> tuple[Floats, Floats]:
        """What can speed the machine up and slow it down on each segment, after a pass that gave `square`."""
        self.square = (self.square + square) / 2
        pull = self.half_rate * self.square
        pull = (pull[:, :-1] + pull[:, 1:]) * self.per_share
        least = _LEAST_ACCEL * self.push.min(axis=0)
        gain = np.maximum((self.push - pull).min(axis=0), least)
        loss = np.maximum((self.push + pull).min(axis=0), least)
        return np.minimum(gain, self.path_accel), np.minimum(loss, self.path_accel)
