import pytest

from signplan.artwork.importer import read_artwork
from signplan.artwork.svg_tree import Node
from signplan.artwork.svg_uses import by_id
from signplan.errors import InputError

RECT = '<rect id="r" x="10" y="10" width="10" height="5"/>'


def refusal(path) -> str:
    with pytest.raises(InputError) as caught:
        read_artwork(path)
    return str(caught.value)


def test_the_first_of_two_elements_with_one_id_counts():
    first, second = Node("g", {"id": "a"}, 1), Node("g", {"id": "a"}, 2)
    assert by_id(Node("svg", {}, 1, [first, second]))["a"] is first


def test_a_hundred_million_uses(svg):
    groups = "".join(f'<g id="a{k}">' + f'<use href="#a{k - 1}"/>' * 8 + "</g>" for k in range(1, 9))
    assert "stands for more than 100000 elements" in refusal(svg(groups + f'<g id="a0">{RECT}</g>'))


def test_a_long_chain_of_uses(svg):
    groups = "".join(f'<g id="a{k}"><use href="#a{k + 1}"/></g>' for k in range(1000))
    assert "elements use each other more than 200 deep" in refusal(svg(groups + f'<g id="a1000">{RECT}</g>'))


def test_a_circle_of_uses(svg):
    inside = '<g id="a"><use href="#b"/></g><g id="b"><use href="#a"/></g>'
    assert refusal(svg(inside)) == "face.svg:2: <g> #a uses itself"
