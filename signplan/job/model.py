"""The job: what the shop was asked to make, as its job file says it. Lengths mm, angles degrees.

Field names are the keys of the file, but for `from` and `as`, which Python keeps for itself: here `start`
and `treatment`.
"""

from typing import Annotated, Literal

from pydantic import Field, StrictBool, StrictStr, model_validator

from signplan.job.fields import Count, Gap, Mm, Name, NotNegative, Number, Point, Positive, Size, Table, Words
from signplan.units import Units

Side = Literal["A", "B"]
Treatment = Literal["raise", "lower", "incise", "line", "relief", "edge", "bore"]


class Art(Table):
    """A layer of a drawing. `units` is for one that states none; `gap` the widest gap that may be bridged."""

    file: Name
    layer: Name
    units: Literal["mm", "cm", "m", "in", "ft"] | None = None
    gap: Gap = 0.0


class JobHead(Table):
    """Whose job it is and what its bare numbers mean."""

    number: Name
    title: Name
    units: Units
    revision: Name = "A"
    shop: StrictStr | None = None
    art_outside_folder: StrictBool = False


class SignSpec(Table):
    """The article: board, outline and the least material to leave."""

    board: Name
    panel: Size
    outline: Art
    outline_b: Art | None = None
    border: Size
    web: Size
    wall: Size


class Carve(Table):
    """One treatment of one layer of artwork on one face, or the same on both."""

    side: Literal["A", "B", "both"]
    treatment: Treatment = Field(alias="as")
    art: Art | None = None
    depth: Size | None = None
    tools: tuple[Name, ...] = ()
    within: Art | None = None
    image: StrictStr | None = None

    @model_validator(mode="after")
    def _complete(self) -> "Carve":
        if self.treatment != "edge" and self.art is None:
            raise ValueError(f"'{self.treatment}' needs 'art', the layer that it is cut from")
        if self.treatment not in ("edge", "incise") and self.depth is None:
            raise ValueError(f"'{self.treatment}' needs a 'depth'")
        if (self.treatment == "relief") != (self.image is not None):
            raise ValueError("'image' belongs to a relief, and a relief needs one")
        if self.within is not None and self.treatment != "raise":
            raise ValueError("'within' is the ground round raised artwork; it belongs to as = \"raise\"")
        return self


class _Part(Table):
    """What every part of a hardware item may say. `z` is the height of its middle; None: the glue plane."""

    z: Mm | None = None
    view: Side = "A"
    stock: StrictStr | None = None


class _OnAxis(_Part):
    """A part on an axis: `from` and `to`, or a line of a drawing, or a place and a direction."""

    start: Point | None = Field(default=None, alias="from")
    to: Point | None = None
    axis: Art | None = None
    at: Point | None = None
    along: tuple[Number, Number] | None = None
    thickness: Size | None = None

    @model_validator(mode="after")
    def _one_axis(self) -> "_OnAxis":
        given = [
            self.start is not None and self.to is not None,
            self.axis is not None,
            self.at is not None and self.along is not None,
        ]
        if sum(given) != 1:
            raise ValueError("give its axis once: 'from' and 'to', or 'axis', or 'at' and 'along'")
        if self.start is not None and self.start == self.to:
            raise ValueError("'from' and 'to' are the same place; the part would have no length")
        if self.along is not None and self.along == (0, 0):
            raise ValueError("'along' is a direction; (0, 0) has none")
        return self


class RoundPart(_OnAxis):
    """A cylinder: rod, pipe, washer, pin."""

    shape: Literal["round"]
    diameter: Size | None = None


class HexPart(_OnAxis):
    """A nut or a bolt head. `faces` says which way it is turned: flats or corners toward the outer faces."""

    shape: Literal["hex"]
    across_flats: Size | None = None
    faces: Literal["flats", "corners"] = "flats"


class TubePart(_OnAxis):
    """A square or rectangular tube; `size` is its width in the plane of the sign and its depth through it."""

    shape: Literal["tube"]
    size: tuple[Size, Size] | None = None
    corner_radius: Gap | None = None


class FlatPart(_Part):
    """A plate parallel to the faces: a rectangle, or closed outlines of a drawing."""

    shape: Literal["flat"]
    size: tuple[Size, Size] | None = None
    center: Point | None = None
    angle: Number = 0.0
    art: Art | None = None
    thickness: Size | None = None

    @model_validator(mode="after")
    def _one_outline(self) -> "FlatPart":
        drawn = self.art is not None
        if drawn == (self.center is not None) or (drawn and self.size is not None):
            raise ValueError("give its outline once: 'size' (or 'stock') and 'center', or 'art'")
        return self


Part = Annotated[RoundPart | HexPart | TubePart | FlatPart, Field(discriminator="shape")]


class Hardware(Table):
    """One rigid item of steel. `depth_clearance` is the room at each pocket floor; None: as `clearance`.

    `laid_with` names an item that it is put together with before both are laid in. `bottom` is that of the
    pockets of its rods.
    """

    name: Name
    clearance: Gap
    depth_clearance: Gap | None = None
    split: Literal["both", "A", "B"] = "both"
    held_by: Words = ""
    laid_with: Words = ""
    bottom: Literal["flat", "round"] = "flat"
    price: NotNegative | None = None
    parts: tuple[Part, ...] = Field(alias="part", min_length=1)


class Dowels(Table):
    """Pegs that register panel A to panel B; placed by the planner unless `at` says where."""

    diameter: Size
    depth: Size
    count: Count = 4
    at: tuple[Point, ...] = ()
    clearance: Gap = 0.05


class Work(Table):
    """How the job goes over the machine. `vents`: how wide a groove may be that lets glue and air out."""

    blanks: Literal["auto", "one", "two"] = "auto"
    turn: Literal["side", "end", "auto"] = "side"
    cutout: Literal["outer", "inner", "auto"] = "outer"
    locate: Literal["index pins", "edge stops"] = "index pins"
    hold_parts_by: Literal["tabs", "skin"] = "tabs"
    seam_step: Size | None = None
    vents: Size | None = None
    start: StrictStr | None = None
    until: StrictStr | None = None


class Hanging(Table):
    """What the sign hangs from. `points` are found where steel leaves the top, unless they are stated.

    `leg_angle`: of the chains or rods above them, degrees from the horizontal. `arm`: from the wall to the
    sign's middle, `bolts`: the height between the bolts of its bracket.
    """

    points: Annotated[tuple[Point, ...], Field(max_length=2)] = ()
    leg_angle: Annotated[float, Field(strict=True, gt=0, le=90)] = 90.0
    breaking_lb: Positive | None = None
    breaking_kg: Positive | None = None
    design_factor: Annotated[float, Field(strict=True, ge=1)] = 5.0
    arm: Size | None = None
    bolts: Size | None = None

    @model_validator(mode="after")
    def _one_load(self) -> "Hanging":
        if self.breaking_lb is not None and self.breaking_kg is not None:
            raise ValueError("give one of 'breaking_lb' and 'breaking_kg'")
        return self


class Wind(Table):
    """The wind of the place, for a reminder. `height`: of the sign's top over the ground."""

    edition: Literal["ASCE 7-10", "ASCE 7-16", "ASCE 7-22"]
    speed_mph: Positive | None = None
    speed_m_s: Positive | None = None
    exposure: Literal["B", "C", "D"]
    height: Size
    mounted: Literal["free", "wall"] = "free"
    topography: Positive = 1.0
    directionality: Positive = 0.85
    gust: Positive = 0.85
    force_coefficient: Positive | None = None
    least_psf: NotNegative = 16.0

    @model_validator(mode="after")
    def _one_speed(self) -> "Wind":
        if (self.speed_mph is None) == (self.speed_m_s is None):
            raise ValueError("give one of 'speed_mph' and 'speed_m_s'")
        return self


class Quote(Table):
    """What a quote counts beside board, machine and steel; sums in the shop's currency."""

    hours: NotNegative = 0.0
    bought_in: NotNegative = 0.0
    markup_percent: NotNegative = 0.0


class Job(Table):
    """A whole job file."""

    job: JobHead
    sign: SignSpec
    carve: tuple[Carve, ...] = ()
    hardware: tuple[Hardware, ...] = ()
    dowels: Dowels | None = None
    work: Work = Work()
    hanging: Hanging = Hanging()
    wind: Wind | None = None
    quote: Quote = Quote()
