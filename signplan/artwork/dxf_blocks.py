"""The entities of a DXF drawing with its blocks drawn out, in bounded time, by layer and handle."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from signplan.artwork.dxf_file import refusing_damage
from signplan.artwork.remarks import Remarks
from signplan.errors import InputError, Problem

if TYPE_CHECKING:
    from ezdxf.document import Drawing

MOST_ENTITIES = 500_000
DEEPEST_BLOCK = 32


def entities(document: "Drawing", remarks: Remarks) -> Iterator[tuple[Any, str, str]]:
    """Every entity of model space with its layer and handle, blocks drawn out."""
    with refusing_damage(remarks):
        space = document.modelspace()
        _Bounds(document, remarks).check(space)
        yield from _walk(space, remarks, document)


def _walk(
    entities: Any, remarks: Remarks, document: "Drawing", outer: tuple[str, str] | None = None
) -> Iterator[tuple[Any, str, str]]:
    """Every entity with its layer and handle; inside a block those of the INSERT, where it says so.

    `outer` is the layer and the handle of the INSERT around.
    """
    for entity in entities:
        layer, source = entity.dxf.layer, entity.dxf.handle
        if outer is not None:
            layer, source = outer[0] if layer == "0" else layer, outer[1]
        if entity.dxftype() != "INSERT":
            yield entity, layer, source
            continue
        fault = _fault_of_insert(entity, document)
        if fault:
            remarks.refuse(f"layer {layer}: INSERT #{source} of block {entity.dxf.name}: {fault}")
            continue
        for single in entity.multi_insert() if entity.mcount > 1 else (entity,):
            skipped: list[str] = []
            inside = single.virtual_entities(
                skipped_entity_callback=lambda e, why, found=skipped: found.append(f"{e.dxftype()} ({why})")
            )
            yield from _walk(inside, remarks, document, (layer, source))
            for attribute in single.attribs:
                yield attribute, layer, source
            if skipped:
                remarks.refuse(
                    f"layer {layer}: INSERT #{source} cannot be placed with its {skipped[0]}; explode it"
                )


def _fault_of_insert(insert: Any, document: "Drawing") -> str:
    from ezdxf.xclip import XClip

    block = document.blocks.get(insert.dxf.name)
    if block is None:
        return "the block is not in this file"
    if block.block_record.is_xref:
        return "the block is in another file; bind it into this one"
    if insert.has_extension_dict and XClip(insert).has_clipping_path:
        return "a clipped block is not read; explode and trim it"
    return ""


class _Bounds:
    """Counts the entities that the drawing has when every block is drawn out, before any is."""

    def __init__(self, document: "Drawing", remarks: Remarks) -> None:
        self.blocks, self.remarks = document.blocks, remarks
        self.counted: dict[str, int] = {}

    def check(self, space: Any) -> None:
        """Refuse endless, deep and vast drawings."""
        self._sum(space, 0)

    def _sum(self, entities: Any, depth: int) -> int:
        if depth > DEEPEST_BLOCK:
            self._refuse(f"blocks are nested more than {DEEPEST_BLOCK} deep")
        total = 0
        for entity in entities:
            total += self._insert(entity, depth) if entity.dxftype() == "INSERT" else 1
            if total > MOST_ENTITIES:
                self._refuse(
                    f"the drawing has more than {MOST_ENTITIES:,} entities when its blocks are drawn out"
                )
        return total

    def _insert(self, insert: Any, depth: int) -> int:
        name = insert.dxf.name.casefold()
        if self.counted.get(name) == 0:
            self._refuse(f"block {insert.dxf.name} contains itself")
        if name not in self.counted:
            self.counted[name] = 0
            block = self.blocks.get(name)
            self.counted[name] = max(1, self._sum(block, depth + 1) if block is not None else 1)
        return self.counted[name] * max(1, int(insert.mcount))

    def _refuse(self, message: str) -> None:
        raise InputError(Problem(file=self.remarks.name, message=message))
