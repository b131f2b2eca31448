import pytest

from signplan.artwork.remarks import Remarks
from signplan.artwork.svg_style import cascade, paint, read_rules
from signplan.artwork.svg_tree import Node


def sheet(text):
    remarks = Remarks(name="face.svg")
    rules = read_rules(Node("svg", {}, 1, [Node("style", {}, 2, text=text)]), remarks)
    return rules, [str(problem) for problem in remarks.problems]


def style_of(node, text="", parent=None):
    return cascade(node, parent or {}, sheet(text)[0], Remarks(name="face.svg"))


def test_the_stronger_rule_wins():
    text = "rect{fill:a} .x{fill:b} #i{fill:c} *{stroke:d}"
    assert style_of(Node("rect", {"fill": "z"}, 1), text)["fill"] == "a"
    assert style_of(Node("rect", {"class": "y x"}, 1), text)["fill"] == "b"
    assert style_of(Node("rect", {"class": "x", "id": "i"}, 1), text)["fill"] == "c"
    assert style_of(Node("rect", {"id": "i", "style": "fill: d"}, 1), text) == {"fill": "d", "stroke": "d"}


def test_what_is_inherited():
    parent = {"fill": "red", "opacity": "0.5", "clip-path": "url(#c)"}
    assert style_of(Node("g", {}, 1), parent=parent) == {"fill": "red"}
    assert style_of(Node("g", {"clip-path": "inherit"}, 1), parent=parent)["clip-path"] == "url(#c)"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("g > rect {fill:none}", "face.svg:2: the style selector 'g > rect' is not read"),
        ("g rect {fill:none}", "'g rect'"),
        ("rect[x] {fill:none}", "'rect[x]'"),
        ("a:hover {fill:none}", "'a:hover'"),
        ("@media print {rect {fill:none}}", "the style sheet's '@media print' is not read"),
        ("rect {fill:none !important}", "!important in a style is not read"),
        ("rect {transform: rotate(5deg)}", "the style property transform moves or shapes the drawing"),
        ("rect {fill:none", "a style sheet ends within a rule"),
    ],
)
def test_what_is_not_read_is_refused(text, message):
    _, problems = sheet(text)
    assert any(message in problem for problem in problems)


def test_comments_fonts_and_upper_case():
    rules, problems = sheet("/* a > b {} */ @charset 'x'; @font-face {src: url(a)} RECT, .A { FILL : none }")
    assert not problems
    assert [(rule.tag, dict(rule.properties)) for rule in rules] == [
        ("RECT", {"fill": "none"}),
        ("", {"fill": "none"}),
    ]


@pytest.mark.parametrize(
    "nothing", ["none", "transparent", "#fff0", "#ffffff00", "rgba(1, 2, 3, 0)", "rgba(1 2 3 / 0.0)"]
)
def test_paint_that_cannot_be_seen(nothing):
    assert paint({"fill": nothing}, "fill") == ""


def test_paint():
    assert paint({}, "fill") == "black"
    assert paint({}, "stroke") == ""
    assert paint({"fill": "Red"}, "fill") == "red"
    assert paint({"fill": "red", "fill-opacity": "0"}, "fill") == ""
    assert paint({"stroke": "rgba(1,2,3,0.5)"}, "stroke") == "rgba(1,2,3,0.5)"
