"""Which element of an SVG refers to which, and how much that makes when everything is drawn."""

import re

from signplan.artwork.svg_tree import DEEPEST, MOST_ELEMENTS, Node
from signplan.errors import InputError, Problem

REFERENCE = re.compile(r"""url\(\s*["']?#([^"')]+)["']?\s*\).*""")
"""A reference to an element of the same file, as clip-path and fill write it."""


def by_id(root: Node) -> dict[str, Node]:
    """Elements by id; the first of that id, as browsers have it."""
    return {node.attributes["id"]: node for node in reversed(list(root.walk())) if "id" in node.attributes}


def check_uses(root: Node, file: str) -> None:
    """Refuse a drawing whose elements use themselves, or stand for too many when every use is drawn.

    Raises:
        InputError: with the line of the element.
    """
    _Bounds(root, file).count(root, 0)


class _Bounds:
    """Counts the elements that a drawing has when every `<use>` is drawn, before anything is."""

    def __init__(self, root: Node, file: str) -> None:
        self.by_id, self.file = by_id(root), file
        self.counted: dict[int, int] = {}

    def count(self, node: Node, depth: int) -> int:
        """How many elements a node stands for; refuses endless, deep and vast ones."""
        known = self.counted.get(id(node))
        if known == 0:
            self._refuse(node, f"{node.name} uses itself")
        if known:
            return known
        if depth > 2 * DEEPEST:
            self._refuse(node, f"elements use each other more than {2 * DEEPEST} deep")
        self.counted[id(node)] = 0
        inner = list(node.children)
        inner += [self.by_id[reference] for reference in self._references(node) if reference in self.by_id]
        total = 1 + sum(self.count(child, depth + 1) for child in inner)
        if total > MOST_ELEMENTS:
            self._refuse(node, f"{node.name} stands for more than {MOST_ELEMENTS} elements")
        self.counted[id(node)] = total
        return total

    def _references(self, node: Node) -> list[str]:
        found = [node.attributes.get("href", "").removeprefix("#")] if node.tag == "use" else []
        match = REFERENCE.search(node.attributes.get("clip-path", "") or node.attributes.get("style", ""))
        return [*found, match[1]] if match else found

    def _refuse(self, node: Node, message: str) -> None:
        raise InputError(Problem(file=self.file, line=node.line, message=message))
