import math

import pytest

from signplan.artwork.importer import read_artwork
from signplan.artwork.model import CHORD_ERROR
from signplan.errors import InputError
from signplan.findings import Severity

RECT = '<rect id="r" x="10" y="10" width="10" height="5"/>'


def read(path, **how):
    artwork, findings = read_artwork(path, **how)
    return {layer.name: layer for layer in artwork.layers}, findings


def refusal(path, **how) -> str:
    with pytest.raises(InputError) as caught:
        read_artwork(path, **how)
    return str(caught.value)


def test_groups_are_layers_and_part_of_the_groups_around_them(svg):
    layers, _ = read(svg(f'<g id="g1" d:label="LETTERS"><g id="sub">{RECT}</g></g><circle r="1"/>'))
    assert list(layers) == ["LETTERS", "sub", "page"]
    assert layers["LETTERS"].aliases == ("g1",)
    assert [region.sources for region in layers["LETTERS"].regions] == [("r",)]
    assert layers["sub"].regions[0].shape.bounds == pytest.approx((10, 35, 20, 40))
    assert layers["page"].regions[0].sources == ("line 2",)


def test_a_layer_by_label_or_by_id_in_any_case(svg):
    artwork, _ = read_artwork(svg(f'<g id="g1" d:label="Letters">{RECT}</g>'))
    for name in ("Letters", "LETTERS", "g1"):
        assert artwork.layer(name) is artwork.layers[0]
    assert artwork.layer("g2") is None


def test_only_the_layers_that_were_asked_for_can_refuse(svg):
    path = svg(f'<g id="NOTES"><text>x</text></g><g id="FACE">{RECT}</g>')
    artwork, _ = read_artwork(path, layers=["face"])
    assert [layer.name for layer in artwork.layers] == ["FACE"]
    assert artwork.unread == ("NOTES",)
    assert "convert lettering to outlines" in refusal(path)


def test_filled_shapes_go_by_their_own_rule(svg):
    star = '<path d="M25 1 40 45 2 18H48L10 45z"/>'
    (whole,) = read(svg(star))[0]["page"].regions
    assert len(read(svg(star.replace("<path", '<path fill-rule="evenodd"')))[0]["page"].regions) == 5
    assert whole.shape.area == pytest.approx(669.4, abs=0.1)


def test_strokes_alone_are_centre_lines_and_outlines(svg):
    path = svg(
        '<g id="VEINS" fill="none" stroke="red"><path d="M0 0h10"/><path d="M10 10v-10"/></g>'
        '<g id="OUTLINE" style="fill:none;stroke:red">'
        '<rect width="20" height="10"/><circle cx="5" cy="5" r="2"/></g>'
    )
    layers, findings = read(path)
    (line,) = layers["VEINS"].lines
    assert list(line.shape.coords) == [(0, 50), (10, 50), (10, 40)]
    (outline,) = layers["OUTLINE"].regions
    assert outline.shape.area == pytest.approx(200 - 4 * math.pi, rel=1e-3)
    assert not findings


def test_uses_symbols_and_nested_drawings(svg):
    path = svg(
        '<defs><path id="p" d="M0 0h2v2h-2z"/></defs>'
        '<g id="USE"><use href="#p" x="5" y="5"/>'
        '<use xlink:href="#p" transform="scale(2)" x="10" y="10"/></g>'
        '<symbol id="s" viewBox="0 0 10 10"><circle cx="10" cy="10" r="10"/></symbol>'
        '<g id="SYMBOL"><use href="#s" x="20" y="10" width="20" height="30"/></g>'
        '<svg id="NEST" x="10" y="10" width="20" height="20" viewBox="0 0 5 5">'
        '<rect x="-1" y="1" width="4" height="2"/></svg>'
    )
    layers, _ = read(path)
    assert [r.shape.bounds for r in layers["USE"].regions] == [
        pytest.approx((5, 43, 7, 45)),
        pytest.approx((20, 26, 24, 30)),
    ]
    (symbol,) = layers["SYMBOL"].regions
    assert symbol.shape.bounds == pytest.approx((20, 10, 40, 35), abs=CHORD_ERROR)
    (nested,) = layers["NEST"].regions
    assert nested.shape.bounds == pytest.approx((10, 28, 22, 36))


def test_clipping_is_done(svg):
    clip = '<clipPath id="c"><circle cx="15" cy="12" r="2"/></clipPath>'
    layers, _ = read(svg(clip + RECT.replace("<rect", '<rect clip-path="url(#c)"')))
    assert layers["page"].regions[0].shape.area == pytest.approx(4 * math.pi, rel=2e-3)


def test_a_clip_that_uses_itself_by_a_style_sheet(svg):
    clip = '<clipPath id="c"><rect class="x" width="5" height="5"/></clipPath>'
    message = refusal(
        svg(f'<style>.x{{clip-path:url(#c)}}</style>{clip}<rect class="x" width="9" height="9"/>')
    )
    assert "<rect>: clip-path='url(#c)' uses itself" in message


@pytest.mark.parametrize(
    ("page", "message"),
    [
        ('transform="scale(2)"', "face.svg:1: <svg>: a transform of the whole page is not read"),
        ('mask="url(#m)"', "face.svg:1: <svg>: mask is not read"),
        ('display="none"', "face.svg: nothing to cut in the drawing"),
    ],
)
def test_what_is_asked_of_the_whole_page(svg, page, message):
    assert refusal(svg(RECT, page=f'width="9mm" height="9mm" {page}')).startswith(message)


def test_a_switch_shows_its_first_plain_child(svg):
    layers, _ = read(svg(f'<switch><foreignObject requiredExtensions="x"/><g id="G">{RECT}</g></switch>'))
    assert len(layers["G"].regions) == 1


@pytest.mark.parametrize(
    ("inside", "message"),
    [
        ('<text id="t">Hi</text>', "<text> #t: cannot be cut; convert lettering to outlines"),
        ('<image href="a.png"/>', "<image>: cannot be cut; trace it, or use it as the heights of a relief"),
        ("<foreignObject/>", "<foreignObject>: cannot be cut; draw it with paths"),
        ("<script/>", "<script>: is not read; save the drawing as plain SVG"),
        (
            '<rect id="q" mask="url(#m)" width="5" height="5"/>',
            "<rect> #q: mask is not read; apply it in the drawing program, or remove it",
        ),
        ('<rect style="filter:url(#f)" width="5" height="5"/>', "<rect>: filter is not read"),
        (
            '<pattern id="p"/><rect fill="url(#p)" width="5" height="5"/>',
            "<rect>: a fill by a pattern is not read; draw the pattern as paths",
        ),
        ('<path marker-end="url(#m)" d="M0 0L5 5" stroke="red"/>', "<path>: markers are not read"),
        (
            '<line x2="5" y2="5" stroke="red" stroke-dasharray="1 2"/>',
            "<line>: a dashed line is not read; draw it as single lines",
        ),
        (
            '<rect transform="rotate(45)" transform-origin="5 5" width="5" height="5"/>',
            "<rect>: transform-origin is not read; save the drawing as plain SVG",
        ),
        ('<rect width="5" height="5"><animate/></rect>', "<rect>: animation is not read"),
        ('<rect clip-path="inset(5px)" width="5" height="5"/>', "<rect>: clip-path='inset(5px)' is not read"),
        (
            '<clipPath id="c"><circle r="1"/></clipPath><path clip-path="url(#c)" d="M0 0h9" stroke="red"/>',
            "<path>: a clipped line is not read; cut it in the drawing program",
        ),
        ('<use href="#zz"/>', "<use>: refers to '#zz', which is not in this file"),
        ('<use href="other.svg#a"/>', "<use>: refers to 'other.svg#a', which is not in this file"),
        ('<rect width="50%" height="3"/>', "<rect>: width='50%' is no length with a fixed unit"),
        ('<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>', "<g> #a uses itself"),
        ('<path id="bad" d="M0 0 L1 1 x"/>', "<path> #bad: its path data is not understood"),
        ("<style>g &gt; rect{fill:none}</style>" + RECT, "the style selector 'g > rect' is not read"),
    ],
)
def test_what_would_be_cut_wrongly_is_refused_by_name_id_and_line(svg, inside, message):
    assert refusal(svg(inside)).startswith(f"face.svg:2: {message}")


def test_every_refusal_at_once(svg):
    assert len(refusal(svg("<text/>\n<image/>\n<text/>")).splitlines()) == 3


def test_nothing_to_cut(svg):
    assert refusal(svg("")) == "face.svg: nothing to cut in the drawing"
    assert refusal(svg(f'<g display="none">{RECT}</g>')) == "face.svg: nothing to cut in the drawing"


def test_hidden_things_are_said(svg):
    _, (finding,) = read(svg(f'<g id="H" display="none">{RECT}</g>{RECT}'))
    assert (finding.code, finding.message) == (
        "art-hidden",
        "<g> #H is hidden in the drawing and was not read",
    )


def test_a_stroke_on_a_filled_shape_is_said(svg):
    _, (finding,) = read(svg(RECT.replace("<rect", '<rect stroke="red" stroke-width="2"')))
    assert finding.code == "art-stroke"
    assert finding.measured == pytest.approx(2)


def test_art_beyond_the_page_is_said(svg):
    _, (finding,) = read(svg('<g id="A"><rect x="95" y="10" width="10" height="5"/></g>'))
    assert finding.code == "art-off-page"
    assert finding.where == "face.svg: layer A"


def test_a_white_letter_on_a_black_disc_is_a_fault(svg):
    _, (finding,) = read(
        svg('<circle id="d" cx="20" cy="20" r="15"/><circle id="w" cx="20" cy="20" r="5" fill="#fff"/>')
    )
    assert (finding.code, finding.severity) == ("art-overlap", Severity.ERROR)
    assert finding.where == "face.svg: layer page, #d, #w"


def test_pixels_are_read_at_96_to_the_inch_and_said(svg):
    path = svg('<rect width="96" height="48"/>', page='width="96" height="96"')
    artwork, (finding,) = read_artwork(path)
    assert artwork.layers[0].regions[0].shape.bounds == pytest.approx((0, 12.7, 25.4, 25.4))
    assert finding.severity is Severity.WARNING
    assert (
        finding.message == "face.svg is sized in pixels, read at 96 to the inch: all of it is 96 px by 48 px"
    )
