"""Pockets, grooves and webs against published and hand-worked values; cavities against a solid modeller.

Inches where the source is in inches; the program's geometry does not know a unit.
"""

import math
from itertools import pairwise

import manifold3d
import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely import MultiPolygon, Polygon, affinity, box

from signplan.geometry.shapes import area_of, grow, opened
from signplan.job.shop import Tool
from signplan.job.stock import look_up
from signplan.sign.assemble import closing
from signplan.sign.carving import vee_depth
from signplan.sign.model import Bar, Carving, Item, PanelPlan, Plate, Sign
from signplan.sign.pockets import Bench, pockets_of
from signplan.sign.relief import corner_room_needed, reliefs
from signplan.sign.terraces import half_width, terraces
from signplan.sign.web import pocket_webs

INCH = 25.4


def cutter(diameter, **more):
    """A cutter with reach to spare."""
    shape = {"number": 1, "id": "c", "shape": "flat", "flutes": 2, "cutting_length": 99.0, "reach": 99.0}
    return Tool.model_validate({**shape, "diameter": diameter, **more}, context={"units": "mm"})


@pytest.mark.parametrize(
    ("angle", "depth", "width"), [(60, 0.25, 0.288675), (90, 0.25, 0.5), (30, 0.25, 0.133975)]
)
def test_width_of_a_vee_groove_at_depth(angle, depth, width):
    """w = tip + 2 d tan(a / 2); geometry."""
    vee = cutter(1.0, shape="vee", angle=float(angle))
    assert 2 * half_width(vee, depth) == pytest.approx(width, rel=1e-5)


@pytest.mark.parametrize(
    ("angle", "tip", "width", "depth"), [(60, 0, 0.5, 0.433013), (60, 0.02, 0.3, 0.242487)]
)
def test_depth_of_a_vee_groove_for_a_width(angle, tip, width, depth):
    """d = (w - tip) / (2 tan(a / 2)); geometry."""
    vee = cutter(1.0, shape="vee", angle=float(angle), tip=tip)
    assert vee_depth(width, vee) == pytest.approx(depth, rel=1e-5)


def test_a_vee_cutter_goes_no_deeper_than_it_is_wide():
    """90 degrees, 1.0 wide: at most .5 deep, though a stroke of 1.25 asks for .625; geometry."""
    vee = cutter(1.0, shape="vee", angle=90.0)
    assert vee_depth(1.25, vee) == pytest.approx(0.5, rel=1e-9)
    assert vee_depth(1.25, vee, cap=0.3) == 0.3


@pytest.mark.parametrize(("past_tangent", "depth"), [(0.125, 0.0334936), (0.25, 0.25), (0.0, 0.0)])
def test_profile_of_a_rounded_edge(past_tangent, depth):
    """z = R - sqrt(R^2 - x^2), R .25, x past the point where the curve leaves the face; geometry."""
    radius = 0.25 * INCH
    outline = box(0, 0, 300, 200)
    edge = Carving(
        id="A/edge-1",
        key="carve[0]",
        side="A",
        treatment="edge",
        shape=area_of(outline.difference(grow(outline, -radius))),
        depth=radius,
        lines=(shapely.LineString(outline.exterior.coords),),
        cutter=cutter(20.0, shape="round-over", radius=radius),
    )
    steps = terraces(edge, step=0.01)
    spot = shapely.Point(radius - past_tangent * INCH + 1e-4, 100)
    deepest = max((step.depth for step in steps if step.shape.covers(spot)), default=0.0)
    steep = 0.04 if past_tangent == 0.25 else 1e-3
    assert depth * INCH - steep <= deepest <= depth * INCH + 0.011


@pytest.mark.parametrize(
    ("radius", "part_radius", "needed"), [(0.125, 0, 0.0366117), (0.25, 0.125, 0.0366117)]
)
def test_clearance_for_a_corner_without_relief(radius, part_radius, needed):
    """c >= (r - Rp)(1 - 1 / sqrt 2), derived; a brute-force search agreed with the values."""
    assert corner_room_needed(radius, part_radius) == pytest.approx(needed, rel=1e-5)


@pytest.mark.parametrize(("margin", "bites"), [(-1e-3, 4), (1e-3, 0)])
def test_corners_are_relieved_exactly_where_the_steel_would_meet_them(margin, bites):
    """r 6: a square bar needs .292893 x 6 = 1.75736 of clearance."""
    clearance = 0.292893 * 6 + margin
    (pocket,) = pockets_of(_item(_plate(100, 30, 10), clearance), "A", _bench(12.0))
    assert pocket.tool == "c"
    assert len(pocket.relief) == bites


@pytest.mark.parametrize(("margin", "bites"), [(-0.02, 4), (0.005, 0)])
def test_rounded_steel_needs_less_clearance(margin, bites):
    """r 6, Rp 3: (r - Rp) 0.292893 = .87868."""
    rounded = Plate(
        outline=area_of(box(-50, -15, 50, 15).buffer(-3).buffer(3, quad_segs=200)), z=0, thickness=10
    )
    (pocket,) = pockets_of(_item(rounded, 0.292893 * 3 + margin), "A", _bench(12.0))
    assert len(pocket.relief) == bites


def test_a_bite_reaches_past_the_rounded_corner():
    """A dog-bone reaches r (sqrt 2 - 1) past the fillet, to the drawn corner: .125 -> .0517767."""
    radius = 0.125
    drawn = MultiPolygon([box(0, 0, 4, 2)])
    cleared = opened(drawn, radius)
    bites = reliefs(drawn, cleared, drawn, radius=radius, keep_within=MultiPolygon([box(-9, -9, 9, 9)]))
    x, y = min(bites)
    fillet = math.hypot(radius, radius) - radius
    tip = math.hypot(x, y) - radius
    assert fillet - tip == pytest.approx(0.0517767, rel=1e-4)
    assert x == pytest.approx(y)


def test_a_bite_along_a_wall_goes_out_by_the_cutters_radius():
    """Where the bisector would break the wall the bite goes along the other one, r past the drawn edge there:
    .125; geometry of the T-shaped relief."""
    radius = 0.125
    drawn = MultiPolygon([box(0, 0, 4, 2)])
    keep = MultiPolygon([box(0, -9, 9, 9)])
    bites = reliefs(drawn, opened(drawn, radius), drawn, radius=radius, keep_within=keep)
    x, y = min(bites)
    assert (x, y) == pytest.approx((radius, 0.0), abs=1e-6)
    assert radius - y == pytest.approx(0.125, abs=1e-6)


@pytest.mark.parametrize(("thickness", "clearance", "depth"), [(0.500, 0.020, 0.260), (0.250, 0.020, 0.135)])
def test_a_bar_at_the_glue_plane_has_half_its_pocket_in_each_panel(thickness, clearance, depth):
    """Each (t + c) / 2, c in total with the glue line: .500 and .020 -> .260. Common practice."""
    item = _item(_plate(100, 30, thickness * INCH), 1.0, depth_clearance=clearance / 2 * INCH)
    for panel in ("A", "B"):
        (pocket,) = pockets_of(item, panel, _bench(6.0))
        assert pocket.depth / INCH == pytest.approx(depth, abs=1e-9)


@pytest.mark.parametrize(("carved", "floor"), [(0.375, 0.855), (1.0, 0.230)])
def test_floor_between_pocket_and_carving(carved, floor):
    """Panel 1.5, pocket .270: carved .375 leaves .855; carved 1.0 leaves .230. Arithmetic."""
    item = _item(_plate(100, 30, 0.5 * INCH), 1.0, depth_clearance=0.02 * INCH)
    pockets = pockets_of(item, "A", _bench(6.0))
    ground = Carving(
        id="A/lower-1",
        key="carve[0]",
        side="A",
        treatment="lower",
        shape=area_of(box(-60, -60, 60, 60)),
        depth=carved * INCH,
    )
    outline = box(-200, -200, 200, 200)
    a = PanelPlan(id="A", outline=outline, pockets=pockets, carvings=(ground,))
    sign = Sign(outline=outline, thickness=1.5 * INCH, panels=(a, PanelPlan(id="B", outline=outline)))
    (web,) = pocket_webs(sign)
    assert web.board / INCH == pytest.approx(floor, abs=1e-9)
    assert web.carving == "A/lower-1"


def test_a_pocket_for_a_pipe_fits_its_real_diameter():
    """NPS 1 measures 1.315 in outside, not 1.000 (ASME B36.10M; the inch value from memory)."""
    size = look_up("pipe 1").diameter
    pipe = Bar(start=(-80, 0), end=(80, 0), z=0, profile="round", width=size, height=size)
    (pocket,) = pockets_of(_item(pipe, 0.5), "A", _bench(6.0))
    _, low, _, high = pocket.drawn.bounds
    assert (high - low - 1.0) / INCH == pytest.approx(1.315, abs=1e-9)
    assert (pocket.depth - 0.5) / INCH == pytest.approx(1.315 / 2, abs=1e-9)


def test_a_pocket_for_a_tube_fits_its_largest_size_and_sharpest_corner():
    """1 in tube: outside size +/-.020 (ASTM A500), and the least corner radius of a maker's range, at most
    3 t. The wide corner is the one that might be let into the board; the tight one touches first."""
    stock = look_up("tube 1 x .120")
    assert [side / INCH for side in stock.size] == pytest.approx([1.020, 1.020])
    assert 0 < stock.corner_radius <= 0.125 * INCH <= 3 * 0.120 * INCH
    tube = Bar(
        start=(-80, 0), end=(80, 0), z=0, profile="tube", width=stock.size[0], height=stock.size[1],
        corner_radius=stock.corner_radius,
    )  # fmt: skip
    top = tube.height / 2
    past = stock.corner_radius * (1 - math.sqrt(0.5))
    assert tube.half_width(top - past) == pytest.approx(tube.width / 2 - past)
    assert tube.half_width(top - stock.corner_radius) == tube.width / 2


def _plate(long, wide, thickness):
    return Plate(outline=area_of(box(-long / 2, -wide / 2, long / 2, wide / 2)), z=0, thickness=thickness)


def _item(*parts, clearance=None, depth_clearance=None, split="both"):
    *parts, clearance = parts if clearance is None else (*parts, clearance)
    depth = clearance if depth_clearance is None else depth_clearance
    return Item(
        name="item",
        key="hardware[0]",
        parts=tuple(parts),
        clearance=clearance,
        depth_clearance=depth,
        split=split,
    )


def _bench(diameter):
    return Bench(outline=box(-200, -200, 200, 200), wall=10.0, cutters=(cutter(diameter),))


# Cavities against a solid modeller. Steel and board are built there from the same shapes, extruded; the room
# is its least distance between the two bodies.

OUTLINE = Polygon([(0, 0), (300, 0), (300, 160), (220, 200), (0, 200)])
THICK = 40.0


def _solid(shape, low, high):
    """A prism over an area."""
    rings = []
    for part in getattr(shape, "geoms", [shape]):
        whole = shapely.orient_polygons(part)
        rings += [np.array(ring.coords)[:-1] for ring in (whole.exterior, *whole.interiors)]
    if not rings:
        return manifold3d.Manifold()
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.NonZero)
    return manifold3d.Manifold.extrude(section, high - low).translate((0, 0, low))


def _board(sign):
    boards = []
    for panel in sign.panels:
        low, high = (0.0, THICK) if panel.id == "A" else (-THICK, 0.0)
        body = _solid(panel.outline, low, high)
        for pocket in panel.pockets:
            floor = (-1.0, pocket.depth) if panel.id == "A" else (-pocket.depth, 1.0)
            body -= _solid(pocket.as_cut, *floor)
        boards.append(body)
    return boards


def _steel(item):
    """The parts of an item; a round one has its chords outside the circle by a hair."""
    body = manifold3d.Manifold()
    for part in item.parts:
        if isinstance(part, Plate):
            body += _solid(part.outline, *part.span)
            continue
        (x0, y0), (x1, y1) = part.start, part.end
        length, angle = math.dist(part.start, part.end), math.degrees(math.atan2(y1 - y0, x1 - x0))
        rod = manifold3d.Manifold.cylinder(length, part.width / 2, circular_segments=128)
        body += rod.rotate((0, 90, 0)).rotate((0, 0, angle)).translate((x0, y0, part.z))
    return body


def _sign(*items, cutters=(12.0, 6.0, 3.0)):
    tools = tuple(cutter(d, id=f"em-{d:g}", number=k) for k, d in enumerate(cutters, 1))
    bench = Bench(outline=OUTLINE, wall=10.0, cutters=tools)
    panels = tuple(
        PanelPlan(id=p, outline=OUTLINE, pockets=tuple(q for i in items for q in pockets_of(i, p, bench)))
        for p in ("A", "B")
    )
    return Sign(outline=OUTLINE, thickness=THICK, panels=panels, items=items, wall=10.0, web=6.0)


def test_the_volume_of_a_cavity_agrees_with_a_solid_modeller():
    """Levels, relief and mouths included, to 1e-6 of the volume."""
    rod = Bar(start=(100, 90), end=(100, 260), z=0, profile="round", width=12, height=12)
    nut = Bar(start=(100, 100), end=(100, 110), z=0, profile="hex-flats", width=22, height=19)
    sign = _sign(_item(rod, nut, 1.0), _item(_plate_at(200, 80, 30, 120, 25, 16), 0.5))
    panel = sign.panels[0]
    level = sorted({0.0, *(pocket.depth for pocket in panel.pockets)})
    ours = OUTLINE.area * THICK
    for above, below in pairwise(level):
        cut = shapely.union_all([p.as_cut for p in panel.pockets if p.depth > above + 1e-9])
        ours -= cut.intersection(OUTLINE).area * (below - above)
    for board in _board(sign):
        assert board.volume() == pytest.approx(ours, rel=1e-6)


def _plate_at(x, y, angle, long, wide, thickness, z=0.0):
    lying = affinity.translate(affinity.rotate(box(-long / 2, -wide / 2, long / 2, wide / 2), angle), x, y)
    return Plate(outline=area_of(lying), z=z, thickness=thickness)


rods = st.builds(
    lambda x, y, angle, long, wide, z: Bar(
        start=(x, y),
        end=(x + long * math.cos(angle), y + long * math.sin(angle)),
        z=z,
        profile="round",
        width=wide,
        height=wide,
    ),
    st.floats(60, 220),
    st.floats(60, 120),
    st.floats(0, math.tau),
    st.floats(30, 140),
    st.floats(6, 24),
    st.floats(-4, 4),
)
plates = st.builds(
    _plate_at,
    st.floats(80, 200),
    st.floats(60, 130),
    st.floats(0, 180),
    st.floats(20, 110),
    st.floats(10, 50),
    st.floats(4, 24),
    st.floats(-4, 4),
)


@settings(max_examples=200, deadline=None, derandomize=True, phases=[Phase.generate])
@given(
    st.lists(st.one_of(rods, plates), min_size=1, max_size=2),
    st.floats(0.3, 3.0),
    st.floats(0.3, 2.0),
    st.tuples(st.floats(-2.5, 2.5), st.floats(-2.5, 2.5), st.floats(-1.5, 1.5)),
)
def test_the_room_in_random_cavities_agrees_with_a_solid_modeller(parts, clearance, deep, off):
    """The steel is moved in its cavity at random. Same verdict; room within 0.01 mm, chords apart."""
    item = _item(*parts, clearance, depth_clearance=deep)
    sign = _sign(item)
    (fit,) = closing(_with(sign, _moved(item, off)), {})
    boards, steel = _board(sign), _steel(_moved(item, off))
    theirs = min(steel.min_gap(board, max(0.0, fit.room) + 1.0) for board in boards)
    if fit.room > 0.02:
        assert theirs == pytest.approx(fit.room, abs=0.01)
    elif fit.room < -0.02:
        assert theirs == 0.0
        assert max((board ^ steel).volume() for board in boards) > 0


def _with(sign, *items):
    return Sign(
        outline=sign.outline, thickness=sign.thickness, panels=sign.panels, items=items, wall=10.0, web=6.0
    )


def _moved(item, off):
    dx, dy, dz = off
    parts = tuple(
        Plate(outline=affinity.translate(p.outline, dx, dy), z=p.z + dz, thickness=p.thickness)
        if isinstance(p, Plate)
        else Bar(
            start=(p.start[0] + dx, p.start[1] + dy),
            end=(p.end[0] + dx, p.end[1] + dy),
            z=p.z + dz,
            profile="round",
            width=p.width,
            height=p.height,
        )
        for p in item.parts
    )
    return Item(name="item", key="hardware[0]", parts=parts, clearance=1.0, depth_clearance=1.0, split="both")
