"""Where the job's drawings lie: every layer that the job asks for, placed in the assembly frame.

The lower left corner of the outline's box is the origin. A drawing that holds the outline is placed by that
corner; any other shares the coordinates of the outline's drawing. Artwork reads right on its own side.
"""

import difflib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from shapely import MultiPolygon, Polygon

from signplan.artwork.model import Artwork, Layer
from signplan.errors import InputError, Problem
from signplan.geometry.shapes import area_of, union
from signplan.job.model import Art, Job
from signplan.sign.register import Panel, Placement, move, view
from signplan.units import Units, fine

Side = Literal["A", "B", "both"]


def layer_of(files: Mapping[str, Artwork], art: Art, key: str) -> Layer:
    """The layer that `key` of the job asks for.

    Raises:
        InputError: there is no such layer; the message names those that there are.
    """
    artwork = files[art.file]
    layer = artwork.layer(art.layer)
    if layer is not None:
        return layer
    names = [*(each.name for each in artwork.layers), *artwork.unread]
    like = difflib.get_close_matches(art.layer.lower(), [name.lower() for name in names], n=1)
    hint = next((f"; did you mean '{name}'?" for name in names if [name.lower()] == like), ".")
    there = ", ".join(f"'{name}'" for name in names) or "no layer at all"
    message = f"no layer '{art.layer}' in {art.file}{hint} It has {there}."
    raise InputError(Problem(file=art.file, key=f"{key}.layer", message=message))


@dataclass(frozen=True, kw_only=True, slots=True)
class Drawings:
    """The drawings of a job and where they lie.

    `outline` is side A's as drawn, moved to the origin; `outline_b` is side B's, seen from side A, if the job
    has one. `corners` are the places in the drawings of the lower left corners of both, as read.
    """

    job: Job
    files: Mapping[str, Artwork]
    outline: Polygon
    outline_b: Polygon | None
    corners: tuple[tuple[float, float], tuple[float, float]]

    @property
    def width(self) -> float:
        """Width of the outline's box."""
        return self.outline.bounds[2]

    def outline_of(self, panel: Panel) -> Polygon:
        """A panel's own outline."""
        return self.outline if panel == "A" or self.outline_b is None else self.outline_b

    def layer(self, art: Art, key: str) -> Layer:
        """The layer that `key` of the job asks for; raises InputError where there is none."""
        return layer_of(self.files, art, key)

    def placement(self, file: str, panel: Panel, drawn_for: Side) -> Placement:
        """From a drawing to the assembly frame, read on the outer face of `panel`.

        A file that holds both outlines is placed by that of the side that it was `drawn_for`.
        """
        corner_a, corner_b = self.corners
        spec = self.job.sign
        holds_b = spec.outline_b is not None and spec.outline_b.file == file
        by_b = holds_b and (drawn_for == "B" or spec.outline.file != file)
        x, y = corner_b if by_b else corner_a
        return move(-x, -y).then(view(panel, "outer", self.width).inverse())

    def area(self, art: Art, key: str, panel: Panel, drawn_for: Side) -> MultiPolygon:
        """All regions of a layer together, placed."""
        place = self.placement(art.file, panel, drawn_for)
        return union(place.shape(region.shape) for region in self.layer(art, key).regions)


def lay_drawings(job: Job, files: Mapping[str, Artwork]) -> Drawings:
    """Find the outlines and place everything by them.

    Raises:
        InputError: an outline is missing, open, or one of several on its layer.
    """
    spec = job.sign
    units = job.job.units
    drawn = _outline(files, spec.outline, "sign.outline", units)
    outline = move(-drawn.bounds[0], -drawn.bounds[1]).shape(drawn)
    corner = drawn.bounds[0], drawn.bounds[1]
    if spec.outline_b is None:
        return Drawings(job=job, files=files, outline=outline, outline_b=None, corners=(corner, corner))
    drawn_b = _outline(files, spec.outline_b, "sign.outline_b", units)
    corner_b = drawn_b.bounds[0], drawn_b.bounds[1]
    on_b = move(-corner_b[0], -corner_b[1]).then(view("B", "outer", outline.bounds[2]).inverse())
    return Drawings(
        job=job, files=files, outline=outline, outline_b=on_b.shape(drawn_b), corners=(corner, corner_b)
    )


def _outline(files: Mapping[str, Artwork], art: Art, key: str, units: Units) -> Polygon:
    layer = layer_of(files, art, key)
    problem = "".join(_trouble(layer, units))
    if problem:
        message = f"layer '{art.layer}' of {art.file} {problem}"
        raise InputError(Problem(file=art.file, key=key, message=message))
    (outline,) = area_of(layer.regions[0].shape).geoms
    return outline


def _trouble(layer: Layer, units: Units) -> Iterator[str]:
    if len(layer.regions) > 1:
        yield f"holds {len(layer.regions)} closed outlines; a sign has one. Move the others elsewhere."
    elif not layer.regions and layer.lines:
        end = ", ".join(fine(value, units) for value in layer.lines[0].shape.coords[-1])
        yield f"is not closed: it has an open end at ({end}). Close it, or allow a 'gap'."
    elif not layer.regions:
        yield "holds no closed outline"
