"""An SVG file as a tree of plain nodes with line numbers, read behind guards.

expat limits entity expansion by itself; nothing outside the file is ever fetched.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from signplan.errors import InputError, Problem

MOST_BYTES = 32 << 20
MOST_ELEMENTS = 100_000
DEEPEST = 100
LONGEST_ATTRIBUTE = 1 << 20
LONGEST_PATH = 4 << 20
"""Characters of path data in the whole file: some 400,000 points."""
_LONGEST_ENTITIES = 4096

_SVG = "http://www.w3.org/2000/svg"
_FOREIGN = "?"


@dataclass(slots=True)
class Node:
    """One element: its name without namespace ("?" if it is not SVG), attributes without prefixes."""

    tag: str
    attributes: dict[str, str]
    line: int
    children: list["Node"] = field(default_factory=list)
    text: str = ""

    @property
    def name(self) -> str:
        """How a message names it: `<path> #logo`."""
        identity = self.attributes.get("id")
        return f"<{self.tag}> #{identity}" if identity else f"<{self.tag}>"

    def walk(self) -> Iterator["Node"]:
        """This node and all below it, in document order."""
        yield self
        for child in self.children:
            yield from child.walk()


class _Builder:
    def __init__(self, file: str, parser: expat.XMLParserType) -> None:
        self.file, self.parser = file, parser
        self.open: list[Node] = []
        self.root: Node | None = None
        self.elements = self.path_length = self.entity_length = 0
        parser.StartElementHandler = self.start
        parser.EndElementHandler = self.end
        parser.CharacterDataHandler = self.characters
        parser.EntityDeclHandler = self.entity

    def refuse(self, message: str) -> None:
        raise InputError(Problem(file=self.file, line=self.parser.CurrentLineNumber, message=message))

    def start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, local = name.rpartition(" ")
        tag = local if space in (_SVG, "") else _FOREIGN
        plain = {key.rpartition(" ")[2]: value for key, value in attributes.items() if " " in key}
        plain.update({key: value for key, value in attributes.items() if " " not in key})
        self.elements += 1
        self.path_length += len(plain.get("d", ""))
        if self.elements > MOST_ELEMENTS:
            self.refuse(f"more than {MOST_ELEMENTS} elements; this is no drawing of a sign")
        if len(self.open) >= DEEPEST:
            self.refuse(f"elements are nested more than {DEEPEST} deep")
        if self.path_length > LONGEST_PATH:
            self.refuse(f"more than {LONGEST_PATH >> 20} million characters of path data; simplify the paths")
        for key, value in plain.items():
            if len(value) > LONGEST_ATTRIBUTE and key != "href":
                self.refuse(f"attribute {key} of <{tag}> has {len(value):,} characters; simplify the drawing")
        node = Node(tag, plain, self.parser.CurrentLineNumber)
        if self.open:
            self.open[-1].children.append(node)
        elif self.root is None:
            self.root = node
        self.open.append(node)

    def end(self, name: str) -> None:
        self.open.pop()

    def characters(self, text: str) -> None:
        if self.open and self.open[-1].tag == "style":
            self.open[-1].text += text
            if len(self.open[-1].text) > 1 << 16:
                self.refuse("a <style> of more than 64 KiB; use presentation attributes")

    def entity(self, name: str, is_parameter: int, value: str | None, *rest: str | None) -> None:
        if value is None:
            self.refuse(f"entity &{name}; points outside the file")
        elif "&" in value:
            self.refuse(f"entity &{name}; holds other entities")
        else:
            self.entity_length += len(value)
            if self.entity_length > _LONGEST_ENTITIES:
                self.refuse("entities of more than 4 KiB")


def parse_svg(path: Path, name: str) -> Node:
    """The root `<svg>` of a file.

    Raises:
        InputError: not XML, not SVG, or larger than a drawing of a sign is.
    """
    parser = expat.ParserCreate(namespace_separator=" ")
    builder = _Builder(name, parser)
    try:
        parser.Parse(path.read_bytes(), True)
    except expat.ExpatError as error:
        message = f"not well-formed XML: {expat.ErrorString(error.code)}; save the drawing again as plain SVG"
        raise InputError(
            Problem(file=name, message=message, line=error.lineno, column=error.offset + 1)
        ) from error
    if builder.root is None or builder.root.tag != "svg":
        raise InputError(Problem(file=name, message="no SVG drawing: its first element is not <svg>"))
    return builder.root
