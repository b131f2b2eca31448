"""A customer's drawing, DXF or SVG, to `Artwork`; or one clear refusal."""

from pathlib import Path

import shapely

from signplan.artwork.layers import build_layer
from signplan.artwork.model import Artwork
from signplan.artwork.read_dxf import read_dxf
from signplan.artwork.remarks import Remarks
from signplan.errors import InputError, Problem
from signplan.findings import Finding


def read_artwork(
    path: Path, *, units: str | None = None, gap: float = 0.0
) -> tuple[Artwork, tuple[Finding, ...]]:
    """Every layer of a drawing, and what is to be said about it.

    Args:
        path: a DXF or SVG file.
        units: what one unit of the drawing is ("mm", "in", ...), for a drawing that does not say it.
        gap: the largest distance, mm, between open ends that may be bridged.

    Raises:
        InputError: the file cannot be read, or holds what would be cut wrongly.
    """
    remarks = Remarks(name=path.name)
    try:
        if path.suffix.lower() == ".svg":
            from signplan.artwork.read_svg import read_svg

            groups = read_svg(path, remarks, units=units)
            layers = [
                build_layer(name, group.strokes, remarks, gap=gap, painted=group.painted)
                for name, group in groups.items()
            ]
        else:
            strokes = read_dxf(path, remarks, units=units)
            layers = [build_layer(name, pieces, remarks, gap=gap) for name, pieces in strokes.items()]
    except OSError as error:
        raise InputError(
            Problem(file=path.name, message=f"cannot be read: {error.strerror or error}")
        ) from error
    remarks.stop_if_refused()
    shapely.prepare([region.shape for layer in layers for region in layer.regions])
    artwork = Artwork(name=path.name, units=remarks.unit, layers=tuple(layers))
    return artwork, tuple(remarks.findings)
