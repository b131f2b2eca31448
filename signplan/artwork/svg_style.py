"""How an SVG element is painted: attributes, style attributes and simple style sheets, inherited."""

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from signplan.artwork.remarks import Remarks
from signplan.artwork.svg_tree import Node

INHERITED = frozenset(
    """fill fill-rule fill-opacity stroke stroke-width stroke-opacity stroke-dasharray visibility
    clip-rule marker marker-start marker-mid marker-end""".split()  # noqa: SIM905
)
_OTHER = frozenset(["display", "opacity", "clip-path", "mask", "filter", "transform-origin", "overflow"])
_READ = INHERITED | _OTHER
_GEOMETRY = frozenset(
    """transform d x y cx cy r rx ry width height translate rotate scale offset-path zoom""".split()  # noqa: SIM905
)

Style = Mapping[str, str]

_SELECTOR = re.compile(r"(?P<tag>\*|[a-zA-Z][\w-]*)?(?P<rest>(?:[.#][\w-]+)*)")
_TRANSPARENT = re.compile(
    r"transparent|#[0-9a-f]{3}0|#[0-9a-f]{6}00|rgba\(.*[,/]\s*0*\.?0*%?\s*\)|hsla\(.*,\s*0*\.?0*%?\s*\)"
)


class Rule(NamedTuple):
    """One selector of a style sheet and what it sets; `weight` ranks rules as CSS does."""

    tag: str
    classes: frozenset[str]
    identities: frozenset[str]
    properties: Style
    weight: tuple[int, int, int]

    def fits(self, node: Node) -> bool:
        """Whether the selector picks this element."""
        return (
            self.tag in ("", "*", node.tag)
            and self.identities <= {node.attributes.get("id", "")}
            and self.classes <= set(node.attributes.get("class", "").split())
        )


def read_rules(root: Node, remarks: Remarks) -> list[Rule]:
    """The rules of every `<style>`, weakest first; what goes beyond tag, class and id is refused."""
    rules = [rule for node in root.walk() if node.tag == "style" for rule in _sheet(node, remarks)]
    return sorted(rules, key=lambda rule: rule.weight)


def _sheet(node: Node, remarks: Remarks) -> Iterator[Rule]:
    text = re.sub(r"/\*.*?\*/|<!--|-->", " ", node.text, flags=re.DOTALL)
    text = re.sub(r"@(?:charset|namespace)[^;{}]*;|@font-face\s*\{[^{}]*\}", " ", text)
    for block in text.split("}")[:-1]:
        selectors, brace, body = block.partition("{")
        if not brace or "@" in selectors or "{" in body:
            remarks.refuse(
                f"the style sheet's {selectors.strip()[:40]!r} is not read; use presentation attributes",
                node.line,
            )
            return
        properties = _declarations(body, node, remarks)
        for selector in selectors.split(","):
            match = _SELECTOR.fullmatch(selector.strip())
            if not match or not selector.strip():
                remarks.refuse(
                    f"the style selector {selector.strip()[:40]!r} is not read, only tag, .class and #id; "
                    "use presentation attributes",
                    node.line,
                )
                continue
            classes = frozenset(re.findall(r"\.([\w-]+)", match["rest"]))
            identities = frozenset(re.findall(r"#([\w-]+)", match["rest"]))
            tag = match["tag"] or ""
            weight = (len(identities), len(classes), tag not in ("", "*"))
            yield Rule(tag, classes, identities, properties, weight)
    if text.rpartition("}")[2].strip():
        remarks.refuse("a style sheet ends within a rule", node.line)


def _declarations(text: str, node: Node, remarks: Remarks) -> dict[str, str]:
    found = {}
    for declaration in re.sub(r"/\*.*?\*/", " ", text, flags=re.DOTALL).split(";"):
        key, _, value = declaration.partition(":")
        key, value = key.strip().lower(), value.strip()
        if "!important" in value.replace(" ", ""):
            remarks.refuse(f"{node.name}: !important in a style is not read", node.line)
        elif key in _GEOMETRY and value not in ("none", ""):
            remarks.refuse(
                f"{node.name}: the style property {key} moves or shapes the drawing; use an attribute",
                node.line,
            )
        elif key in _READ:
            found[key] = value
    return found


def cascade(node: Node, parent: Style, rules: list[Rule], remarks: Remarks) -> dict[str, str]:
    """The style of an element: inherited, then attributes, style sheets, and its own style attribute."""
    own = {key: value.strip() for key, value in node.attributes.items() if key in _READ}
    for rule in rules:
        if rule.fits(node):
            own.update(rule.properties)
    if "style" in node.attributes:
        own.update(_declarations(node.attributes["style"], node, remarks))
    style = {key: value for key, value in parent.items() if key in INHERITED}
    for key, value in own.items():
        if value == "inherit":
            style[key] = parent.get(key, "")
        elif value == "initial":
            style.pop(key, None)
        else:
            style[key] = value
    return style


def paint(style: Style, kind: str) -> str:
    """What `fill` or `stroke` paints with; empty if with nothing that can be seen."""
    value = style.get(kind, "black" if kind == "fill" else "none").strip().lower()
    unseen = value in ("none", "") or bool(_TRANSPARENT.fullmatch(value))
    return "" if unseen or is_zero(style.get(f"{kind}-opacity", "1")) else value


def is_zero(opacity: str) -> bool:
    """Whether an opacity hides what it applies to."""
    try:
        return float(opacity.removesuffix("%")) <= 0
    except ValueError:
        return False
