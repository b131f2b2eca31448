"""The sign on the proof: each side in layers to look through, its inner faces, the places of the findings.

A side is looked through from the front: its face; then the recesses behind it, where its reader has them;
then the steel in the far panel. The three share one frame, so nothing moves as one of them is taken away.
"""

import html
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from shapely import MultiPoint

from signplan.documents.drawing import Box, Drawing
from signplan.documents.svg import number, svg_marks, view_box
from signplan.documents.views import behind, cavity, inner_face, outer_face
from signplan.findings import Finding
from signplan.plan import Plan
from signplan.sign.register import PANELS, Panel, Placement, view

RING = 1 / 40
"""Radius of the ring round a finding's place, in the larger side of the sign."""

BESIDE = 1 / 4
"""How far beside the sign its steel and the places of findings are drawn, in the larger side of the sign: a
long post would leave no room for the sign."""

Layer = Literal["face", "inner face", "cavity", "glue side"]


@dataclass(frozen=True, kw_only=True, slots=True)
class Shown:
    """A drawing that can be shown: which way of looking it belongs to, and where the assembly lies in it."""

    id: str
    way: str
    layer: Layer
    words: str
    drawing: Drawing
    place: Placement
    panel: str

    def shows(self, finding: Finding) -> bool:
        """Whether the place of a finding can be seen in it; `panel` is "" where both panels are."""
        if len(finding.spot) < 2 or (self.panel and finding.panel not in ("", self.panel)):
            return False
        on_face = finding.where.startswith(("carve", "layer")) or "/outer/" in finding.where
        inside = finding.where.startswith(("hardware", "dowels")) or "/inner/" in finding.where
        return not inside if self.layer == "face" else not on_face


def sign_section(plan: Plan) -> Iterator[str]:
    """The section of the page: what to look at, how far through, and the drawings."""
    shown = tuple(every_drawing(plan))
    ways = {each.way: _way_words(each) for each in shown}
    yield '<section class="sign" aria-labelledby="h-sign"><h2 id="h-sign">The sign</h2>'
    yield '<div class="screen controls"><fieldset><legend>look at</legend>'
    for way, words in ways.items():
        yield f'<label><input type="radio" name="way" value="{way}">{words}</label>'
    yield "</fieldset>"
    yield (
        '<div class="through"><label for="through">look through</label>'
        '<span class="track"><input type="range" id="through" min="0" max="20" step="1" value="0">'
        '<span class="stops" aria-hidden="true"><span>face</span><span>inner face</span><span>cavity</span>'
        "</span></span></div></div>"
    )
    yield '<div id="stage">'
    for each in shown:
        yield _figure(plan, each)
    yield '</div><p id="shown" class="screen" role="status"></p></section>'


def _way_words(shown: Shown) -> str:
    panel = shown.way[-1]
    return f"glue side of {panel}" if shown.layer == "glue side" else f"side {panel}"


def every_drawing(plan: Plan) -> Iterator[Shown]:
    """Every drawing, those of one way of looking together, the nearest layer first."""
    for panel in PANELS:
        yield from _side(plan, panel)
    for panel in PANELS:
        drawing, place = inner_face(plan, panel), view(panel, "inner", plan.sign.width)
        yield Shown(
            id=f"glue-side-{panel}",
            way=f"glue-{panel}",
            layer="glue side",
            words=f"Panel {panel}'s inner face, seen from the glue side.",
            drawing=replace(drawing, box=_box(plan, drawing.box, place)),
            place=place,
            panel=panel,
        )


def _side(plan: Plan, panel: Panel) -> Iterator[Shown]:
    far = next(each for each in PANELS if each != panel)
    place = view(panel, "outer", plan.sign.width)
    inside = cavity(plan, panel)
    box = _box(plan, inside.box, place)
    bare = f"Panel {panel} taken away: {far}'s recesses, {panel}'s dashed, the steel dark."
    layers: tuple[tuple[Layer, str, Drawing], ...] = (
        ("face", f"Side {panel} as its reader sees it.", outer_face(plan, panel)),
        ("inner face", f"Through side {panel}: the recesses behind it.", behind(plan, panel)),
        ("cavity", bare, inside),
    )
    for layer, words, drawing in layers:
        yield Shown(
            id=f"side-{panel}-{layer.replace(' ', '-')}",
            way=f"side-{panel}",
            layer=layer,
            words=words,
            drawing=replace(drawing, box=box),
            place=place,
            panel="" if layer == "cavity" else panel,
        )


def _box(plan: Plan, box: Box, place: Placement) -> Box:
    """The sign's box with what of the drawing, and of the places of findings, is near it."""
    wide, high = plan.sign.width, plan.sign.height
    sign = shapely.box(0, 0, wide, high)
    near = sign.buffer(max(wide, high) * BESIDE, join_style="mitre")
    spots = [place.point(each.spot[0], each.spot[1]) for each in plan.findings if len(each.spot) >= 2]
    beside = shapely.union(shapely.box(*box), MultiPoint(spots)).intersection(near)
    x0, y0, x1, y1 = sign.union(beside).bounds
    return x0, y0, x1, y1


def _figure(plan: Plan, shown: Shown) -> str:
    words, seen = html.escape(shown.words), view_box(shown.drawing, 2 * _ring(plan) + 2)
    return (
        f'<figure class="view" id="{shown.id}" data-way="{shown.way}" data-layer="{shown.layer}">'
        f'<svg role="img" aria-label="{words}" viewBox="{seen}">'
        f"{svg_marks(shown.drawing)}{''.join(_spots(plan, shown))}</svg>"
        f"<figcaption>{words}</figcaption></figure>"
    )


def _ring(plan: Plan) -> float:
    return max(plan.sign.width, plan.sign.height) * RING


def _spots(plan: Plan, shown: Shown) -> Iterator[str]:
    """A ring at the place of every finding that the drawing shows, with the finding's number beside it."""
    radius = _ring(plan)
    up, size = number(radius * 0.8), number(radius * 1.3)
    for index, finding in enumerate(plan.findings):
        if shown.shows(finding):
            x, y = shown.place.point(finding.spot[0], finding.spot[1])
            title = html.escape(f"{index + 1} {finding.code}: {finding.message}")
            yield (
                f'<g class="spot" data-finding="{index}" transform="translate({number(x)} {number(-y)})">'
                f'<title>{title}</title><circle r="{number(radius)}"/>'
                f'<text x="{up}" y="-{up}" font-size="{size}">{index + 1}</text></g>'
            )
