"""A canvas whose boxes can be ticked and whose lines can be filled in on a screen too.

On paper a box is a plain box and a line a line: the fields have no ink of their own until they are filled.
Typed text is in a standard font of the reader; the sheet's own fonts hold only the characters it prints.
"""

from collections import Counter
from typing import Any, cast

from reportlab.lib.colors import black
from reportlab.pdfbase.acroform import AcroForm
from reportlab.pdfbase.pdfdoc import PDFStream
from reportlab.pdfgen.canvas import Canvas

from signplan.documents.ink import POINTS_PER_MM

BOX_LINE = 0.4
"""Line of a box to tick, mm."""

TYPED = 10
"""Size of typed text, points."""

LONGEST_NAME = 48
"""Characters of a label that go into the name of its field."""


class Fillable(Canvas):
    """A canvas with fields. Their names are made of `about`, which a page sets, and of what they say."""

    about = ""

    @property
    def acroForm(self) -> "_Form":  # noqa: N802  (reportlab's name)
        """The form of all fields, made with the first of them."""
        if "AcroForm" not in vars(self):
            self.AcroForm = cast(Any, self)._doc._catalog.AcroForm = _Form(self)
        return self.AcroForm

    def tick_box(self, x: float, y: float, size: float, says: str) -> None:
        """An empty box with its lower left corner at (x, y) of the page, points."""
        self.saveState()
        self.resetTransforms()
        self.setLineWidth(BOX_LINE * POINTS_PER_MM)
        self.setStrokeGray(0)
        self.setDash()
        self.rect(x, y, size, size)
        self.restoreState()
        name, heard = self._called(says)
        self.acroForm.checkbox(
            name=name,
            tooltip=heard,
            x=_short(x),
            y=_short(y),
            size=_short(size),
            borderWidth=0,
            borderColor=None,
            fillColor=None,
            textColor=black,
            fieldFlags="",
        )

    def entry(self, x: float, y: float, width: float, height: float, says: str) -> None:
        """A line to fill in, in that box of the page, points; nothing is drawn."""
        name, heard = self._called(says)
        self.acroForm.textfield(
            name=name,
            tooltip=heard,
            x=_short(x),
            y=_short(y),
            width=_short(width),
            height=_short(height),
            borderWidth=0,
            fillColor=None,
            fontName="Helvetica",
            fontSize=TYPED,
            maxlen=0,
        )

    def _called(self, says: str) -> tuple[str, str]:
        """The name of a field, like no other, and what is read out for it."""
        name, named = f"{self.about}/{says[:LONGEST_NAME]}".replace(".", ""), self.acroForm.named
        named[name] += 1
        number = f" {named[name]}" if named[name] > 1 else ""
        return name + number, f"{says} ({self.about})"


def _short(points: float) -> Any:
    """No longer in the file than a printer can tell; reportlab's types ask for whole points."""
    return round(points, 1)


class _Form(AcroForm):
    """reportlab makes the font and six looks of a box anew for every field; here each is made once."""

    def __init__(self, canvas: Canvas) -> None:
        super().__init__(canvas)
        self.named: Counter[str] = Counter()
        self._once: dict[Any, Any] = {}

    def makeFont(self, fontName: str | None) -> tuple[str, str]:  # noqa: N802, N803  (reportlab's names)
        if fontName not in self._once:
            self._once[fontName] = super().makeFont(fontName)
        made: tuple[str, str] = self._once[fontName]
        return made

    def checkboxAP(self, key: str, value: str, *args: Any, **look: Any) -> PDFStream:  # noqa: N802
        of = value, look["size"]
        if of not in self._once:
            self._once[of] = super().checkboxAP(key, value, *args, **look)
        made: PDFStream = self._once[of]
        return made

    @staticmethod
    def varyColors(key: str, t: Any, b: Any, f: Any) -> tuple[Any, Any, Any]:  # noqa: N802  (reportlab's name)
        """Pressed and hovered over a box looks as it does at rest."""
        del key
        return t, b, f
