"""The shop: its machine, how it changes tools and holds board, its cutters and its boards.

A `Shop` is the shop file, read. Lengths mm, speeds mm/s, accelerations mm/s2, times as the field says.
"""

import math
from typing import Annotated, Literal

from pydantic import (
    Field,
    GetCoreSchemaHandler,
    GetPydanticSchema,
    StrictBool,
    StrictInt,
    StrictStr,
    ValidationInfo,
    model_validator,
)
from pydantic_core import CoreSchema
from pydantic_core.core_schema import with_info_after_validator_function

from signplan.job.fields import Count, Feed, Gap, Name, NotNegative, Point, Positive, Size, Table
from signplan.units import POUNDS_PER_FT3_TO_KG_PER_M3, Units, parse_length

OVER_HEAD = 2.0
"""A cutter that passes this far above board or the head of a screw is clear of it, mm; common practice."""

Shape = Literal["flat", "ball", "vee", "round-over", "ogee", "drill"]


class Machine(Table):
    """The router. `corner_tolerance`: how far it may leave a corner to keep moving; `jerk` 0: not stated."""

    name: Name
    bed: tuple[Size, Size]
    travel_z: Size
    feed_max: Feed
    rapid: tuple[Feed, Feed, Feed]
    accel: tuple[Size, Size, Size]
    corner_tolerance: Gap = 0.05
    exact_stop: StrictBool = False
    jerk: Gap = 0.0
    rpm: tuple[Positive, Positive]
    spindle_kw: Positive
    clearance_z: Size
    repeatability: Gap = 0.05
    spin_up_seconds: NotNegative = 5.0
    noise_dba: Positive | None = None

    @model_validator(mode="after")
    def _speeds_in_order(self) -> "Machine":
        if self.rpm[0] > self.rpm[1]:
            raise ValueError("'rpm' is [slowest, fastest], the smaller first")
        return self


class ToolChange(Table):
    """What it costs to put another tool into the spindle, and into the magazine."""

    kind: Literal["automatic", "by hand"]
    slots: Annotated[StrictInt, Field(ge=1)] = 1
    seconds: Positive | None = None
    minutes: Positive | None = None
    reload_minutes: Positive = 4.0

    @property
    def each_s(self) -> float:
        """Seconds for one change: stated, or 15 s by a changer and 6 min by hand (common practice)."""
        return self.by_changer_s if self.kind == "automatic" else self.by_hand_s

    @property
    def by_changer_s(self) -> float:
        """Seconds for one change by a changer: stated, or 15 s (common practice)."""
        stated = self.seconds if self.kind == "automatic" else None
        return stated if stated is not None else self._stated_minutes_s("automatic", 15.0)

    @property
    def by_hand_s(self) -> float:
        """Seconds for one change by hand: stated, or 6 min (common practice: five to seven)."""
        stated = self.seconds if self.kind == "by hand" else None
        return stated if stated is not None else self._stated_minutes_s("by hand", 360.0)

    def _stated_minutes_s(self, kind: str, usual: float) -> float:
        return self.minutes * 60 if self.minutes is not None and self.kind == kind else usual


class Holding(Table):
    """How board is held down and how long handling takes.

    `blank_error`: how far the size of a sawn blank may be out; it counts where blanks are turned against edge
    stops (1/32 in, common practice).
    """

    kind: Literal["vacuum", "screws", "both"]
    inches_of_mercury: Positive = 10.0
    friction: Positive = 0.3
    screws: tuple[Point, ...] = ()
    screw_head: Gap = 3.0
    spoilboard_error: Gap = 0.1
    blank_error: Gap = 0.8
    locate_minutes: NotNegative = 2.0
    turn_minutes: NotNegative = 5.0
    clean_minutes: NotNegative = 2.0


class IndexPins(Table):
    """The pins that locate a blank after a turn, and how they fit."""

    diameter: Size = 9.525
    clearance: Gap = 0.1
    depth_in_spoilboard: Size = 9.525


class Tool(Table):
    """One cutter. `angle`: included angle of vee or drill point, degrees; `radius`: of the curve of a
    round-over, or of both of an ogee; `rise`: how high an ogee is."""

    number: Count
    id: Name
    shape: Shape
    diameter: Size
    flutes: Annotated[StrictInt, Field(ge=1)]
    cutting_length: Size
    reach: Size
    angle: Annotated[float, Field(strict=True, gt=0, lt=180)] | None = None
    tip: Gap = 0.0
    radius: Size | None = None
    rise: Size | None = None
    plunges: StrictBool = True

    @model_validator(mode="after")
    def _shape_is_complete(self) -> "Tool":
        if self.shape == "vee" and self.angle is None:
            raise ValueError("a vee cutter needs its included 'angle' in degrees")
        if self.shape == "round-over" and self.radius is None:
            raise ValueError("a round-over cutter needs its 'radius'")
        if self.shape == "ogee":
            self._has_two_arcs()
        if self.tip >= self.diameter:
            raise ValueError("'tip' must be smaller than 'diameter'")
        return self

    def _has_two_arcs(self) -> None:
        if self.radius is None or self.rise is None:
            raise ValueError("an ogee cutter needs the 'radius' of its curves and its 'rise'")
        if self.rise > 2 * self.radius:
            raise ValueError("the 'rise' of an ogee is no more than twice its 'radius'")
        if self.run >= self.diameter / 2:
            raise ValueError(
                f"an ogee of this 'radius' and 'rise' is {2 * self.run:.2f} mm in 'diameter' or more"
            )

    @property
    def run(self) -> float:
        """How far an ogee reaches sideways, mm: two equal arcs, R = (run2 + rise2) / (4 rise). Geometry."""
        radius, rise = self.radius or 0.0, self.rise or 0.0
        return math.sqrt(max(0.0, rise * (4 * radius - rise)))

    @property
    def usable_depth(self) -> float:
        """How deep it may go, mm: neither its holder in the board nor its shank against the wall."""
        return min(self.reach, self.cutting_length)

    @property
    def half_angle(self) -> float:
        """Half the included angle, radians; a drill without one has a 118 degree point."""
        return math.radians((self.angle or 118.0) / 2)


Range = tuple[Size, Size]
ChipLoads = tuple[tuple[float, tuple[float, float]], ...]


def _by_diameter(loads: dict[str, tuple[float, float]], info: ValidationInfo) -> ChipLoads:
    units: Units = (info.context or {}).get("units", "mm")
    if not loads:
        raise ValueError('give one diameter or more, such as { "1/4" = [0.008, 0.020] }')
    if any(most < least for least, most in loads.values()):
        raise ValueError("each diameter has [least, most], the smaller first")
    by_diameter = tuple(sorted((parse_length(diameter, units), load) for diameter, load in loads.items()))
    if any(diameter <= 0 for diameter, _ in by_diameter):
        raise ValueError("a cutter's diameter is more than 0")
    return by_diameter


def _chip_load_schema(_source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
    """In the file a table of diameter = [least, most]; in the program pairs in order of diameter."""
    return with_info_after_validator_function(_by_diameter, handler.generate_schema(dict[str, Range]))


class Board(Table):
    """A board that the shop buys. `chip_load` holds (cutter diameter, (least, most)), mm, by diameter."""

    id: Name
    density_lb_ft3: Positive | None = None
    density_kg_m3: Positive | None = None
    sheet: tuple[Size, Size]
    thicknesses: Annotated[tuple[Size, ...], Field(min_length=1)]
    chip_load: Annotated[ChipLoads, GetPydanticSchema(_chip_load_schema)]
    cutting_force_n_mm2: Positive = 20.0
    thickness_error: Gap = 0.8
    sheet_prices: tuple[NotNegative, ...] = ()

    @model_validator(mode="after")
    def _a_price_for_each(self) -> "Board":
        if self.sheet_prices and len(self.sheet_prices) != len(self.thicknesses):
            raise ValueError("'sheet_prices' has one price for each of 'thicknesses', in their order")
        return self

    @model_validator(mode="after")
    def _one_density(self) -> "Board":
        if (self.density_lb_ft3 is None) == (self.density_kg_m3 is None):
            raise ValueError("give one of 'density_lb_ft3' and 'density_kg_m3'")
        return self

    @property
    def density(self) -> float:
        """kg per cubic metre."""
        if self.density_kg_m3 is not None:
            return self.density_kg_m3
        return (self.density_lb_ft3 or 0.0) * POUNDS_PER_FT3_TO_KG_PER_M3


class MachineCost(Table):
    """What an hour of the machine costs, worked out: all sums for a year but the price."""

    price: NotNegative
    life_years: Positive
    upkeep: NotNegative = 0.0
    power: NotNegative = 0.0
    space: NotNegative = 0.0
    hours: Positive


class Rates(Table):
    """What work and goods cost the shop, in its own currency; what is not stated stays open in a quote."""

    currency: StrictStr = ""
    machine_hour: NotNegative | None = None
    machine: MachineCost | None = None
    labour_hour: NotNegative | None = None
    attendance: Annotated[float, Field(strict=True, ge=0, le=1)] = 1.0
    steel_kg: NotNegative | None = None
    glue_kg: NotNegative | None = None
    consumables: NotNegative = 0.0
    changer_price: NotNegative | None = None
    changer_seconds: Positive = 15.0
    jobs_a_year: Positive | None = None

    @model_validator(mode="after")
    def _one_machine_rate(self) -> "Rates":
        if self.machine_hour is not None and self.machine is not None:
            raise ValueError("give 'machine_hour', or 'machine' to have it worked out, not both")
        return self


class Shop(Table):
    """A whole shop file."""

    units: Units
    name: StrictStr = ""
    machine: Machine
    tool_change: ToolChange
    holding: Holding
    index_pins: IndexPins = IndexPins()
    rates: Rates = Rates()
    tools: tuple[Tool, ...] = Field(alias="tool", min_length=1)
    boards: tuple[Board, ...] = Field(alias="board", min_length=1)

    def tool(self, tool_id: str) -> Tool | None:
        """The tool of that id, or None."""
        return next((tool for tool in self.tools if tool.id == tool_id), None)

    def board(self, board_id: str) -> Board | None:
        """The board of that id, or None."""
        return next((board for board in self.boards if board.id == board_id), None)
