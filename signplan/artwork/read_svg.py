"""SVG to layers: every group is a layer, by its label or id, and part of the groups around it.

Reads what it can read right, and refuses the rest by name with id and line.
"""

from collections.abc import Collection
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
import shapely
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from signplan.artwork.flatten import Points, ShapeError
from signplan.artwork.joining import SAME_POINT, Stroke
from signplan.artwork.layers import Painted
from signplan.artwork.regions import FillRule, Ring, fill
from signplan.artwork.remarks import Remarks, counted
from signplan.artwork.svg_page import Matrix, Page, fitted, read_page, user_length, view_box
from signplan.artwork.svg_shapes import SHAPES, Subpath, subpaths, transform
from signplan.artwork.svg_style import Style, cascade, is_zero, paint, read_rules
from signplan.artwork.svg_tree import MOST_ELEMENTS, Node, parse_svg
from signplan.artwork.svg_uses import REFERENCE, by_id, check_uses
from signplan.errors import InputError, Problem
from signplan.findings import Severity
from signplan.units import MM_PER

PAGE = "page"
"""The layer of what lies in no named group."""

_UNSEEN = frozenset(
    """? defs symbol clipPath mask marker pattern linearGradient radialGradient filter title desc
    metadata style view cursor""".split()  # noqa: SIM905
)
_WAY_OUT = {
    "text": "convert lettering to outlines",
    "image": "trace it, or use it as the heights of a relief",
    "foreignObject": "draw it with paths",
}


@dataclass(kw_only=True, slots=True)
class SvgLayer:
    """What a group holds: filled shapes, and the centre lines of those that are only stroked."""

    wanted: bool = True
    painted: list[Painted] = field(default_factory=list)
    strokes: list[Stroke] = field(default_factory=list)
    aliases: list[str] = field(default_factory=list)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Context:
    """What an element inherits from those around it; `clipping`: it is drawn to clip others by."""

    to_mm: Matrix
    viewport: tuple[float, float]
    style: Style = field(default_factory=dict)
    layers: tuple[str, ...] = ()
    clip: BaseGeometry | None = None
    clipping: bool = False


def read_svg(
    path: Path, remarks: Remarks, *, units: str | None = None, wanted: Collection[str] | None = None
) -> dict[str, SvgLayer]:
    """Layers in order of first use.

    Raises:
        InputError: the file is refused.
    """
    root = parse_svg(path, remarks.name)
    try:
        page = read_page(root, (units, float(MM_PER[units])) if units else None)
    except ShapeError as error:
        raise InputError(Problem(file=remarks.name, line=root.line, message=str(error))) from error
    remarks.scale, remarks.unit = page.mm_per_unit, page.unit
    if page.unit == units:
        remarks.units_from = "job"
    elif page.unit == "px":
        remarks.units_from = "pixels"
    check_uses(root, remarks.name)
    reader = _Reader(root, remarks, wanted)
    reader.root(root, _Context(to_mm=page.to_mm, viewport=page.viewport))
    if not reader.layers and not remarks.problems:
        remarks.refuse("nothing to cut in the drawing")
    reader.report_strokes()
    reader.report_beyond_page(page)
    return reader.layers


class _Reader:
    """Walks the tree and collects the layers."""

    def __init__(self, root: Node, remarks: Remarks, wanted: Collection[str] | None) -> None:
        self.remarks = remarks
        self.wanted = None if wanted is None else {name.casefold() for name in wanted}
        self.rules = read_rules(root, remarks)
        self.by_id = by_id(root)
        self.layers: dict[str, SvgLayer] = {}
        self.clips: list[Polygon] = []
        self.open_clips: list[Node] = []
        self.visits = 0
        self.widest_stroke: dict[str, float] = {}

    def root(self, node: Node, context: _Context) -> None:
        """Read the whole drawing."""
        context = replace(context, style=self.style(node, context))
        try:
            if "transform" in node.attributes:
                raise ShapeError("a transform of the whole page is not read; save the drawing as plain SVG")
            if context.style.get("display") != "none":
                self._children(node, self._entered(node, context))
        except ShapeError as error:
            self.remarks.refuse(f"{node.name}: {error}", node.line)

    def visit(self, node: Node, context: _Context) -> None:
        """Read one element and what is in it; refuse what cannot be read right."""
        if node.tag in _UNSEEN:
            return
        self.visits += 1
        if self.visits > MOST_ELEMENTS:
            message = f"the drawing has more than {MOST_ELEMENTS} elements when its uses and clips are drawn"
            raise InputError(Problem(file=self.remarks.name, line=node.line, message=message))
        style = self.style(node, context)
        if style.get("display") == "none" or is_zero(style.get("opacity", "1")):
            self._note_hidden(node, context)
            return
        try:
            self._read(node, self._entered(node, replace(context, style=style)))
        except ShapeError as error:
            if self._is_wanted(context):
                self.remarks.refuse(f"{node.name}: {error}", node.line)

    def style(self, node: Node, context: _Context) -> dict[str, str]:
        """How an element is painted, with what it inherits."""
        return cascade(node, context.style, self.rules, self.remarks)

    def _children(self, node: Node, context: _Context) -> None:
        for child in node.children:
            self.visit(child, context)

    def _entered(self, node: Node, context: _Context) -> _Context:
        """The coordinates and the clip inside an element; refuses what is not read of its style."""
        for key in ("mask", "filter"):
            if context.style.get(key, "none") != "none":
                raise ShapeError(f"{key} is not read; apply it in the drawing program, or remove it")
        if "transform" in node.attributes:
            if "transform-origin" in context.style:
                raise ShapeError("transform-origin is not read; save the drawing as plain SVG")
            context = replace(context, to_mm=context.to_mm @ transform(node.attributes["transform"]))
        if node.tag == "use":
            context = replace(context, to_mm=context.to_mm @ _shift(node))
        return self._clipped(context)

    def _layers(self, context: _Context) -> list[SvgLayer]:
        """The layers that an element belongs to, those that are wanted."""
        names = dict.fromkeys(context.layers or (PAGE,))
        return [layer for layer in map(self._layer, names) if layer.wanted]

    def _layer(self, name: str, identity: str = "") -> SvgLayer:
        layer = self.layers.setdefault(
            name, SvgLayer(wanted=self.wanted is None or name.casefold() in self.wanted)
        )
        if identity not in ("", name, *layer.aliases):
            layer.aliases.append(identity)
            layer.wanted |= self.wanted is not None and identity.casefold() in self.wanted
        return layer

    def _is_wanted(self, context: _Context) -> bool:
        return self.wanted is None or bool(self._layers(context))

    def _note_hidden(self, node: Node, context: _Context) -> None:
        if node.tag == "g" or self._is_wanted(context):
            self.remarks.find(
                "art-hidden",
                Severity.NOTE,
                f"{node.name} is hidden in the drawing and was not read",
                where=f"line {node.line}",
                hint="show it in the drawing if it is to be cut",
            )

    def _read(self, node: Node, context: _Context) -> None:
        if node.tag in ("g", "a"):
            self._children(node, self._named(node, context))
        elif node.tag == "svg":
            self._viewport(node, node, self._named(node, context))
        elif node.tag == "switch":
            first = (child for child in node.children if not _is_conditional(child))
            self.visit(next(first, Node("?", {}, node.line)), context)
        elif node.tag == "use":
            self._use(node, context)
        elif node.tag in SHAPES:
            self._shape(node, context)
        elif node.tag in _WAY_OUT:
            raise ShapeError(f"cannot be cut; {_WAY_OUT[node.tag]}")
        else:
            raise ShapeError("is not read; save the drawing as plain SVG")

    def _named(self, node: Node, context: _Context) -> _Context:
        identity = node.attributes.get("id", "")
        name = node.attributes.get("label") or identity
        if not name or context.clipping:
            return context
        self._layer(name, identity)
        return replace(context, layers=(*context.layers, name))

    def _use(self, node: Node, context: _Context) -> None:
        reference = node.attributes.get("href", "")
        target = self.by_id.get(reference.removeprefix("#"))
        if not reference.startswith("#") or target is None:
            raise ShapeError(f"refers to {reference[:40]!r}, which is not in this file")
        if target.tag in ("symbol", "svg"):
            self._viewport(target, node, replace(context, style=self.style(target, context)))
        else:
            self.visit(target, context)

    def _viewport(self, node: Node, size_from: Node, context: _Context) -> None:
        """The inside of a nested `<svg>` or of a `<symbol>`: its own scale, clipped to its frame."""
        frame = [_extent(n, context.viewport) for n in (size_from, node)]
        width, height = (
            first if first is not None else second if second is not None else whole
            for first, second, whole in zip(*frame, context.viewport, strict=True)
        )
        if width <= 0 or height <= 0:
            return
        to_mm = context.to_mm @ _shift(node) if node.tag == "svg" else context.to_mm
        if context.style.get("overflow", "hidden") not in ("visible", "auto"):
            corners = np.array(((0, 0), (width, 0), (width, height), (0, height)))
            context = _narrowed(context, Polygon(corners @ to_mm[:2, :2].T + to_mm[:2, 2]))
        box = view_box(node)
        if box:
            to_mm = to_mm @ fitted(box, width, height, node.attributes.get("preserveAspectRatio", ""))
        self._children(node, replace(context, to_mm=to_mm, viewport=box[2:] if box else (width, height)))

    def _clipped(self, context: _Context) -> _Context:
        value = context.style.get("clip-path", "none")
        if value == "none":
            return context
        clip = self._referenced(value, "clipPath")
        if clip is None or clip.attributes.get("clipPathUnits") == "objectBoundingBox":
            raise ShapeError(f"clip-path={value[:40]!r} is not read; apply it in the drawing program")
        if any(clip is outer for outer in self.open_clips):
            raise ShapeError(f"clip-path={value[:40]!r} uses itself")
        inner = _Context(to_mm=context.to_mm, viewport=context.viewport, clipping=True, layers=context.layers)
        outside, self.clips = self.clips, []
        self.open_clips.append(clip)
        try:
            self._children(clip, self._entered(clip, replace(inner, style=self.style(clip, inner))))
        finally:
            self.open_clips.pop()
            shape, self.clips = shapely.union_all(self.clips), outside
        return _narrowed(context, shape)

    def _referenced(self, value: str, tag: str) -> Node | None:
        match = REFERENCE.fullmatch(value)
        node = self.by_id.get(match[1]) if match else None
        return node if node is not None and node.tag == tag else None

    def _shape(self, node: Node, context: _Context) -> None:
        style = context.style
        if style.get("visibility", "visible") != "visible" or not self._is_wanted(context):
            return
        filled = "clip" if context.clipping else paint(style, "fill")
        stroked = "" if context.clipping else paint(style, "stroke")
        if not filled and not stroked:
            self._note_hidden(node, context)
            return
        if any(child.tag.startswith("animate") or child.tag == "set" for child in node.children):
            raise ShapeError("animation is not read; save the drawing as plain SVG")
        drawn = subpaths(node, context.to_mm)
        if any(
            style.get(key, "none") != "none" for key in ("marker", "marker-start", "marker-mid", "marker-end")
        ):
            raise ShapeError("markers are not read; turn them into paths")
        if self._referenced(filled, "pattern"):
            raise ShapeError("a fill by a pattern is not read; draw the pattern as paths")
        areas = self._areas(drawn, context) if filled and node.tag != "line" else []
        if areas:
            self._paint(node, context, areas, filled)
            if stroked:
                self._note_stroke(context)
        elif stroked:
            self._stroke(node, context, drawn)

    def _areas(self, drawn: list[Subpath], context: _Context) -> list[Polygon]:
        """The areas that a shape fills, by its own fill rule, inside its clip."""
        key = "clip-rule" if context.clipping else "fill-rule"
        rule: FillRule = "evenodd" if context.style.get(key) == "evenodd" else "nonzero"
        rings = [Ring(_closed(subpath), ()) for subpath in drawn if len(subpath.points) > 2]
        areas = [area.shape for area in fill(rings, rule)]
        if context.clip is None:
            return areas
        return [part for area in areas for part in _polygons(area.intersection(context.clip))]

    def _paint(self, node: Node, context: _Context, areas: list[Polygon], filled: str) -> None:
        if context.clipping:
            self.clips.extend(areas)
            return
        for layer in self._layers(context):
            layer.painted.extend(Painted(area, filled, _source(node)) for area in areas)

    def _stroke(self, node: Node, context: _Context, drawn: list[Subpath]) -> None:
        if context.style.get("stroke-dasharray", "none") not in ("none", "0", ""):
            raise ShapeError("a dashed line is not read; draw it as single lines")
        drawn = [subpath for subpath in drawn if len(subpath.points) > 1]
        if context.clip is not None and not context.clip.covers(
            shapely.union_all([LineString(subpath.points) for subpath in drawn])
        ):
            raise ShapeError("a clipped line is not read; cut it in the drawing program")
        for layer in self._layers(context):
            layer.strokes.extend(Stroke(s.points, _source(node), s.closed) for s in drawn)

    def _note_stroke(self, context: _Context) -> None:
        width = user_length(context.style.get("stroke-width", "1"), "stroke-width")
        mm = width * float(np.sqrt(abs(np.linalg.det(context.to_mm[:2, :2]))))
        for name in context.layers or (PAGE,):
            self.widest_stroke[name] = max(mm, self.widest_stroke.get(name, 0.0))

    def report_strokes(self) -> None:
        """Say of which layers the filled shapes look larger than they are."""
        for name, width in self.widest_stroke.items():
            self.remarks.find(
                "art-stroke",
                Severity.WARNING,
                f"filled shapes on layer {name} have a stroke up to {self.remarks.length(width)} wide; "
                "the edge of the fill is read, not that of the stroke",
                where=f"layer {name}",
                hint="convert strokes to paths in the drawing program if they are part of the shape",
                mm=width,
            )

    def report_beyond_page(self, page: Page) -> None:
        """Say on which layers something lies beyond the page, where a viewer would not show it."""
        for name, layer in self.layers.items():
            bounds = [*(area.shape.bounds for area in layer.painted)]
            bounds += [(*s.points.min(axis=0), *s.points.max(axis=0)) for s in layer.strokes]
            beyond = [
                b
                for b in bounds
                if min(b[:2]) < -SAME_POINT or (np.array(b[2:]) > page.size + SAME_POINT).any()
            ]
            if beyond:
                self.remarks.find(
                    "art-off-page",
                    Severity.WARNING,
                    f"beyond the page on layer {name}: {counted(len(beyond), 'piece')}, read all the same",
                    where=f"layer {name}",
                    hint="delete what does not belong to the sign",
                )


def _is_conditional(node: Node) -> bool:
    return node.tag == "?" or not node.attributes.keys().isdisjoint(
        ("requiredExtensions", "requiredFeatures", "systemLanguage")
    )


def _shift(node: Node) -> Matrix:
    matrix = np.eye(3)
    matrix[:2, 2] = [user_length(node.attributes.get(key) or "0", key) for key in "xy"]
    return matrix


def _extent(node: Node, viewport: tuple[float, float]) -> tuple[float | None, float | None]:
    """Width and height of an element; None where it states none."""
    found: list[float | None] = []
    for key, whole in zip(("width", "height"), viewport, strict=True):
        text = node.attributes.get(key) if node.tag != "symbol" else None
        if text is None or text == "auto":
            found.append(None)
        else:
            found.append(whole if text.strip() == "100%" else user_length(text, key))
    return found[0], found[1]


def _narrowed(context: _Context, clip: BaseGeometry) -> _Context:
    return replace(context, clip=clip if context.clip is None else context.clip.intersection(clip))


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    parts = shape.geoms if hasattr(shape, "geoms") else [shape]
    return [part for part in parts if isinstance(part, Polygon) and part.area > 0]


def _closed(subpath: Subpath) -> Points:
    points = subpath.points
    return points if subpath.closed else np.concatenate((points, points[:1]))


def _source(node: Node) -> str:
    return node.attributes.get("id") or f"line {node.line}"
