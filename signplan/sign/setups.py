"""Setups: which panels lie on which blank, which face is up, and where.

A layout is one way through the machine: blanks "one" or "two", turn "side" or "end", outline cut from the
"outer" or the "inner" face, blanks located by "index pins" or "edge stops". Each blank is set up twice: the
face that is not cut out first, then turned over.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from shapely.geometry.base import BaseGeometry

from signplan.findings import Finding, Severity
from signplan.geometry.shapes import union
from signplan.job.shop import IndexPins
from signplan.sign.dowels import PIN_CLEAR, place_pins
from signplan.sign.model import IndexPin, Sign
from signplan.sign.register import PANELS, Face, Panel, Placement, Turn, on_table, turned, view
from signplan.units import Units, decimal

Blanks = Literal["one", "two"]
Locating = Literal["index pins", "edge stops"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Layout:
    """How the two panels go over the machine."""

    blanks: Blanks
    turn: Turn
    cutout: Face
    locate: Locating = "index pins"

    @property
    def faces(self) -> tuple[Face, Face]:
        """Both faces in working order: the one that is cut out last."""
        return ("inner", "outer") if self.cutout == "outer" else ("outer", "inner")


@dataclass(frozen=True, kw_only=True, slots=True)
class Setup:
    """One placing of a blank, one face up.

    Attributes:
        id: such as `AB-inner` (both panels on one blank) or `B-outer`.
        blank: (X, Y, thickness), mm.
        placements: from assembly (x, y) to this setup's (X, Y), by panel.
        locate: what locates the blank after it is turned.
        pins: the index pins; the same in both setups of a blank, none if edge stops locate it.
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
    locate: Locating = "index pins"

    def placement(self, panel: Panel) -> Placement:
        """Where that panel lies; it must be in this setup."""
        return dict(self.placements)[panel]

    def from_view(self, panel: Panel, width: float) -> Placement:
        """From the view of this setup's face of a panel to the table: a motion, it never mirrors."""
        return view(panel, self.face, width).inverse().then(self.placement(panel))

    @property
    def blank_id(self) -> str:
        """The blank, named by its panels: `AB`, `A` or `B`."""
        return "".join(self.panels)


def lay_out(
    sign: Sign,
    layout: Layout,
    *,
    bed: tuple[float, float],
    pins: IndexPins,
    cutter: float = 12.7,
    units: Units = "mm",
) -> tuple[tuple[Setup, ...], tuple[Finding, ...]]:
    """The setups of a layout, each blank's two in working order, and what is wrong with their pins.

    Two panels on one blank lie side by side, or one above the other where only that fits the bed, (X, Y) mm.
    The pins stay clear of everything that is cut, the outline by a cutter of that diameter. `units` are those
    that findings speak in.
    """
    path = cutter + PIN_CLEAR

    def laid(each: Layout) -> tuple[Setup, ...]:
        return tuple(_setups(sign, each, bed=bed, pins=pins, path=path))

    setups = laid(layout)
    bare = [setup for setup in setups if setup.turn and lacks_pins(setup)]
    does = (keys for keys, other in _others(layout) if bare and not why_refused(laid(other), bed))
    instead = next(does, "")
    return setups, tuple(_no_room(setup, pins, path=path, instead=instead, units=units) for setup in bare)


def why_refused(setups: Sequence[Setup], bed: tuple[float, float]) -> str:
    """Why a layout of these setups cannot be used on a bed of (X, Y) mm; "" if it can."""
    pinless = "no room for two index pins" if any(lacks_pins(setup) for setup in setups) else ""
    return too_large(setups, bed) or pinless


def lacks_pins(setup: Setup) -> bool:
    """Whether index pins locate the blank and there is no room for them."""
    return setup.locate == "index pins" and not setup.pins


def too_large(setups: Sequence[Setup], bed: tuple[float, float]) -> str:
    """Which blank does not lie on the bed, (X, Y) mm; empty if all do."""
    large = [setup.blank_id for setup in setups if setup.blank[0] > bed[0] or setup.blank[1] > bed[1]]
    return f"blank {large[0]} is larger than the bed" if large else ""


def _setups(
    sign: Sign, layout: Layout, *, bed: tuple[float, float], pins: IndexPins, path: float
) -> Iterator[Setup]:
    for panels in (PANELS,) if layout.blanks == "one" else (("A",), ("B",)):
        size, corners = _blank(sign, len(panels), bed)
        places = tuple(_first_places(sign, layout, panels, corners))
        found: tuple[IndexPin, ...] = ()
        if layout.locate == "index pins":
            cut = union(place.shape(shape) for panel, place in places for shape in _cut_shapes(sign, panel))
            found = place_pins(size, layout.turn, cut, pins, path=path)
        yield from _both_faces(sign, layout, size, places, found)


def _others(layout: Layout) -> tuple[tuple[str, Layout], ...]:
    """The other layouts on index pins, the nearest first, each after what the job file says for it."""
    turn: Turn = "end" if layout.turn == "side" else "side"
    blanks: Blanks = "two" if layout.blanks == "one" else "one"
    return (
        (f'turn = "{turn}"', replace(layout, turn=turn)),
        (f'blanks = "{blanks}"', replace(layout, blanks=blanks)),
        (f'blanks = "{blanks}", turn = "{turn}"', replace(layout, blanks=blanks, turn=turn)),
    )


def _no_room(setup: Setup, pins: IndexPins, *, path: float, instead: str, units: Units) -> Finding:
    """That a blank has no room for its pins; `instead`: the choices in the job that do, if any."""
    wide, deep, _ = (decimal(size, units) for size in setup.blank)
    choices = "; or ".join(filter(None, (instead, 'locate = "edge stops"')))
    return Finding(
        code="pins-blocked",
        severity=Severity.ERROR,
        message=f"Blank {setup.blank_id}, {wide} by {deep}, has no room for two index pins of "
        f"{decimal(pins.diameter, units)} on its turning axis (turn '{setup.turn}'): "
        f"{decimal(path, units)} clear of the sign, and uneven by a pin diameter.",
        where="sign.border",
        hint=f"This would do (work): {choices}. Or widen the border.",
    )


def _cut_shapes(sign: Sign, panel: Panel) -> Iterator[BaseGeometry]:
    """What is cut of a panel, seen from above: its outline, and mouths and vents that run out past it."""
    plan = sign.panel(panel)
    yield plan.outline
    yield from (pocket.as_cut for pocket in plan.pockets if pocket.mouth)
    yield from (vent.shape for vent in plan.vents)


def _blank(
    sign: Sign, panels: int, bed: tuple[float, float]
) -> tuple[tuple[float, float], tuple[tuple[float, float], ...]]:
    """Size of the blank and where the lower left corner of each panel's box lies on it."""
    wide, high, border = sign.width, sign.height, sign.border
    across = (panels * (wide + border) + border, high + 2 * border)
    along = (wide + 2 * border, panels * (high + border) + border)
    fits = [size[0] <= bed[0] and size[1] <= bed[1] for size in (across, along)]
    if panels > 1 and fits == [False, True]:
        return along, tuple((border, border + k * (high + border)) for k in range(panels))
    return across, tuple((border + k * (wide + border), border) for k in range(panels))


def _first_places(
    sign: Sign, layout: Layout, panels: tuple[Panel, ...], corners: tuple[tuple[float, float], ...]
) -> Iterator[tuple[Panel, Placement]]:
    for panel, corner in zip(panels, corners, strict=True):
        yield panel, on_table(view(panel, layout.faces[0], sign.width), corner)


def _both_faces(
    sign: Sign,
    layout: Layout,
    size: tuple[float, float],
    places: tuple[tuple[Panel, Placement], ...],
    pins: tuple[IndexPin, ...],
) -> Iterator[Setup]:
    over = turned(size, layout.turn)
    turns: tuple[Turn | Literal[""], ...] = ("", layout.turn)
    for face, turn in zip(layout.faces, turns, strict=True):
        panels = tuple(panel for panel, _ in places)
        yield Setup(
            id=f"{''.join(panels)}-{face}",
            face=face,
            panels=panels,
            blank=(*size, sign.thickness),
            placements=tuple((panel, place.then(over) if turn else place) for panel, place in places),
            pins=pins,
            turn=turn,
            cuts_out=face == layout.cutout,
            locate=layout.locate,
        )
