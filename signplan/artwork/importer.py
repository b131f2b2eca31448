"""A customer's drawing, DXF or SVG, to `Artwork`; or one clear refusal."""

from collections.abc import Collection
from dataclasses import replace
from pathlib import Path

from signplan.artwork.art_file import check_art_file
from signplan.artwork.layers import build_layer
from signplan.artwork.model import Artwork, Layer
from signplan.artwork.remarks import Remarks
from signplan.errors import InputError, Problem
from signplan.findings import Finding, Severity
from signplan.units import MM_PER


def read_artwork(
    path: Path,
    *,
    units: str | None = None,
    gap: float = 0.0,
    layers: Collection[str] | None = None,
) -> tuple[Artwork, tuple[Finding, ...]]:
    """A drawing, and what is to be said about it.

    Args:
        path: a DXF or SVG file.
        units: what one unit of the drawing is ("mm", "in", ...), for a drawing that does not say it.
        gap: the largest distance, mm, between open ends that may be bridged.
        layers: the layers to be read; the others are named in `Artwork.unread`, and what is on them is
            neither checked nor refused. None: every layer.

    Raises:
        InputError: the file cannot be read, or holds what would be cut wrongly.
    """
    remarks = Remarks(name=path.name)
    if units is not None and units not in MM_PER:
        message = f"unknown unit '{units}'; use {', '.join(MM_PER)}"
        raise InputError(Problem(file=path.name, message=message))
    check_art_file(path, (".dxf", ".svg"))
    try:
        read = _read_svg if path.suffix.lower() == ".svg" else _read_dxf
        found, unread = read(path, remarks, units, gap, layers)
    except OSError as error:
        raise InputError(Problem(file=path.name, message=f"cannot be read: {error.strerror}")) from error
    remarks.stop_if_refused()
    artwork = Artwork(name=path.name, units=remarks.unit, layers=found, unread=unread)
    _report_units(artwork, remarks, units)
    return artwork, tuple(remarks.findings)


def _read_dxf(
    path: Path, remarks: Remarks, units: str | None, gap: float, wanted: Collection[str] | None
) -> tuple[tuple[Layer, ...], tuple[str, ...]]:
    from signplan.artwork.read_dxf import read_dxf

    strokes = read_dxf(path, remarks, units=units, wanted=wanted)
    remarks.stop_if_refused()
    chosen = {name.casefold() for name in (strokes if wanted is None else wanted)}
    layers = (
        build_layer(name, pieces, remarks, gap=gap)
        for name, pieces in strokes.items()
        if name.casefold() in chosen
    )
    return tuple(layers), tuple(name for name in strokes if name.casefold() not in chosen)


def _read_svg(
    path: Path, remarks: Remarks, units: str | None, gap: float, wanted: Collection[str] | None
) -> tuple[tuple[Layer, ...], tuple[str, ...]]:
    from signplan.artwork.read_svg import read_svg

    drawing = read_svg(path, remarks, units=units, wanted=wanted)
    remarks.stop_if_refused()
    layers = (
        replace(
            build_layer(name, group.strokes, remarks, gap=gap, painted=group.painted),
            aliases=tuple(group.aliases),
        )
        for name, group in drawing.items()
        if group.wanted
    )
    return tuple(layers), tuple(name for name, group in drawing.items() if not group.wanted)


def _report_units(artwork: Artwork, remarks: Remarks, stated: str | None) -> None:
    """Echo the size where the file does not vouch for it; say so where drawing and job disagree."""
    width, height = artwork.size
    size = f"all of it is {remarks.length(width)} by {remarks.length(height)}"
    name = artwork.name
    if remarks.units_from == "job":
        message = f"{name} states no units; one unit of it is 1 {stated}, as the job says: {size}"
        remarks.find("art-units", Severity.NOTE, message, hint="check the size against the order")
    elif remarks.units_from == "pixels":
        message = f"{name} is sized in pixels, read at 96 to the inch: {size}"
        hint = "check the size; save the drawing in mm or in, or state in the job what its unit is"
        remarks.find("art-units", Severity.WARNING, message, hint=hint)
    elif stated is not None and stated != remarks.unit:
        message = (
            f"the job says that {name} is drawn in {stated}, the file says {remarks.unit}, and rules: {size}"
        )
        hint = "take the units out of the job, or correct those of the drawing"
        remarks.find("art-units", Severity.ERROR, message, hint=hint)
