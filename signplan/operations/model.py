"""Operations: one tool doing one job on one face; the unit of order and of time.

Geometry is in the *view* of the operation's face (see `signplan.sign.register`): what a person looking at
that face sees, the sign's box with its lower left corner at the origin. Depths are positive down from the
face. Index holes belong to the blank and are placed by the setup.
"""

from dataclasses import dataclass
from typing import Literal

from shapely import LineString, MultiPolygon, Polygon

from signplan.geometry.shapes import EMPTY
from signplan.sign.model import HeightMap
from signplan.sign.register import Face, Panel

Kind = Literal[
    "index",  # holes for the index pins
    "rough",  # clear a region with the cutter that does most of it
    "rest",  # clear what a larger cutter left
    "finish",  # walls to size, one pass
    "channel",  # ball-nosed cutter along the axis of a rod
    "incise",  # vee cutter along the medial axis
    "line",  # along a centre line
    "relief-rough",
    "relief-finish",
    "edge",  # form cutter round the outline
    "bore",  # holes of the artwork
    "vent",  # grooves that let glue and air out of closed recesses
    "dowel",  # blind holes for the lamination dowels
    "cutout",  # the outline, through
]


@dataclass(frozen=True, kw_only=True, slots=True)
class Clearing:
    """`region` cleared from `top` to `floor`. It stays inside `within`: its wall, or past an open side."""

    region: MultiPolygon
    within: MultiPolygon
    top: float
    floor: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Walls:
    """One pass along the walls of `region`, full depth; `open_at` is where it has no wall (mouths, waste)."""

    region: MultiPolygon
    open_at: MultiPolygon
    top: float
    floor: float
    relief: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Grooving:
    """Vee grooves of `region`, as deep as its width asks for but not below `cap`.

    Where it would go deeper the bottom is flat; `cleared` is what of that another cutter has done.
    """

    region: MultiPolygon
    top: float
    cap: float
    cleared: MultiPolygon = EMPTY


@dataclass(frozen=True, kw_only=True, slots=True)
class Following:
    """The centre lines, at `depth`."""

    lines: tuple[LineString, ...]
    top: float
    depth: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Channelling:
    """A ball-nosed cutter of `radius` along the lines, its tip at `depth`; `region` is what it opens."""

    lines: tuple[LineString, ...]
    region: MultiPolygon
    radius: float
    depth: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Drilling:
    """Round holes at the points; a smaller flat cutter bores them as a helix."""

    points: tuple[tuple[float, float], ...]
    diameter: float
    top: float
    depth: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Sculpting:
    """A height map inside `region`, from the face down to `depth`; roughing leaves `allowance`."""

    region: MultiPolygon
    heights: HeightMap
    depth: float
    allowance: float


@dataclass(frozen=True, kw_only=True, slots=True)
class Rounding:
    """A form cutter round the outline, its tip at `depth`; `top` is the ground that it stands on."""

    outline: Polygon
    depth: float
    top: float = 0.0


@dataclass(frozen=True, kw_only=True, slots=True)
class CuttingOut:
    """Round the outside of the outline, through board `depth` thick.

    What holds the panel afterwards is `left` thick, measured from the bottom of the board: `tabs` of that
    thickness, or with no tabs a skin.
    """

    outline: Polygon
    depth: float
    left: float
    tabs: int
    tab_width: float


Work = Clearing | Walls | Grooving | Following | Channelling | Drilling | Sculpting | Rounding | CuttingOut


@dataclass(frozen=True, kw_only=True, slots=True)
class Operation:
    """One tool doing one job on one face.

    Attributes:
        id: such as `A/inner/left-hanger-1/rough`; the same in every layout.
        panel: "A" or "B"; "" for the blank's own index holes.
        feature: what it makes: the id of a pocket or carving, `dowels`, `index`, `outline`.
        treatment: of artwork; None otherwise.
        depth: deepest cut below the face.
        stage: its place among the cutters of its feature, 0 first: each works on what the last one left.
    """

    id: str
    panel: Panel | Literal[""]
    face: Face
    kind: Kind
    feature: str
    treatment: str | None
    tool: str
    work: Work
    depth: float
    stage: int = 0


@dataclass(frozen=True, kw_only=True, slots=True)
class Need:
    """Why another operation comes first, in words that a person can read."""

    operation: str
    reason: str
