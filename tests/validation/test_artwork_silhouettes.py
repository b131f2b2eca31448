"""Silhouettes against an independent renderer, resvg: freely licensed icons, and drawings at random.

What was read is written out as one plain even-odd path and rendered by resvg beside the original. An edge on
the border of the renderer's samples may fall on either side; a misplaced edge shows as whole pixels.
"""

import io
import re
from collections import Counter
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from signplan.artwork.importer import read_artwork
from signplan.errors import InputError

resvg = pytest.importorskip("resvg_py", reason="needs the renderer resvg-py")

PIXELS = 64
TOLERANCE = 0.4
"""Largest difference of any pixel's coverage for one shape."""

OVERLAID = 0.7
"""The same where shapes and clips lie upon each other, whose soft edges the renderer multiplies."""


def coverage(svg: str, width: int, height: int) -> np.ndarray:
    png = resvg.svg_to_bytes(svg_string=svg, width=width, height=height, skip_system_fonts=True)
    return np.asarray(Image.open(io.BytesIO(png)).getchannel("A")) / 255


def silhouette(artwork, box) -> str:
    x, y, w, h = box
    rings = [
        ring
        for layer in artwork.layers
        for region in layer.regions
        for ring in (region.shape.exterior, *region.shape.interiors)
    ]
    data = "".join(
        f"M{'L'.join(f'{px + x:.9g} {y + h - py:.9g}' for px, py in ring.coords[:-1])}Z" for ring in rings
    )
    page = f'viewBox="{x} {y} {w} {h}"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {page}><path fill-rule="evenodd" d="{data}"/></svg>'


def difference(svg: str, path: Path) -> float:
    """The largest difference of coverage of any pixel; one unit of the drawing is read as one mm."""
    path.write_text(svg)
    artwork, _ = read_artwork(path, units="mm")
    box = [float(number) for number in re.search(r'viewBox="([^"]+)"', svg)[1].split()]
    size = [max(1, round(PIXELS * side / max(box[2:]))) for side in box[2:]]
    return float(np.abs(coverage(svg, *size) - coverage(silhouette(artwork, box), *size)).max())


@pytest.mark.parametrize(
    ("package", "fewest"),
    [("fontawesome_free_pack", 1900), ("octicons_pack", 600)],  # CC BY 4.0; MIT
)
def test_icons(package, fewest, tmp_path, capsys):
    pack = pytest.importorskip(package, reason=f"needs the icons of {package}")
    icons = {name: icon.svg for name, icon in sorted(vars(pack).items()) if type(icon).__name__ == "Icon"}
    outcome: Counter[str] = Counter()
    wrong = []
    for name, svg in icons.items():
        try:
            worst = difference(svg, tmp_path / "icon.svg")
        except InputError:
            outcome["refused"] += 1
            continue
        outcome["agree" if worst <= TOLERANCE else "disagree"] += 1
        if worst > TOLERANCE:
            wrong.append((name, worst))
    with capsys.disabled():
        shares = ", ".join(f"{100 * outcome[key] / len(icons):.1f} % {key}" for key in ("agree", "refused"))
        print(f"\n{package}: {len(icons)} icons, {shares}", end=" ")
    assert not wrong
    assert len(icons) >= fewest
    assert outcome["refused"] <= 0.01 * len(icons)


number = st.integers(-20, 120).map(lambda n: n / 2)
size = st.integers(2, 80).map(lambda n: n / 2)
place = st.builds(
    "transform='translate({} {}) rotate({}) scale({} {})'".format,
    number,
    number,
    number,
    *[st.sampled_from([-1, 0.7, 1.5])] * 2,
)
look = st.sampled_from(
    ["", "fill-rule='evenodd'", "class='a'", "clip-path='url(#c)'", "style='fill:none'", "opacity='0'"]
)
shape = st.one_of(
    st.builds(
        "<rect x='{}' y='{}' width='{}' height='{}' rx='{}' {} {}/>".format,
        number,
        number,
        size,
        size,
        size,
        place,
        look,
    ),
    st.builds("<circle cx='{}' cy='{}' r='{}' {} {}/>".format, number, number, size, place, look),
    st.builds("<path d='M{} {}L{} {}Q{} {} {} {}T{} {}z' {} {}/>".format, *[number] * 10, place, look),
    st.builds(
        "<path d='M{} {}a{} {} {} 0 1 {} {}c{} {} {} {} {} {}' {} {}/>".format,
        number,
        number,
        size,
        size,
        *[number] * 9,
        place,
        look,
    ),
    st.builds("<polygon points='{} {} {} {} {} {} {} {}' {} {}/>".format, *[number] * 8, place, look),
    st.builds(
        "<use href='#s' x='{}' y='{}' width='{}' height='{}' {}/>".format, number, number, size, size, place
    ),
    st.builds("<use href='#p' x='{}' y='{}' {} {}/>".format, number, number, place, look),
)
group = st.builds("<g {} {}>{}</g>".format, place, look, st.lists(shape, min_size=1, max_size=3).map("".join))
nested = st.builds(
    "<svg x='{}' y='{}' width='{}' height='{}' viewBox='0 0 40 60' preserveAspectRatio='{}'>{}</svg>".format,
    number,
    number,
    size,
    size,
    st.sampled_from(["none", "xMidYMid", "xMinYMax slice"]),
    st.lists(shape, min_size=1, max_size=2).map("".join),
)


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.one_of(shape, group, nested), min_size=1, max_size=4))
def test_drawings_at_random(tmp_path, parts):
    """Groups, transforms, uses, symbols, nested viewports, clips and both fill rules, in any mixture."""
    svg = (
        "<svg xmlns='http://www.w3.org/2000/svg' viewBox=\"0 0 60 60\">"
        "<style>.a{fill:#000;fill-rule:evenodd}</style>"
        "<defs><path id='p' d='M0 0h9l-4 15z'/><clipPath id='c'><circle cx='20' cy='20' r='17'/></clipPath>"
        "<symbol id='s' viewBox='0 0 10 10'><path d='M-2 5l7 -7 8 8 -5 6z'/></symbol></defs>"
        f"<rect id='ground' width='1' height='1'/>{''.join(parts)}</svg>"
    )
    assert difference(svg, tmp_path / "random.svg") <= OVERLAID
