"""DXF to strokes by layer, as seen from above, in millimetres."""

import math
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from signplan.artwork import flatten
from signplan.artwork.flatten import Points
from signplan.artwork.joining import Stroke
from signplan.artwork.model import CHORD_ERROR
from signplan.artwork.remarks import Remarks
from signplan.errors import InputError, Problem
from signplan.units import MM_PER

if TYPE_CHECKING:
    from ezdxf.entities import DXFGraphic

MM_PER_INSUNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 10: 914.4, 9: 0.0254, 13: 0.001, 14: 100.0}
NAME_OF_INSUNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 9: "mil", 10: "yd", 13: "µm", 14: "dm"}


def read_dxf(path: Path, remarks: Remarks, *, units: str | None = None) -> dict[str, list[Stroke]]:
    """Strokes by layer, in order of first use."""
    import ezdxf

    doc = ezdxf.readfile(path)
    code = int(doc.header.get("$INSUNITS", 0))
    if code == 0 and units is None:
        raise InputError(
            Problem(
                file=remarks.name,
                message="the drawing states no units ($INSUNITS is 0); state them in the job",
            )
        )
    remarks.scale = MM_PER_INSUNITS[code] if code else float(MM_PER[units or "mm"])
    remarks.unit = NAME_OF_INSUNITS[code] if code else str(units)
    layers: dict[str, list[Stroke]] = {}
    error = CHORD_ERROR / remarks.scale
    for entity, layer, source in _walk(doc.modelspace(), None, 0):
        draw = _DRAW.get(entity.dxftype())
        if draw is None:
            remarks.refuse(f"layer {layer}: {entity.dxftype()} #{source} cannot be read")
            continue
        for points, closed in draw(entity, error):
            layers.setdefault(layer, []).append(Stroke(points * remarks.scale, source, closed))
    remarks.stop_if_refused()
    return layers


def _walk(entities: Any, insert_layer: str | None, depth: int) -> Iterator[tuple["DXFGraphic", str, str]]:
    for entity in entities:
        layer = entity.dxf.layer
        if layer == "0" and insert_layer is not None:
            layer = insert_layer
        if entity.dxftype() == "INSERT":
            for single in entity.multi_insert() if entity.mcount > 1 else (entity,):
                for inner, name, _ in _walk(single.virtual_entities(), layer, depth + 1):
                    yield inner, name, entity.dxf.handle
        else:
            yield entity, layer, entity.dxf.handle


Drawn = Iterator[tuple[Points, bool]]


def _line(e: Any, error: float) -> Drawn:
    a, b = e.dxf.start, e.dxf.end
    yield np.array(((a.x, a.y), (b.x, b.y))), False


def _arc(e: Any, error: float) -> Drawn:
    start = math.radians(e.dxf.start_angle)
    sweep = (math.radians(e.dxf.end_angle) - start) % math.tau or math.tau
    yield _to_world(e, flatten.arc(_xy(e.dxf.center), e.dxf.radius, start, sweep, error=error)), False


def _circle(e: Any, error: float) -> Drawn:
    yield _to_world(e, flatten.arc(_xy(e.dxf.center), e.dxf.radius, 0, math.tau, error=error)), True


def _ellipse(e: Any, error: float) -> Drawn:
    span = (e.dxf.start_param, (e.dxf.end_param - e.dxf.start_param) % math.tau or math.tau)
    points = flatten.ellipse(_xy(e.dxf.center), _xy(e.dxf.major_axis), _xy(e.minor_axis), span, error=error)
    yield points, span[1] == math.tau


def _lwpolyline(e: Any, error: float) -> Drawn:
    rows = np.array(e.lwpoints.values, dtype=float).reshape(-1, 5)
    yield _to_world(e, _bulged(rows[:, :2], rows[:, 4], bool(e.closed), error)), bool(e.closed)


def _bulged(points: Points, bulges: Points, closed: bool, error: float) -> Points:
    if closed:
        points, bulges = np.concatenate((points, points[:1])), bulges
    if not bulges.any():
        return points
    pieces = [points[:1]]
    for k in range(len(points) - 1):
        pieces.append(flatten.bulge(points[k], points[k + 1], bulges[k], error=error)[1:])
    return np.concatenate(pieces)


def _polyline(e: Any, error: float) -> Drawn:
    points = np.array([_xy(v.dxf.location) for v in e.vertices], dtype=float)
    bulges = np.array([v.dxf.get("bulge", 0.0) for v in e.vertices])
    yield _to_world(e, _bulged(points, bulges, bool(e.is_closed), error)), bool(e.is_closed)


def _spline(e: Any, error: float) -> Drawn:
    tool = e.construction_tool()
    control = np.array([(p.x, p.y) for p in tool.control_points], dtype=float)
    points = flatten.spline(control, tool.degree, tool.knots(), tool.weights(), error=error)
    yield points, False


def _xy(v: Any) -> tuple[float, float]:
    return v.x, v.y


def _to_world(e: Any, points: Points) -> Points:
    z = e.dxf.get("extrusion")
    if z is None or (z.x, z.y, z.z) == (0, 0, 1):
        return points
    return np.array([(p.x, p.y) for p in e.ocs().points_to_wcs([(x, y, 0) for x, y in points])], dtype=float)


_DRAW = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "ELLIPSE": _ellipse,
    "LWPOLYLINE": _lwpolyline,
    "POLYLINE": _polyline,
    "SPLINE": _spline,
}
