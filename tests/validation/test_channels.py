"""Channels against published values of circular segments, a solid modeller, and brute force."""

import math

import manifold3d
import numpy as np
import pytest
import shapely
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from shapely import LineString, MultiPolygon, Polygon, box

from signplan.job.shop import Tool
from signplan.sign.assemble import closing
from signplan.sign.channels import ball_needed
from signplan.sign.mass import weigh
from signplan.sign.model import Bar, Carving, Channel, Item, PanelPlan, Sign
from signplan.sign.pockets import Bench, pockets_of
from signplan.sign.web import pocket_webs

OUTLINE = Polygon([(0, 0), (300, 0), (300, 160), (220, 200), (0, 200)])
THICK = 40.0


@pytest.mark.parametrize(("radius", "height", "chord"), [(60, 8, 59.86), (25 / 3, 6, 16)])
def test_chord_of_a_circular_segment(radius, height, chord):
    """c = 2 sqrt(h (2 r - h)): r 60, h 8 gives 59.86; c 16, h 6 gives r 8 1/3 (Machinery's Handbook,
    mensuration of the circular segment; values from memory)."""
    channel = Channel(lines=(), radius=radius, depth=height)
    assert 2 * channel.half_width(0.0) == pytest.approx(chord, abs=0.01)


def test_radius_of_a_circular_segment():
    """r = (c^2 + 4 h^2) / 8 h: chord 16, height 6 gives 8 1/3 (the same source). Rod 10, 3 of room beside it
    and 1 at its floor: the chord at its axis is 16, the height under it 6."""
    rod = Bar(start=(0, 0), end=(99, 0), z=0, profile="round", width=10, height=10)
    assert ball_needed(rod, _item(rod, 3.0, 1.0)) == pytest.approx(25 / 3)


def _item(rod, clearance, floor):
    return Item(
        name="rod",
        key="hardware[0]",
        parts=(rod,),
        clearance=clearance,
        depth_clearance=floor,
        split="both",
        bottom="round",
    )


def _ball(diameter):
    return Tool(
        number=1, id="ball", shape="ball", diameter=diameter, flutes=2, cutting_length=99, reach=99
    )  # fmt: skip


def _sign(item, spare):
    """A sign with the channels of one rod, cut by a ball that is larger than need be by a share."""
    ball = _ball(2 * ball_needed(item.parts[0], item) * (1 + spare))
    bench = Bench(outline=OUTLINE, wall=10.0, cutters=(), balls=(ball,), thickness=THICK)
    panels = tuple(PanelPlan(id=p, outline=OUTLINE, pockets=pockets_of(item, p, bench)) for p in ("A", "B"))
    return Sign(outline=OUTLINE, thickness=THICK, panels=panels, items=(item,))


# A channel as a solid: the hull of the ball at both ends of every line, and of the same far above the panel.


def _swept(channel):
    ball = manifold3d.Manifold.sphere(channel.radius, 384)
    pieces = []
    for line in channel.lines:
        for start, end in zip(line.coords[:-1], line.coords[1:], strict=True):
            ends = [ball.translate((*at, z)) for at in (start, end) for z in (-channel.middle, 60.0)]
            pieces.append(manifold3d.Manifold.batch_hull(ends))
    return manifold3d.Manifold.batch_boolean(pieces, manifold3d.OpType.Add)


def _board(panel):
    """A panel with its glue plane up, z 0 to -THICK; panel A the other way up."""
    ring = manifold3d.CrossSection([np.array(panel.outline.exterior.coords)[:-1]])
    body = manifold3d.Manifold.extrude(ring, THICK).translate((0, 0, -THICK))
    for pocket in panel.pockets:
        body -= _swept(pocket.channel)
    return body if panel.id == "B" else body.mirror((0, 0, 1))


def _steel(rod):
    (x0, y0), (x1, y1) = rod.start, rod.end
    angle = math.degrees(math.atan2(y1 - y0, x1 - x0))
    body = manifold3d.Manifold.cylinder(math.dist(rod.start, rod.end), rod.width / 2, circular_segments=256)
    return body.rotate((0, 90, 0)).rotate((0, 0, angle)).translate((x0, y0, rod.z))


rods = st.builds(
    lambda x, y, angle, long, wide, z: Bar(
        start=(x, y),
        end=(x + long * math.cos(angle), y + long * math.sin(angle)),
        z=z * wide,
        profile="round",
        width=wide,
        height=wide,
    ),
    st.floats(60, 220),
    st.floats(60, 120),
    st.floats(0, math.tau),
    st.floats(30, 140),
    st.floats(6, 24),
    st.floats(-0.45, 0.45),
)
rooms = st.tuples(st.floats(0.3, 3.0), st.floats(0.3, 2.0), st.floats(0.0, 1.0))


def _moved(rod, off):
    dx, dy, dz = off
    return Bar(
        start=(rod.start[0] + dx, rod.start[1] + dy),
        end=(rod.end[0] + dx, rod.end[1] + dy),
        z=rod.z + dz,
        profile="round",
        width=rod.width,
        height=rod.height,
    )


@settings(max_examples=60, deadline=None, derandomize=True, phases=[Phase.generate])
@given(rods, rooms, st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)))
def test_the_room_in_random_channels_agrees_with_a_solid_modeller(rod, room, off):
    """Laid as planned a rod has its clearance; moved at random, the same verdict and room within 0.01 mm."""
    clearance, floor, spare = room
    sign = _sign(_item(rod, clearance, floor), spare)
    (planned,) = closing(sign, {})
    assert planned.room >= min(clearance, floor) - 0.01
    there = _moved(rod, off)
    item = _item(there, clearance, floor)
    (fit,) = closing(Sign(outline=OUTLINE, thickness=THICK, panels=sign.panels, items=(item,)), {})
    boards, steel = [_board(panel) for panel in sign.panels], _steel(there)
    theirs = min(steel.min_gap(board, max(0.0, fit.room) + 1.0) for board in boards)
    if fit.room > 0.02:
        assert theirs == pytest.approx(fit.room, abs=0.01)
    elif fit.room < -0.02:
        assert theirs == 0.0
        assert max((board ^ steel).volume() for board in boards) > 0


@settings(max_examples=10, deadline=None, derandomize=True, phases=[Phase.generate])
@given(rods, rooms)
def test_what_is_left_of_the_board_weighs_what_a_solid_modeller_says(rod, room):
    """To a thousandth of what is cut away."""
    clearance, floor, spare = room
    sign = _sign(_item(rod, clearance, floor), spare)
    ours = weigh(sign, 1e9).board
    theirs = sum(_board(panel).volume() for panel in sign.panels)
    whole = 2 * OUTLINE.area * THICK
    assert whole - ours == pytest.approx(whole - theirs, rel=2e-3)


def _under(shape, carved):
    carving = Carving(
        id="A/lower-1", key="carve[0]", side="A", treatment="lower", shape=MultiPolygon([shape]), depth=carved
    )
    return (carving,)


@settings(max_examples=60, deadline=None, derandomize=True, phases=[Phase.generate])
@given(
    rods,
    rooms,
    st.tuples(st.floats(10, 200), st.floats(10, 120), st.floats(5, 60), st.floats(5, 60)),
    st.floats(2, 39),
)
def test_the_web_beside_a_channel_is_that_of_a_cloud_of_points(rod, room, where, carved):
    """Never larger than the least distance from points of the channel's wall to the step, nor smaller by more
    than the points are apart."""
    clearance, floor, spare = room
    sign = _sign(_item(rod, clearance, floor), spare)
    panel = sign.panels[0]
    if not panel.pockets:
        return
    x, y, wide, high = where
    shape = box(x, y, x + wide, y + high)
    carvings = _under(shape, carved)
    carved_panel = PanelPlan(id="A", outline=OUTLINE, pockets=panel.pockets, carvings=carvings)
    least = pocket_webs(
        Sign(outline=OUTLINE, thickness=THICK, panels=(carved_panel, sign.panels[1]))
    )[0]  # fmt: skip
    channel = panel.pockets[0].channel
    cloud = _wall(channel)
    aside = shapely.distance(shapely.points(cloud[:, :2]), shape)
    over = np.maximum(0.0, THICK - carved - cloud[:, 2])
    brute = min(float(np.hypot(aside, over).min()), THICK - float(cloud[:, 2].max()))
    if least.board > 0:
        assert least.board <= brute + 1e-6
        assert least.board >= brute - 0.6
    else:
        assert brute < 0.6


def _wall(channel):
    """Points of a channel's wall, half a millimetre apart or so: (x, y, depth)."""
    points = []
    for depth in np.linspace(max(0.0, channel.middle), channel.depth, 60):
        shape = LineString(channel.lines[0]).buffer(max(channel.half_width(depth), 1e-6), quad_segs=64)
        ring = shapely.get_coordinates(shape.exterior.segmentize(0.5))
        points.append(np.column_stack([ring, np.full(len(ring), depth)]))
    ring = shapely.get_coordinates(
        LineString(channel.lines[0]).buffer(channel.half_width(0.0), quad_segs=64).exterior.segmentize(0.5)
    )
    points += [np.column_stack([ring, np.full(len(ring), d)]) for d in np.arange(0, channel.middle, 0.5)]
    return np.concatenate(points)
