"""Setups: which panels lie on which blank, which face is up, and where.

A layout is one way through the machine: blanks "one" or "two", turn "side" or "end", outline cut from the
"outer" or the "inner" face. Each blank is set up twice: the face that is not cut out first, then turned.
"""

from dataclasses import dataclass
from typing import Literal

from signplan.sign.model import IndexPin
from signplan.sign.register import Face, Panel, Placement, Turn


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """How the two panels go over the machine."""

    blanks: Literal["one", "two"]
    turn: Turn
    cutout: Face


@dataclass(frozen=True, kw_only=True, slots=True)
class Setup:
    """One placing of a blank, one face up.

    Attributes:
        id: such as `AB-inner` (both panels on one blank) or `B-outer`.
        blank: (X, Y, thickness), mm.
        placements: from assembly (x, y) to this setup's (X, Y), by panel.
        turn: how the blank was turned to get here from the setup before it; "" for a blank's first setup.
        cuts_out: whether the panels are cut free in this setup.
    """

    id: str
    face: Face
    panels: tuple[Panel, ...]
    blank: tuple[float, float, float]
    placements: tuple[tuple[Panel, Placement], ...]
    pins: tuple[IndexPin, ...]
    turn: Turn | Literal[""]
    cuts_out: bool

    def placement(self, panel: Panel) -> Placement:
        """Where that panel lies; it must be in this setup."""
        return dict(self.placements)[panel]
