"""A DXF drawing as a shop's drawing program would leave it: layers, units, lines, arcs and splines."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from itertools import groupby
from pathlib import Path

import ezdxf
from curves import Arc, Contour, Edge, Point, polygon
from ezdxf import options, units

FLAT = 0.0005
"""Largest distance, inches, from a curve to the chords of a polyline."""


class Sheet:
    """One drawing in inches."""

    def __init__(self) -> None:
        with _same_bytes_every_time():
            self._document = ezdxf.new("R2000", units=units.IN)
        self._space = self._document.modelspace()

    def edges(self, layer: str, edges: Iterable[Edge]) -> None:
        """Straight lines and arcs, one entity each."""
        for edge in edges:
            if isinstance(edge, Arc):
                self._space.add_arc(
                    edge.center, edge.radius, edge.start, edge.end, dxfattribs=self._on(layer)
                )
            else:
                self._space.add_line(*edge, dxfattribs=self._on(layer))

    def curves(self, layer: str, contours: Iterable[Contour]) -> None:
        """Contours, exactly: straight segments as lines, a run of curves as one spline."""
        for contour in contours:
            for curved, run in groupby(contour, key=lambda segment: len(segment) == 3):
                if curved:
                    self._spline(layer, tuple(run))
                else:
                    self.edges(layer, ((start, end) for start, end in run))

    def chords(self, layer: str, contours: Iterable[Contour]) -> None:
        """Contours as closed polylines of short chords."""
        for contour in contours:
            self.polyline(layer, polygon(contour, FLAT))

    def polyline(self, layer: str, points: Iterable[tuple[float, ...]], *, close: bool = True) -> None:
        """A polyline of points (x, y) or (x, y, bulge)."""
        rows = [(*point, 0.0)[:3] for point in points]
        self._space.add_lwpolyline(rows, format="xyb", close=close, dxfattribs=self._on(layer))

    def circle(self, layer: str, center: Point, diameter: float) -> None:
        """A circle."""
        self._space.add_circle(center, diameter / 2, dxfattribs=self._on(layer))

    def ellipse(self, layer: str, center: Point, along: float, up: float) -> None:
        """A whole ellipse by its half axes, the longer one lying along X."""
        self._space.add_ellipse(center, (along, 0), up / along, dxfattribs=self._on(layer))

    def save(self, file: Path) -> None:
        """Writes the drawing."""
        with _same_bytes_every_time():
            self._document.saveas(file)

    def _spline(self, layer: str, run: Contour) -> None:
        inner = [knot for knot in range(1, len(run)) for _ in range(2)]
        points = [run[0][0], *(point for segment in run for point in segment[1:])]
        knots = [0, 0, 0, *inner, len(run), len(run), len(run)]
        self._space.add_open_spline(points, degree=2, knots=knots, dxfattribs=self._on(layer))

    def _on(self, layer: str) -> dict[str, str]:
        if layer not in self._document.layers:
            self._document.layers.add(layer, color=1 + len(self._document.layers) % 7)
        return {"layer": layer}


@contextmanager
def _same_bytes_every_time() -> Iterator[None]:
    """Keeps clock and random ids out: ezdxf notes them when it makes a drawing and when it saves one."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
