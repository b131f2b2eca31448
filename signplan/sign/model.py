"""The sign: two panels, the steel between them, and everything that is cut into them.

All positions are in the assembly frame (see `signplan.sign.register`), lengths mm. What a panel carries is
said as seen in that frame whichever face it is cut from; only setups know how a face lies on the table.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, MultiPolygon, Polygon

from signplan.geometry.precision import SAME
from signplan.geometry.shapes import EMPTY, grow
from signplan.job.shop import Tool
from signplan.sign.register import Panel

Split = Literal["both", "A", "B"]
Bottom = Literal["flat", "round"]
Profile = Literal["round", "hex-flats", "hex-corners", "tube"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Bar:
    """A part with a straight axis in the plane: rod, pipe, nut, washer, tube.

    Its section at a height is a rectangle along the axis. `profile` says what it looks like end on:
    "round" (width = height), "hex-flats" and "hex-corners" (flats, or corners, toward the outer faces),
    or "tube" with `corner_radius`. `width` is its size in the plane, `height` through the sign. `wall` is the
    wall of a hollow one, for its weight; 0 if solid.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    z: float
    profile: Profile
    width: float
    height: float
    corner_radius: float = 0.0
    wall: float = 0.0

    @property
    def metal(self) -> float:
        """Area of steel in its section across the axis, mm2; corner radii of a tube left out."""

        def full(width: float, height: float) -> float:
            match self.profile:
                case "round":
                    return math.pi / 4 * width * height
                case "tube":
                    return width * height
            return min(width, height) ** 2 * math.sqrt(3) / 2

        inside = (self.width - 2 * self.wall, self.height - 2 * self.wall)
        return full(self.width, self.height) - (full(*inside) if self.wall else 0.0)

    @property
    def span(self) -> tuple[float, float]:
        """Lowest and highest z."""
        return self.z - self.height / 2, self.z + self.height / 2

    def half_width(self, z: float) -> float:
        """Half its width at height z, mm; negative where it does not reach."""
        off = abs(z - self.z)
        if off > self.height / 2:
            return -1.0
        match self.profile:
            case "round":
                return math.sqrt(max(0.0, (self.height / 2) ** 2 - off**2))
            case "hex-flats":
                return self.width / 2 - off * math.tan(math.radians(30))
            case "hex-corners":
                return min(self.width / 2, (self.height / 2 - off) * math.tan(math.radians(60)))
        past = off - (self.height / 2 - self.corner_radius)
        if past <= 0:
            return self.width / 2
        return self.width / 2 - self.corner_radius + math.sqrt(max(0.0, self.corner_radius**2 - past**2))

    def section(self, z: float) -> Polygon:
        """Its shape at height z; empty where it does not reach."""
        half = self.half_width(z)
        if half <= 0:
            return Polygon()
        return LineString([self.start, self.end]).buffer(half, cap_style="flat")


@dataclass(frozen=True, kw_only=True, slots=True)
class Plate:
    """A part of constant shape through its thickness: flat bar, welded plate. `middle` is its mid height."""

    outline: MultiPolygon
    z: float
    thickness: float

    @property
    def span(self) -> tuple[float, float]:
        """Lowest and highest z."""
        return self.z - self.thickness / 2, self.z + self.thickness / 2

    def section(self, z: float) -> MultiPolygon:
        """Its shape at height z; empty where it does not reach."""
        low, high = self.span
        return self.outline if low <= z <= high else EMPTY


Solid = Bar | Plate


@dataclass(frozen=True, kw_only=True, slots=True)
class Item:
    """One rigid piece of hardware. `key` is its place in the job file, such as `hardware[0]`.

    `laid_with` is the name of an item that it is put together with before both are laid in; `bottom` is what
    its rods lie in, a flat-bottomed pocket or a channel.
    """

    name: str
    key: str
    parts: tuple[Solid, ...]
    clearance: float
    depth_clearance: float
    split: Split
    held_by: str = ""
    laid_with: str = ""
    bottom: Bottom = "flat"
    stock: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Channel:
    """What a ball of `radius` sweeps whose middle follows the lines, its tip `depth` below the glue plane."""

    lines: tuple[LineString, ...]
    radius: float
    depth: float

    @property
    def middle(self) -> float:
        """Depth of the middle of the ball; negative where it runs above the glue plane."""
        return self.depth - self.radius

    def half_width(self, depth: float) -> float:
        """Half its width at a depth, mm; 0 at its tip and below."""
        below = max(0.0, depth - self.middle)
        return math.sqrt(max(0.0, self.radius**2 - below**2))

    def open_at(self, depth: float) -> MultiPolygon:
        """What of the plane it opens at a depth: curves are chords inside it."""
        half = self.half_width(depth)
        return grow(MultiLineString(self.lines), half) if half > 0 else EMPTY

    def depths(self, start: float = 0.0, end: float = 1.0, *, steps: int) -> tuple[float, ...]:
        """Depths at even angles of its round wall from `start` to `end`; 0 is its top, 1 its tip."""
        top = math.asin(max(0.0, -self.middle) / self.radius)
        angles = (top + (math.pi / 2 - top) * (start + (end - start) * k / steps) for k in range(steps + 1))
        return tuple(self.middle + self.radius * math.sin(angle) for angle in angles)


@dataclass(frozen=True, kw_only=True, slots=True)
class Pocket:
    """One level of a recess in an inner face, open from the glue plane.

    A stepped recess is several pockets of one item, the deeper inside the shallower; each is cut from
    `above`, the floor of the next shallower one (0 for the first), to `depth`. `drawn` is what was asked
    for, corner relief apart; `as_cut` is what the cutter really leaves, relief included. Of a round-bottomed
    one, which has a `channel`, both are its opening in the glue plane, and `depth` is that of its tip.
    """

    id: str
    hardware: str
    panel: Panel
    depth: float
    above: float
    drawn: MultiPolygon
    as_cut: MultiPolygon
    tool: str
    mouth: bool
    relief: tuple[tuple[float, float], ...] = ()
    channel: Channel | None = None

    def open_at(self, depth: float) -> MultiPolygon:
        """What of the plane it opens just below a depth."""
        if depth >= self.depth - SAME:
            return EMPTY
        return self.channel.open_at(depth) if self.channel else self.as_cut


@dataclass(frozen=True, kw_only=True, slots=True)
class Dowel:
    """A blind hole at the same assembly position in both inner faces; `clearance` is hole over dowel."""

    x: float
    y: float
    diameter: float
    depth: float
    clearance: float = 0.05


@dataclass(frozen=True, kw_only=True, slots=True)
class Vent:
    """A groove in an inner face by which glue and air leave a closed recess; `line` runs from there outward.

    It is `width` wide and `depth` deep, with a flat floor; `tool` is "" if the shop has no cutter for it.
    """

    panel: Panel
    recess: str
    line: LineString
    width: float
    depth: float
    tool: str

    @property
    def shape(self) -> Polygon:
        """What of the inner face it opens."""
        return self.line.buffer(self.width / 2)


@dataclass(frozen=True, kw_only=True, slots=True)
class Terrace:
    """A flat step of a carving: outside `shape` no cut is below the step above, inside none is below `depth`.

    So a carving told as terraces is never smaller than the carving itself.
    """

    shape: MultiPolygon
    depth: float


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class HeightMap:
    """Heights of a relief, (rows, columns): 0 at full depth, 1 at the face; row 0 is the top as read.

    `box` is where it lies, (x0, y0, x1, y1); `mirrored` if its columns run against x (side B).
    """

    values: NDArray[np.float64]
    box: tuple[float, float, float, float]
    mirrored: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Carving:
    """One treatment on one outer face.

    Attributes:
        id: such as `A/raise-1`.
        key: its place in the job file, such as `carve[2]`.
        shape: the area that is cut (raise: the ground without the letters; bore: the holes).
        lines: the centre lines of a `line`; the rings that an `edge` follows.
        depth: deepest cut below the face, or below the lowered ground that it stands on.
        ground: depth of that ground below the face; 0 on the face itself.
        keep: raise: the letters that stay; empty otherwise.
        relief: relief only: the heights.
        tools: the tools to use, roughing first; incise and edge: exactly one.
        sources: drawing handles or ids that it came from.
        cutter: incise, line and edge: the cutter whose form shapes it; None if the shop has none.
    """

    id: str
    key: str
    side: Panel
    treatment: Literal["raise", "lower", "incise", "line", "relief", "edge", "bore"]
    shape: MultiPolygon
    depth: float
    ground: float = 0.0
    lines: tuple[LineString, ...] = ()
    keep: MultiPolygon = EMPTY
    relief: HeightMap | None = None
    tools: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    cutter: Tool | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class PanelPlan:
    """One panel: its own outline (of B: from outline_b if the job has one) and what is cut into it."""

    id: Panel
    outline: Polygon
    pockets: tuple[Pocket, ...] = ()
    dowels: tuple[Dowel, ...] = ()
    vents: tuple[Vent, ...] = ()
    carvings: tuple[Carving, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Sign:
    """The whole article; `width` and `height` are the box of the outline, `thickness` is one panel's."""

    outline: Polygon
    thickness: float
    panels: tuple[PanelPlan, PanelPlan]
    items: tuple[Item, ...] = ()
    web: float = 0.0
    wall: float = 0.0
    border: float = 0.0

    @property
    def width(self) -> float:
        """Width of the outline's box."""
        return self.outline.bounds[2] - self.outline.bounds[0]

    @property
    def height(self) -> float:
        """Height of the outline's box."""
        return self.outline.bounds[3] - self.outline.bounds[1]

    def panel(self, panel: Panel) -> PanelPlan:
        """Panel A or B."""
        return self.panels[0] if panel == "A" else self.panels[1]


@dataclass(frozen=True, kw_only=True, slots=True)
class IndexPin:
    """A pin on the turning axis, in a setup frame; every setup of a blank has the same ones."""

    x: float
    y: float
    diameter: float
