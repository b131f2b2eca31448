from pathlib import Path

import pytest

from signplan.artwork.svg_tree import parse_svg
from signplan.errors import InputError

SVG = b'<svg xmlns="http://www.w3.org/2000/svg">%s</svg>'


def refusal(folder: Path, data: bytes) -> str:
    path = folder / "face.svg"
    path.write_bytes(data)
    with pytest.raises(InputError) as caught:
        parse_svg(path, "face.svg")
    return str(caught.value)


def test_names_ids_labels_and_lines(tmp_path):
    path = tmp_path / "face.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:d="urn:d">\n'
        '<g id="g1" d:label="LETTERS">\n<path d="M0 0"/></g><d:guide/></svg>'
    )
    group, guide = parse_svg(path, "face.svg").children
    assert group.name == "<g> #g1"
    assert group.attributes["label"] == "LETTERS"
    assert (group.children[0].name, group.children[0].line) == ("<path>", 3)
    assert guide.tag == "?"


def test_harmless_entities_of_drawing_programs(tmp_path):
    path = tmp_path / "face.svg"
    path.write_bytes(
        b'<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "svg11.dtd" '
        b'[<!ENTITY ns_svg "http://www.w3.org/2000/svg">]><svg xmlns="&ns_svg;"><g/></svg>'
    )
    assert [child.tag for child in parse_svg(path, "face.svg").children] == ["g"]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "not well-formed XML"),
        (SVG[:-6] % b"<g>", "face.svg:1:44: not well-formed XML: no element found"),
        (b"<html><body/></html>", "no SVG drawing: its first element is not <svg>"),
        (bytes(range(256)), "not well-formed XML"),
        (
            b'<!DOCTYPE l [<!ENTITY a SYSTEM "file:///x">]>' + SVG % b"&a;",
            "entity &a; points outside the file",
        ),
        (
            b'<!DOCTYPE l [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]>' + SVG % b"&b;",
            "entity &b; holds other entities",
        ),
        (b'<!DOCTYPE l [<!ENTITY a "' + b"a" * 9999 + b'">]>' + SVG % b"&a;", "entities of more than 4 KiB"),
        (SVG % (b"<g>" * 20000 + b"</g>" * 20000), "elements are nested more than 100 deep"),
        (SVG % (b"<g/>" * 200_000), "more than 100000 elements"),
        (SVG % (b"<style>" + b".a{" * 40_000 + b"</style>"), "a <style> of more than 64 KiB"),
        (
            SVG % (b'<g class="' + b"a " * 2_000_000 + b'"/>'),
            "attribute class of <g> has 4,000,000 characters",
        ),
        (
            SVG % (b'<path d="M0 0' + b"L1 1" * 500_000 + b'"/>'),
            "attribute d of <path> has 2,000,004 characters",
        ),
        (SVG % ((b'<path d="M0 0' + b"L1 1" * 100_000 + b'"/>') * 11), "4 million characters of path data"),
    ],
    ids=range(13),
)
def test_refused(tmp_path, data, message):
    assert message in refusal(tmp_path, data)
