"""The axes shared between the path and its turns.

Along a direction u, while the path turns at a rate k (1/mm), an axis has to give  u s" + k w  for an
acceleration s" along the path at the squared speed w. What the second part takes is not there for the
first: an axis that pulls the path round cannot also speed it up. And an axis that brakes along the path
already pulls one way, which may leave it more for the turn. Both depend on the profile that is sought, so
they are taken from the profile of the pass before, averaged with those of earlier passes.
"""

from dataclasses import dataclass, fields

import numpy as np

from signplan.timing.limits import Floats, MotionLimits
from signplan.timing.segments import Block

_LEAST_SHARE = 1e-9
"""An axis with a smaller share than this in a direction does not limit it."""

_LEAST_RATE = 1e-12
"""1/mm. An axis with a smaller rate of turn than this does not limit it."""

_LEAST_ACCEL = 0.02
"""Share of its acceleration that a segment keeps, however much of it the turning takes."""

_LEAST_SPAN = 1e-9
"""mm. Keeps the ends of a path, which do not turn, out of 0 / 0."""

_MOST_RAISED = 4.0
"""How many times its first value the squared speed of a vertex may become."""


@dataclass(slots=True, kw_only=True)
class CoupledBlock(Block):
    """A block that knows what turning takes from each axis, and what braking leaves it for a turn.

    Of a segment, (3, n): `push` along it that each axis could give alone, and `per_share`, 1 / u. Of a
    vertex, (3, n + 1): `half_rate`, half of k; `hold`, squared speed at which each axis alone could turn;
    `lean`, u / k. Of a vertex, (n + 1): `cap_alone`, the cap without braking, and `average`, the squared
    speed averaged over passes.
    """

    push: Floats
    per_share: Floats
    half_rate: Floats
    hold: Floats
    lean: Floats
    cap_alone: Floats
    average: Floats
    path_accel: float

    @classmethod
    def of(cls, block: Block, limits: MotionLimits) -> "CoupledBlock":
        """From a block whose speeds are known."""
        accel = np.array(limits.accel)[:, None]
        unit, turn = block.unit, block.turn
        per_share = 1 / np.where(np.abs(unit) < _LEAST_SHARE, _LEAST_SHARE, unit)
        rate = turn / np.maximum(block.span, _LEAST_SPAN)
        per_rate = 1 / np.where(np.abs(rate) < _LEAST_RATE, _LEAST_RATE, rate)
        direction = np.concatenate((unit - turn[:, :-1] / 2, unit[:, -1:] + turn[:, -1:] / 2), axis=1)
        known = {field.name: getattr(block, field.name) for field in fields(Block)}
        known["unit"] = known["turn"] = np.empty((3, 0))  # no longer needed, and there are many
        known["ceiling"] = np.minimum(block.ceiling, _MOST_RAISED * block.cap)
        return cls(
            push=accel * np.abs(per_share),
            per_share=per_share,
            half_rate=rate / 2,
            hold=accel * np.abs(per_rate),
            lean=direction * per_rate,
            cap_alone=block.cap.copy(),
            average=block.square,
            path_accel=limits.path_accel,
            **known,
        )

    def take_in(self) -> Floats:
        """Average the speeds of the last pass with earlier ones. What acceleration each segment then has."""
        self.average = (self.average + self.square) / 2
        acceleration: Floats = np.diff(self.average) / (2 * self.length)
        return acceleration

    def adapt(self, along: Floats) -> None:
        """Set limits and caps for the next pass, from the accelerations (n + 2) of the segments around."""
        pull = self.half_rate * self.average
        pull = (pull[:, :-1] + pull[:, 1:]) * self.per_share
        least = _LEAST_ACCEL * self.accel
        self.gain = np.minimum(np.maximum((self.push - pull).min(axis=0), least), self.path_accel)
        self.loss = np.minimum(np.maximum((self.push + pull).min(axis=0), least), self.path_accel)
        spent = np.maximum(self.lean * along[:-1], self.lean * along[1:])
        self.cap = np.maximum(self.cap_alone, np.minimum((self.hold - spent).min(axis=0), self.ceiling))
