"""The closing check: does the sign close around its steel, and how much room is left."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemFit:
    """How one hardware item sits in the cavity of both as-cut pockets.

    Attributes:
        name: the item's name.
        room: least distance from its surface to board at nominal registration, mm; negative: it overlaps.
        room_worst: the same at worst registration.
        spot: (x, y, z) of the least room, assembly frame.
        panel: the panel in the way there, "A" or "B".
        captive: it cannot leave in the plane (or something else holds it).
        way_out: degrees of the direction in which it leaves, if it does.
        slides: how far it moves that way before it meets board, mm; infinite if it leaves.
    """

    name: str
    room: float
    room_worst: float
    spot: tuple[float, float, float]
    panel: str
    captive: bool
    way_out: float | None = None
    slides: float = 0.0
