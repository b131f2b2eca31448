"""DXF to strokes by layer, as seen from above, in millimetres."""

from collections import Counter
from collections.abc import Collection
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from signplan.artwork.dxf_blocks import entities
from signplan.artwork.dxf_entities import draw
from signplan.artwork.dxf_file import open_dxf
from signplan.artwork.flatten import FARTHEST, ShapeError
from signplan.artwork.joining import Stroke
from signplan.artwork.model import CHORD_ERROR
from signplan.artwork.remarks import Remarks, counted
from signplan.errors import InputError, Problem
from signplan.findings import Severity
from signplan.units import MM_PER

if TYPE_CHECKING:
    from ezdxf.document import Drawing

MM_PER_INSUNITS = {
    1: ("in", 25.4),
    2: ("ft", 304.8),
    4: ("mm", 1.0),
    5: ("cm", 10.0),
    6: ("m", 1000.0),
    8: ("microinch", 25.4e-6),
    9: ("mil", 0.0254),
    10: ("yd", 914.4),
    13: ("micrometre", 0.001),
    14: ("dm", 100.0),
    21: ("US survey foot", 1_200_000 / 3937),
    22: ("US survey inch", 100_000 / 3937),
    23: ("US survey yard", 3_600_000 / 3937),
}
"""$INSUNITS of the open DXF reference, and mm in one; the survey foot is 1200/3937 m.

Units of maps and of molecules are left out: a drawing in them is no sign.
"""

MOST_POINTS = 2_000_000

_LETTERING = frozenset(("TEXT", "MTEXT", "ATTRIB", "ATTDEF", "ARCALIGNEDTEXT", "RTEXT", "SHAPE"))
_NO_SHAPE = frozenset(
    """POINT VIEWPORT DIMENSION ARC_DIMENSION LARGE_RADIAL_DIMENSION LEADER MULTILEADER TOLERANCE
    ACAD_TABLE XLINE RAY IMAGE WIPEOUT PDFUNDERLAY DWFUNDERLAY DGNUNDERLAY OLE2FRAME LIGHT SUN CAMERA
    SECTION GEODATA""".split()  # noqa: SIM905
)
"""Annotation, construction and pictures: nothing that a cutter follows, so that they may be left out."""


def read_dxf(
    path: Path, remarks: Remarks, *, units: str | None = None, wanted: Collection[str] | None = None
) -> dict[str, list[Stroke]]:
    """Strokes by layer, in order of first use; layers that are not wanted come back empty.

    Raises:
        InputError: the file is refused.
    """
    document = open_dxf(path, remarks)
    _set_units(document, remarks, units)
    _compare_measurement(document, remarks)
    reader = _Reader(remarks, wanted)
    with np.errstate(all="ignore"):  # numbers out of all bounds are refused one by one
        for entity, layer, source in entities(document, remarks):
            reader.read(entity, layer, source)
    if not reader.layers and not remarks.problems:
        remarks.refuse(_why_empty(document, reader))
    reader.report(document)
    return reader.layers


def _set_units(document: "Drawing", remarks: Remarks, stated: str | None) -> None:
    code = int(document.header.get("$INSUNITS", 0))
    if code in MM_PER_INSUNITS:
        remarks.unit, remarks.scale = MM_PER_INSUNITS[code]
    elif stated is not None:
        remarks.unit, remarks.scale, remarks.units_from = stated, float(MM_PER[stated]), "job"
    else:
        what = (
            "no units ($INSUNITS is 0)"
            if code == 0
            else f"units that no sign is drawn in ($INSUNITS is {code})"
        )
        message = f"the drawing states {what}; state its units in the job, or set them in the drawing"
        raise InputError(Problem(file=remarks.name, message=message))


def _compare_measurement(document: "Drawing", remarks: Remarks) -> None:
    """$MEASUREMENT is 0 for inches and feet, 1 for metric; against the units, one of the two is wrong."""
    metric = int(document.header.get("$MEASUREMENT", -1))
    imperial_unit = remarks.unit in ("in", "ft", "yd", "mil")
    if remarks.units_from == "file" and metric == (1 if imperial_unit else 0):
        message = (
            f"{remarks.name} is in {remarks.unit}, yet $MEASUREMENT says {'metric' if metric else 'inches'}"
        )
        remarks.find("art-units", Severity.NOTE, message, hint="check the size of the drawing")


def _why_empty(document: "Drawing", reader: "_Reader") -> str:
    if reader.left_out:
        kinds = ", ".join(sorted({kind for _, kind in reader.left_out}))
        return f"nothing to cut in the drawing: only {kinds}"
    if any(len(layout) for layout in document.layouts if layout.name != "Model"):
        return "nothing in model space; what is on a layout sheet is not read"
    return "the drawing is empty"


class _Reader:
    """Collects strokes, and what is to be said about the rest."""

    def __init__(self, remarks: Remarks, wanted: Collection[str] | None) -> None:
        self.remarks = remarks
        self.wanted = None if wanted is None else {name.casefold() for name in wanted}
        self.layers: dict[str, list[Stroke]] = {}
        self.spelling: dict[str, str] = {}
        self.left_out: Counter[tuple[str, str]] = Counter()
        self.through_points: Counter[str] = Counter()
        self.thick: Counter[str] = Counter()
        self.points = 0
        self.error = CHORD_ERROR / remarks.scale

    def read(self, entity: Any, layer: str, source: str) -> None:
        """Read one entity; what cannot be read right is refused by name."""
        layer = self.spelling.setdefault(layer.casefold(), layer)
        strokes = self.layers.setdefault(layer, [])
        if self.wanted is not None and layer.casefold() not in self.wanted:
            return
        kind = entity.dxftype()
        if entity.dxf.hasattr("invisible") and entity.dxf.invisible:
            self.left_out[layer, f"hidden {kind}"] += 1
            return
        try:
            drawn = draw(entity, self.error)
        except ShapeError as problem:
            self._refuse(layer, kind, source, str(problem))
            return
        if drawn is None:
            self._other(entity, layer, source)
            return
        for points, closed in drawn:
            self._keep(strokes, Stroke(points * self.remarks.scale, source, closed), (layer, kind))
        if kind == "SPLINE" and not len(entity.control_points):
            self.through_points[layer] += 1
        if kind in ("LWPOLYLINE", "POLYLINE") and _has_width(entity):
            self.thick[layer] += 1

    def _keep(self, strokes: list[Stroke], stroke: Stroke, origin: tuple[str, str]) -> None:
        self.points += len(stroke.points)
        if self.points > MOST_POINTS:
            message = f"the drawing has more than {MOST_POINTS:,} points; simplify its curves"
            raise InputError(Problem(file=self.remarks.name, message=message))
        if abs(stroke.points).max() <= FARTHEST:
            strokes.append(stroke)
        else:
            self._refuse(*origin, stroke.source, "its coordinates run out of all bounds; check its units")

    def _other(self, entity: Any, layer: str, source: str) -> None:
        kind = entity.dxftype()
        if kind in _NO_SHAPE:
            self.left_out[layer, kind] += 1
        elif kind in _LETTERING:
            if _text(entity).strip():
                self._refuse(layer, kind, source, "convert lettering to outlines")
        else:
            self._refuse(layer, kind, source, "this kind cannot be cut; explode or convert it to polylines")

    def _refuse(self, layer: str, kind: str, source: str, why: str) -> None:
        self.remarks.refuse(f"layer {layer}: {kind} #{source}: {why}")

    def report(self, document: "Drawing") -> None:
        """Say what was left out and what looks other than it is read."""
        left_out: dict[str, list[str]] = {}
        for (layer, kind), count in self.left_out.items():
            left_out.setdefault(layer, []).append(f"{count} {kind}")
        for layer, kinds in left_out.items():
            message = f"not read on layer {layer}: {', '.join(kinds)}"
            self.remarks.find("art-skipped", Severity.NOTE, message, where=f"layer {layer}")
        for layer, count in self.thick.items():
            self.remarks.find(
                "art-stroke",
                Severity.WARNING,
                f"drawn with a width on layer {layer}: {counted(count, 'polyline')}; the middle is read",
                where=f"layer {layer}",
                hint="draw the outline of the wide line if its edges are to be cut",
            )
        for layer, count in self.through_points.items():
            self.remarks.find(
                "art-fitted",
                Severity.NOTE,
                f"given by the points alone that it passes on layer {layer}: {counted(count, 'spline')}",
                where=f"layer {layer}",
                hint="programs draw such curves a little differently; see the proof",
            )
        for layer in self.layers:
            if layer in document.layers and (
                document.layers.get(layer).is_off() or document.layers.get(layer).is_frozen()
            ):
                self.remarks.find(
                    "art-hidden",
                    Severity.NOTE,
                    f"layer {layer} is switched off in the drawing; it was read all the same",
                    where=f"layer {layer}",
                )


def _text(entity: Any) -> str:
    return str(entity.text if entity.dxftype() == "MTEXT" else entity.dxf.get("text", "shape"))


def _has_width(entity: Any) -> bool:
    if entity.dxftype() == "LWPOLYLINE":
        rows = entity.lwpoints.values.reshape(-1, 5)
        return bool(entity.dxf.get("const_width", 0) or rows[:, 2:4].any())
    return bool(entity.dxf.get("default_start_width", 0) or entity.dxf.get("default_end_width", 0))
