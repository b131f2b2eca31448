"""The pictures of docs/closing.md are drawn by the program, and are up to date."""

from pathlib import Path

import pytest
from shapely import box

from signplan.documents.drawing import Drawing, area
from signplan.documents.sections import sections
from signplan.documents.svg import svg_marks, view_box
from signplan.geometry.shapes import area_of, union
from signplan.plan import Plan, make_plan

ROOT = Path(__file__).parents[2]
STYLE = (
    "path,circle{fill:none;stroke:#000;stroke-width:.3}.r-cut{fill:#fff}.r-hatch{stroke-width:.12}"
    ".r-steel{fill:#999}.r-pocket{fill:#eee;fill-opacity:1}.r-axis{stroke-dasharray:4 1 1 1}"
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(ROOT / "demo_jobs" / "gannet-and-thrum")


def across_the_washer(plan: Plan) -> Drawing:
    """Section across the washer of the left hanger: both panels, the steel, the room on every side."""
    return next(s.drawing for s in sections(plan)["hardware[0]"] if "13/16" in s.part)


def end_of_the_bar(plan: Plan) -> Drawing:
    """The left end of the tie bar in its pocket, seen from side A: the bites that let its corners in."""
    bar = next(item for item in plan.sign.items if item.name == "tie bar")
    pockets = [p for p in plan.sign.panels[0].pockets if p.hardware == bar.name]
    window = box(165, 340, 215, 372)
    cut = area_of(union(p.as_cut for p in pockets).intersection(window))
    steel = area_of(union(part.section(part.z) for part in bar.parts).intersection(window))
    return Drawing(marks=(*area("pocket", cut), *area("steel", steel)), box=window.bounds)


@pytest.mark.parametrize(
    ("name", "draw"), [("closing-section.svg", across_the_washer), ("closing-corner.svg", end_of_the_bar)]
)
def test_pictures_are_up_to_date(plan, regenerate, name, draw):
    drawing = draw(plan)
    size = f'width="{drawing.width * 6:.0f}" height="{drawing.height * 6:.0f}"'
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="{view_box(drawing)}">'
        f'<style>{STYLE}</style><rect x="-999" y="-999" width="1999" height="1999" fill="#fff"/>'
        f"{svg_marks(drawing)}</svg>\n"
    )
    file = ROOT / "docs" / "pictures" / name
    if regenerate:
        file.parent.mkdir(exist_ok=True)
        file.write_text(text)
    assert file.read_text() == text
