"""A drawing of each setup, for the shop's own toolpath software: what is on the face that is up.

Setup frame, the job's units, one layer a thing: BLANK, OUTLINE-A, POCKET-<hardware>,
CHANNEL-<hardware> (what a ball-nosed cutter follows), VENT (the middle of each groove), DOWEL, PIN,
CARVE-<treatment>-<n>. Areas are closed polylines whose arcs are true arcs, those of the drawing and those of
grown and rounded shapes; a whole circle is a circle. No arc is farther than `signplan.geometry.arcs.BOW` from
the plan's own chords. Pockets are drawn as cut, corner relief included, so that the cutter named on the
traveller can reach every corner.
"""

import io
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager

import numpy as np
from ezdxf import options  # type: ignore[attr-defined]
from ezdxf.document import Drawing as Dxf
from ezdxf.filemanagement import new
from numpy.typing import NDArray
from shapely import (
    LinearRing,
    LineString,
    MultiPolygon,
    Polygon,
    get_coordinates,
    get_parts,
    line_merge,
    remove_repeated_points,
)

from signplan.geometry.arcs import bulged, circle_through
from signplan.geometry.precision import SAME
from signplan.geometry.shapes import rings_of
from signplan.plan import Plan
from signplan.schedule.model import PlannedSetup
from signplan.sign.model import Carving, PanelPlan
from signplan.sign.register import Placement
from signplan.sign.setups import Setup
from signplan.units import MM_PER, Units, to_units

INSUNITS = {"in": 1, "mm": 4}
ROUND = 0.01
"""How far a hole's corners may lie from a circle, mm, to be drawn as one; twice the chords' own error."""

_FORBIDDEN = re.compile(r'[<>/\\":;?*|=`,]')
_COLORS = {"BLANK": 8, "OUTLINE": 7, "POCKET": 1, "CHANNEL": 4, "VENT": 4, "DOWEL": 3, "PIN": 6, "CARVE": 5}


def render_setup_dxf(plan: Plan, setup: PlannedSetup) -> str:
    """The text of one setup's DXF; the same plan gives the same bytes."""
    units = plan.job.job.units
    with _without_dates():
        dxf = new("R2010", units=INSUNITS[units])
        dxf.header["$MEASUREMENT"] = 0 if units == "in" else 1
        pen = _Pen(dxf, units)
        _draw(pen, plan, setup.setup)
        _in_one_order(dxf)
        text = io.StringIO()
        dxf.write(text)
    return text.getvalue()


@contextmanager
def _without_dates() -> Iterator[None]:
    """ezdxf writes the clock and new GUIDs into every file unless this option of its own is set."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _in_one_order(dxf: Dxf) -> None:
    """Register the classes in use by name: ezdxf would take them from a set, in any order."""
    for name in sorted(dxf.entitydb.dxf_types_in_use()):
        dxf.classes.add_class(name)


class _Pen:
    """Draws millimetres into a DXF of other units, making layers as they are needed."""

    def __init__(self, dxf: Dxf, units: Units) -> None:
        self._dxf, self._units = dxf, units
        self._space = dxf.modelspace()

    def layer(self, name: str) -> str:
        name = _FORBIDDEN.sub("-", name)
        if name not in self._dxf.layers:
            self._dxf.layers.add(name, color=_COLORS[name.split("-")[0]])
        return name

    def line(self, layer: str, line: LineString) -> None:
        """An open line, or a ring: straight stretches and arcs, or a circle."""
        points = get_coordinates(remove_repeated_points(line, SAME))
        if not line.is_closed:
            self._polyline(layer, points, closed=False)
            return
        circle = circle_through(points[:-1])
        if circle:
            self.circle(layer, circle.x, circle.y, 2 * circle.radius)
        else:
            self._polyline(layer, points[:-1], closed=True)

    def area(self, layer: str, area: MultiPolygon | Polygon) -> None:
        for polygon in [area] if isinstance(area, Polygon) else area.geoms:
            for ring in rings_of(polygon):
                self.line(layer, ring)

    def circle(self, layer: str, x: float, y: float, diameter: float) -> None:
        self._space.add_circle(
            (to_units(x, self._units), to_units(y, self._units)),
            to_units(diameter / 2, self._units),
            dxfattribs={"layer": self.layer(layer)},
        )

    def _polyline(self, layer: str, points: NDArray[np.float64], *, closed: bool) -> None:
        rows = bulged(points, closed=closed)
        rows[:, :2] /= float(MM_PER[self._units])
        layer = self.layer(layer)
        self._space.add_lwpolyline(rows.tolist(), format="xyb", close=closed, dxfattribs={"layer": layer})


def _draw(pen: _Pen, plan: Plan, setup: Setup) -> None:
    wide, deep, _ = setup.blank
    pen.line("BLANK", LinearRing([(0, 0), (wide, 0), (wide, deep), (0, deep)]))
    for pin in setup.pins:
        pen.circle("PIN", pin.x, pin.y, pin.diameter)
    for panel, placement in setup.placements:
        carried = plan.sign.panel(panel)
        pen.area(f"OUTLINE-{panel}", placement.shape(carried.outline))
        if setup.face == "inner":
            _inner(pen, carried, placement)
        else:
            for carving in carried.carvings:
                _carving(pen, carving, placement)


def _inner(pen: _Pen, panel: PanelPlan, placement: Placement) -> None:
    for pocket in panel.pockets:
        pen.area(f"POCKET-{pocket.hardware}", placement.shape(pocket.as_cut))
        for line in pocket.channel.lines if pocket.channel else ():
            pen.line(f"CHANNEL-{pocket.hardware}", placement.shape(line))
    for vent in panel.vents:
        pen.line("VENT", placement.shape(vent.line))
    for dowel in panel.dowels:
        pen.circle("DOWEL", *placement.point(dowel.x, dowel.y), dowel.diameter)


def _carving(pen: _Pen, carving: Carving, placement: Placement) -> None:
    layer = f"CARVE-{carving.id.rpartition('/')[2]}"
    if carving.treatment == "line":
        for line in get_parts(line_merge(list(carving.lines))):
            pen.line(layer, placement.shape(line))
        return
    for polygon in carving.shape.geoms:
        hole = circle_of(polygon) if carving.treatment == "bore" else None
        if hole:
            pen.circle(layer, *placement.point(*hole[:2]), hole[2])
        else:
            pen.area(layer, placement.shape(polygon))


def circle_of(polygon: Polygon) -> tuple[float, float, float] | None:
    """(x, y, diameter) of the circle that a polygon's corners lie on, or None.

    >>> from shapely import Point, box
    >>> circle_of(box(0, 0, 1, 1)), [round(size, 6) for size in circle_of(Point(3, 4).buffer(5))]
    (None, [3.0, 4.0, 10.0])
    """
    corners = list(polygon.exterior.coords)[:-1]
    if polygon.interiors or len(corners) < 8:
        return None
    x0, y0, x1, y1 = polygon.bounds
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    distances = [math.dist((x, y), corner) for corner in corners]
    if max(distances) - min(distances) > ROUND:
        return None
    return x, y, 2 * max(distances)
