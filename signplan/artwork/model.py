"""A drawing as the rest of the program sees it: layers of areas and lines, in millimetres, y up.

Knows no file format. Coordinates are the drawing's own: a DXF keeps its origin, an SVG has its origin at
the lower left corner of the page. Curves are chords whose error is at most `CHORD_ERROR`.
"""

from dataclasses import dataclass

from shapely import LineString, Polygon

CHORD_ERROR = 0.005
"""Largest distance, mm, from a curve of the drawing to the chords that stand for it."""


@dataclass(frozen=True, kw_only=True, slots=True)
class Region:
    """One connected area of a layer, holes cut out.

    `sources` names what it was drawn with: DXF handles or SVG ids, in drawing order.
    """

    shape: Polygon
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One open line of a layer."""

    shape: LineString
    sources: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Layer:
    """What one layer holds: closed outlines as regions, open ones as lines, both in drawing order."""

    name: str
    regions: tuple[Region, ...] = ()
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Artwork:
    """A drawing that was read whole.

    Attributes:
        name: the file's name, for messages.
        units: the unit that the file was drawn in, such as "mm" or "in".
        layers: in the order of first use in the file.
    """

    name: str
    units: str
    layers: tuple[Layer, ...] = ()

    def layer(self, name: str) -> Layer | None:
        """The layer of that name, or None."""
        return next((layer for layer in self.layers if layer.name == name), None)
