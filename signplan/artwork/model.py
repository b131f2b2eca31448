"""A drawing as the rest of the program sees it: layers of areas and lines, in millimetres, y up.

Knows no file format. Coordinates are the drawing's own: a DXF keeps its origin, an SVG has its origin at
the lower left corner of the page. Curves are chords whose error is at most `CHORD_ERROR`.
"""

from dataclasses import dataclass

from shapely import LineString, Polygon, total_bounds

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
    """What one layer holds: closed outlines as regions, open ones as lines, both in drawing order.

    `aliases` are other names of it, such as the id of a group that also has a label.
    """

    name: str
    regions: tuple[Region, ...] = ()
    lines: tuple[Line, ...] = ()
    aliases: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Artwork:
    """A drawing that was read whole.

    Attributes:
        name: the file's name, for messages.
        units: the unit that the file was drawn in, such as "mm" or "in".
        layers: in the order of first use in the file.
        unread: names of layers that are in the file, and were not asked for.
    """

    name: str
    units: str
    layers: tuple[Layer, ...] = ()
    unread: tuple[str, ...] = ()

    def layer(self, name: str) -> Layer | None:
        """The layer of that name, or None; if no name is spelled just so, upper and lower case are one."""
        for spelled in (str, str.casefold):
            for layer in self.layers:
                if spelled(name) in map(spelled, (layer.name, *layer.aliases)):
                    return layer
        return None

    @property
    def size(self) -> tuple[float, float]:
        """Width and height, mm, of everything in it."""
        regions = [region.shape for layer in self.layers for region in layer.regions]
        lines = [line.shape for layer in self.layers for line in layer.lines]
        if not regions and not lines:
            return 0.0, 0.0
        left, low, right, high = total_bounds([*regions, *lines])
        return float(right - left), float(high - low)
