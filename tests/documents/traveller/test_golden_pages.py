"""Pages as they were: the first page of every chapter of every demo job, small and grey, side by side.

A changed word passes; a drawing that has moved, grown or gone does not. `sh tests/run
tests/documents/traveller/test_golden_pages.py --regenerate` draws them anew; look at them before you commit.
"""

import io
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pytest
from PIL import Image

from signplan.plan import Plan

GOLDEN = Path(__file__).parents[2] / "golden" / "pages"
DPI, COLUMNS = 24, 4
BLOCK = 8
"""Blocks of that many pixels, a third of an inch, are compared by their mean."""

OTHER, MOST = 20.0, 0.01
"""A block is another one if its mean is so many of 255 greys off; so large a share of them may be."""


def _chapters(pdf: bytes) -> list[int]:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    return [reader.get_destination_page_number(entry) for entry in reader.outline]


def _small(pdf: bytes) -> Image.Image:
    book = pypdfium2.PdfDocument(pdf)
    pages = [book[number].render(scale=DPI / 72).to_pil().convert("L") for number in _chapters(pdf)]
    wide, high = pages[0].size
    sheet = Image.new("L", (wide * COLUMNS, high * -(-len(pages) // COLUMNS)), 255)
    for k, page in enumerate(pages):
        sheet.paste(page, (k % COLUMNS * wide, k // COLUMNS * high))
    return sheet


def _blocks(image: Image.Image) -> np.ndarray:
    grey = np.asarray(image, dtype=float)
    high, wide = (side // BLOCK * BLOCK for side in grey.shape)
    return grey[:high, :wide].reshape(high // BLOCK, BLOCK, wide // BLOCK, BLOCK).mean(axis=(1, 3))


def differ(image: Image.Image, golden: Image.Image) -> float:
    """Share of blocks that differ; all of them where the sheets are not of one size."""
    if image.size != golden.size:
        return 1.0
    return float((abs(_blocks(image) - _blocks(golden)) > OTHER).mean())


def test_pages_look_as_they_did(job: tuple[Plan, bytes], regenerate: bool, tmp_path: Path) -> None:
    plan, pdf = job
    golden, image = GOLDEN / f"{plan.job.job.number}.png", _small(pdf)
    if regenerate:
        golden.parent.mkdir(exist_ok=True)
        image.quantize(8).save(golden, optimize=True)
    image.save(tmp_path / golden.name)
    share = differ(image, Image.open(golden).convert("L"))
    assert share <= MOST, f"{share:.1%} of the blocks differ: see {tmp_path / golden.name}"


@pytest.mark.parametrize("what", ["moved", "gone"])
def test_a_drawing_that_has_moved_or_gone_is_noticed(job: tuple[Plan, bytes], what: str) -> None:
    image = _small(job[1])
    box = (0, 0, image.width // COLUMNS, image.height // -(-len(_chapters(job[1])) // COLUMNS))
    page, other = image.crop(box), image.copy()
    other.paste(255, box)
    if what == "moved":
        other.paste(page.crop((0, 0, page.width - 6, page.height - 6)), (6, 6))
    assert differ(other, image) > MOST
