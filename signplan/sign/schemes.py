"""The ways to locate a sign's blanks and to cut its outline, ranked by the step that they leave at the seam.

Blanks are turned about index pins or against edge stops; the outline is cut from the inner face, with the
pockets and dowel holes, or from the outer one, after the turn; both panels share one blank, or have one each.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from signplan.job.shop import Shop
from signplan.sign.fits import Stack
from signplan.sign.location import outline_stacks
from signplan.sign.model import Sign
from signplan.sign.register import Face
from signplan.sign.setups import Blanks, Layout, Locating, Setup, lay_out, why_refused

FACES: tuple[Face, Face] = ("inner", "outer")
LOCATING: tuple[Locating, Locating] = ("index pins", "edge stops")
BLANKS: tuple[Blanks, Blanks] = ("one", "two")


@dataclass(frozen=True, kw_only=True, slots=True)
class Scheme:
    """A way to locate the blanks and to cut the outline.

    Attributes:
        seam: the step that it leaves at the seam.
        carving: how far the carving may be out from the outline, of the worse side; None without carving.
        refused: why it cannot be used; "" where it can.
        own: whether it is the one that was planned.
    """

    layout: Layout
    seam: Stack
    carving: Stack | None
    refused: str = ""
    own: bool = False

    @property
    def turned(self) -> str:
        """What a blank is turned about, or against."""
        return "about index pins" if self.layout.locate == "index pins" else "against edge stops"

    @property
    def words(self) -> str:
        """The scheme in words."""
        one = self.layout.blanks == "one"
        return (
            f"{'one blank' if one else 'two blanks'} turned {self.turned}, outline cut from the "
            f"{self.layout.cutout} {'faces' if one else 'face'}"
        )


def schemes(
    sign: Sign, shop: Shop, layout: Layout, setups: Sequence[Setup], *, cutter: float
) -> tuple[Scheme, ...]:
    """Every scheme for this sign, the smallest step at the seam first, those that cannot be used last.

    Among equals the one that is nearest to the plan comes first.

    Args:
        layout, setups: how it is planned.
        cutter: diameter of the cutter that the outlines are cut with, mm: index pins stand clear of it.
    """

    def rank(scheme: Scheme) -> tuple[bool, float, int]:
        return bool(scheme.refused), round(scheme.seam.sampled, 6), _changes(scheme.layout, layout)

    return tuple(sorted(_schemes(sign, shop, layout, setups, cutter), key=rank))


def _changes(one: Layout, other: Layout) -> int:
    return sum((one.blanks != other.blanks, one.locate != other.locate, one.cutout != other.cutout))


def _schemes(
    sign: Sign, shop: Shop, planned: Layout, setups: Sequence[Setup], cutter: float
) -> Iterator[Scheme]:
    bed = shop.machine.bed
    for cutout, locate, blanks in product(FACES, LOCATING, BLANKS):
        layout = Layout(blanks=blanks, turn=planned.turn, cutout=cutout, locate=locate)
        laid, _ = lay_out(sign, layout, bed=bed, pins=shop.index_pins, cutter=cutter)
        own = layout == planned
        seam, *carvings = outline_stacks(sign, shop, setups if own else laid)
        yield Scheme(
            layout=layout,
            seam=seam,
            carving=max(carvings, key=lambda stack: stack.sampled, default=None),
            refused=why_refused(laid, bed),
            own=own,
        )
