"""Text to outlines, by the metrics and the kerning of a font file."""

from pathlib import Path
from typing import Any

from curves import Contour, Point, Segment, bounds, moved
from fontTools.pens.basePen import BasePen
from fontTools.ttLib import TTFont


class Lettering:
    """A font that sets lines of text as contours."""

    def __init__(self, file: Path) -> None:
        self._font = TTFont(file)
        self._glyphs = self._font.getGlyphSet()
        self._names = self._font.getBestCmap()
        self._cap = bounds(self._contours("H"))[3]

    def line(self, text: str, *, cap: float, tracking: float = 0.0) -> tuple[Contour, ...]:
        """One line of text, its ink starting at x = 0 and its capitals standing on y = 0.

        Args:
            text: what to set.
            cap: height of the capitals.
            tracking: room added between letters, in the same unit.
        """
        scale = cap / self._cap
        pen = 0.0
        contours: list[Contour] = []
        for left, right in zip(text, [*text[1:], None], strict=True):
            contours += moved(self._contours(left), scale=scale, by=(pen, 0.0))
            kern = self._kern(left, right) if right else 0
            pen += (self._glyphs[self._names[ord(left)]].width + kern) * scale + tracking
        return moved(tuple(contours), by=(-bounds(tuple(contours))[0], 0.0))

    def _contours(self, character: str) -> tuple[Contour, ...]:
        pen = _ContourPen(self._glyphs)
        self._glyphs[self._names[ord(character)]].draw(pen)
        return tuple(tuple(contour) for contour in pen.contours)

    def _kern(self, left: str, right: str) -> int:
        """Kerning of a pair: the first table of the GPOS feature `kern` that covers it."""
        pair = self._names[ord(left)], self._names[ord(right)]
        table = self._font["GPOS"].table
        wanted = {
            index
            for record in table.FeatureList.FeatureRecord
            if record.FeatureTag == "kern"
            for index in record.Feature.LookupListIndex
        }
        for index in sorted(wanted):
            for subtable in table.LookupList.Lookup[index].SubTable:
                subtable = getattr(subtable, "ExtSubTable", subtable)
                if pair[0] in subtable.Coverage.glyphs:
                    advance = _advance(subtable, *pair)
                    if advance is not None:
                        return advance
        return 0


def centered(contours: tuple[Contour, ...], *, x: float, baseline: float) -> tuple[Contour, ...]:
    """The line of text with its ink centred on x."""
    least, _, most, _ = bounds(contours)
    return moved(contours, by=(x - (least + most) / 2, baseline))


def _advance(subtable: Any, left: str, right: str) -> int | None:
    if subtable.Format == 1:
        records = subtable.PairSet[subtable.Coverage.glyphs.index(left)].PairValueRecord
        return next((_x(record.Value1) for record in records if record.SecondGlyph == right), None)
    first = subtable.ClassDef1.classDefs.get(left, 0)
    second = subtable.ClassDef2.classDefs.get(right, 0)
    return _x(subtable.Class1Record[first].Class2Record[second].Value1)


def _x(value: Any) -> int:
    return getattr(value, "XAdvance", 0) or 0


class _ContourPen(BasePen):
    """Collects what a glyph draws; a pen of fontTools."""

    def __init__(self, glyphs: Any) -> None:
        super().__init__(glyphs)
        self.contours: list[list[Segment]] = []

    def _moveTo(self, pt: Point) -> None:  # noqa: N802
        self.contours.append([])
        self._start = pt

    def _lineTo(self, pt: Point) -> None:  # noqa: N802
        if pt != self._getCurrentPoint():
            self.contours[-1].append((self._getCurrentPoint(), pt))

    def _qCurveToOne(self, pt1: Point, pt2: Point) -> None:  # noqa: N802
        self.contours[-1].append((self._getCurrentPoint(), pt1, pt2))

    def _closePath(self) -> None:  # noqa: N802
        self._lineTo(self._start)
