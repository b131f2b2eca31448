"""One face of one panel while its operations are made: its geometry, its tools, and work of every kind of
feature that comes up on both faces."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from shapely import MultiPolygon, Polygon

from signplan.findings import Finding
from signplan.geometry.shapes import EMPTY, area_of, grow
from signplan.job.shop import Tool
from signplan.operations.cutters import Bench, fits_hole, hole_cutter, point_length
from signplan.operations.model import Clearing, Drilling, Kind, Operation, Walls, Work
from signplan.operations.practice import ALLOWANCE
from signplan.operations.room import Room, rest_of
from signplan.operations.shortfalls import Spot, no_hole_cutter, no_way_in, too_short
from signplan.sign.model import Carving, Sign
from signplan.sign.register import Face, Panel, Placement, view
from signplan.units import Units

Made = Iterator[Operation | Finding]

LAST = 99
"""The stage of a finish: after however many cutters cleared the feature."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Feature:
    """What operations are made for: a pocket, a carving, dowels. `spot` says where, in findings."""

    id: str
    spot: Spot
    treatment: str | None = None


@dataclass(kw_only=True)
class Side:
    """A face and what has been decided about it so far; `bench` remembers the tools taken up."""

    sign: Sign
    units: Units
    bench: Bench
    panel: Panel
    face: Face
    place: Placement
    outline: Polygon

    @classmethod
    def of(cls, sign: Sign, panel: Panel, face: Face, *, bench: Bench, units: Units) -> "Side":
        """The face, as a person sees who looks at it."""
        place = view(panel, face, sign.width)
        outline = place.shape(sign.panel(panel).outline)
        return cls(sign=sign, units=units, bench=bench, panel=panel, face=face, place=place, outline=outline)

    def feature(self, name: str, key: str, treatment: str | None = None) -> Feature:
        """A feature of this face; `key` is its place in the job."""
        spot = Spot(key=key, panel=self.panel, back=self.place.inverse(), units=self.units)
        return Feature(id=name, spot=spot, treatment=treatment)

    def take(self, tools: Iterable[Tool]) -> None:
        """From now on these cost no change on this face."""
        self.bench = self.bench.with_tools(tools)

    def operation(
        self, feature: Feature, kind: Kind, tool: Tool, *, work: Work, depth: float, stage: int = 0
    ) -> Operation:
        """An operation of this face."""
        name = feature.id.removeprefix(f"{self.panel}/")
        last = f"{kind}-{stage}" if kind == "rest" and stage > 1 else kind
        return Operation(
            id=f"{self.panel}/{self.face}/{name}/{last}",
            panel=self.panel,
            face=self.face,
            kind=kind,
            feature=feature.id,
            treatment=feature.treatment,
            tool=tool.id,
            work=work,
            depth=depth,
            stage=stage,
        )

    def shape_of(self, carving: Carving) -> MultiPolygon:
        """The area of a carving as this face shows it."""
        return area_of(self.place.shape(carving.shape))

    def clear(
        self,
        feature: Feature,
        room: Room,
        depth: tuple[float, float],
        *,
        tools: Sequence[Tool],
        relief: tuple[tuple[float, float], ...] = (),
    ) -> Made:
        """Rough with the first cutter, clear the rest with the others, then the walls with the last."""
        self.take(tools)
        top, floor = depth
        last = tools[-1]
        if grow(room.within(last.diameter / 2), -last.diameter / 2).is_empty:
            yield no_way_in(feature.id, last, feature.spot)
            return
        done = EMPTY
        for stage, tool in enumerate(tools):
            radius = tool.diameter / 2
            region = rest_of(room, radius, done, ALLOWANCE) if stage else room.reached(radius, ALLOWANCE)
            if region.is_empty:
                continue
            done = area_of(done.union(region))
            work = Clearing(region=region, within=room.within(radius, ALLOWANCE), top=top, floor=floor)
            kind: Kind = "rest" if stage else "rough"
            yield self.operation(feature, kind, tool, work=work, depth=floor, stage=stage)
        open_at = room.open_at(last.diameter / 2 + ALLOWANCE)
        walls = Walls(region=room.region, open_at=open_at, top=top, floor=floor, relief=relief)
        yield self.operation(feature, "finish", last, work=walls, depth=floor, stage=LAST)

    def holes(
        self,
        feature: Feature,
        kind: Kind,
        points: Sequence[tuple[float, float]],
        *,
        size: tuple[float, float, float],
        tools: tuple[Tool, ...] = (),
    ) -> Made:
        """Holes of one diameter, top and depth, by the first named tool that fits or one that does."""
        diameter, top, depth = size
        named = [tool for tool in tools if fits_hole(tool, diameter)]
        blind = depth <= self.sign.thickness
        tool = named[0] if named else hole_cutter(diameter, depth, self.bench, flat_bottom=blind)
        if tool is None:
            yield no_hole_cutter((diameter, depth), self.bench, feature.spot, "holes")
            return
        deepest = depth + point_length(tool)
        yield from too_short(tool, deepest, feature.spot)
        self.take([tool])
        work = Drilling(points=tuple(points), diameter=diameter, top=top, depth=depth)
        yield self.operation(feature, kind, tool, work=work, depth=deepest)
