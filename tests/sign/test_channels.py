"""Channels: which ball, how deep, how far past the edge."""

import math

import pytest
from shapely import LineString, Polygon, box

from signplan.job.shop import Tool
from signplan.sign.assemble import closing
from signplan.sign.channels import along_axis, ball_for, ball_needed, channel_depth, rods_of, wall_room
from signplan.sign.model import Bar, Channel, Item, PanelPlan, Plate, Sign
from signplan.sign.pockets import Bench, pockets_of

OUTLINE = box(0, 0, 300, 200)


def ball(diameter, number=1, *, reach=60.0):
    return Tool(
        number=number,
        id=f"ball-{diameter}",
        shape="ball",
        diameter=diameter,
        flutes=2,
        cutting_length=reach,
        reach=reach,
    )


def rod(start=(50, 50), end=(200, 50), *, z=0.0, diameter=10.0):
    return Bar(start=start, end=end, z=z, profile="round", width=diameter, height=diameter)


def item(*parts, clearance=1.0, floor=None, bottom="round", split="both"):
    return Item(
        name="rod",
        key="hardware[0]",
        parts=parts,
        clearance=clearance,
        depth_clearance=clearance if floor is None else floor,
        split=split,
        bottom=bottom,
    )


def pockets(*parts, balls=(12.0,), thickness=40.0, **more):
    flat = Tool(number=9, id="em-6", shape="flat", diameter=6, flutes=2, cutting_length=60, reach=60)
    bench = Bench(
        outline=OUTLINE,
        wall=10,
        cutters=(flat,),
        thickness=thickness,
        balls=tuple(ball(diameter, k) for k, diameter in enumerate(balls)),
    )
    return pockets_of(item(*parts, **more), "A", bench)


def test_the_ball_is_as_large_as_the_rod_with_its_clearance():
    assert ball_needed(rod(), item()) == ball_needed(rod(), item(floor=3.0)) == 6.0


def test_with_less_room_at_the_floor_the_ball_is_a_little_larger():
    """Through (6, 0) and (0, -5.2): r = 5.2 / 2 + 36 / 10.4, whose chord at the axis is 12 wide."""
    radius = ball_needed(rod(), item(floor=0.2))
    assert radius == pytest.approx(5.2 / 2 + 36 / 10.4)
    assert Channel(lines=(), radius=radius, depth=5.2).half_width(0.0) == pytest.approx(6.0)


@pytest.mark.parametrize(
    ("z", "panel", "depth"), [(0, "A", 6), (2, "A", 8), (2, "B", 4), (-6, "A", 0), (-4, "A", 2)]
)
def test_it_goes_as_deep_as_the_rod_and_its_clearance(z, panel, depth):
    assert channel_depth(rod(z=z), item(), panel) == pytest.approx(depth)


def test_the_smallest_ball_that_is_large_and_long_enough():
    known = [ball(20), ball(11.9), ball(12.5, reach=5.9), ball(13)]
    assert ball_for(rod(), item(), "A", known).diameter == 13
    assert ball_for(rod(), item(), "A", known[1:3]) is None
    assert ball_for(rod(), item(), "A", [ball(12.0, reach=6.0)]).diameter == 12


def test_rods_lie_in_channels_and_washers_stand_in_pockets():
    washer, plate = rod((100, 50), (103, 50), diameter=30), Plate(outline=OUTLINE, z=0, thickness=3)
    assert rods_of(item(rod(), washer, plate)) == (rod(),)
    assert rods_of(item(rod(), bottom="flat")) == ()


def test_a_rod_has_one_channel_a_panel():
    (only,) = pockets(rod())
    assert (only.id, only.tool, only.depth, only.above, only.mouth) == ("A/rod-1", "ball-12.0", 6, 0, False)
    assert only.channel == Channel(lines=(LineString([(50, 50), (200, 50)]),), radius=6, depth=6)
    assert only.drawn == only.as_cut
    assert only.as_cut.bounds == pytest.approx((44, 44, 206, 56))


def test_other_parts_keep_their_pockets():
    """The washer's pocket is the first level; without a ball the rod has a level of its own too."""
    washer = rod((100, 50), (108, 50), diameter=30)
    first, second = pockets(rod(), washer)
    assert (first.channel, first.depth, second.id, second.depth) == (None, 16, "A/rod-2", 6)
    assert first.drawn.bounds == pytest.approx((99, 34, 109, 66))
    flat = pockets(rod(), washer, balls=(11.0,))
    assert [pocket.channel for pocket in flat] == [None, None]
    assert flat == pockets(rod(), washer, balls=(12.0,), bottom="flat")


def test_rods_of_one_depth_share_their_channel():
    (both,) = pockets(rod(), rod((50, 80), (200, 80)))
    assert len(both.channel.lines) == 2
    assert len(pockets(rod(), rod((50, 80), (200, 80), z=3))) == 2


def test_a_channel_that_would_come_out_through_the_face_is_a_flat_hole():
    assert pockets(rod(), thickness=6.1)[0].channel
    assert pockets(rod(), thickness=6.0)[0].channel is None


def test_a_mouth_is_cut_whole():
    """Past the edge by so much that the whole of its width has left the panel, square or aslant."""
    (square,) = pockets(rod((50, 50), (320, 50)))
    assert square.mouth
    assert square.channel.lines[0].bounds == pytest.approx((50, 50, 301, 50))
    for outline in (OUTLINE, Polygon([(0, 0), (300, 0), (180, 200), (0, 200)])):
        channel = along_axis(LineString([(50, 60), (900, 60)]), 6.0, 6.0, outline)
        strip = box(50, 54, 900, 66).intersection(outline)
        assert strip.difference(channel.open_at(0.0).buffer(0.01)).is_empty
        assert channel.lines[0].bounds[2] < 302


def test_it_narrows_with_depth():
    deep = Channel(lines=(LineString([(0, 0), (9, 0)]),), radius=6, depth=8)
    assert deep.middle == 2
    assert [deep.half_width(d) for d in (0, 2, 5, 8, 9)] == pytest.approx([6, 6, math.sqrt(27), 0, 0])
    assert deep.open_at(2).area == pytest.approx(9 * 12 + math.pi * 36, rel=1e-3)
    assert deep.open_at(8).is_empty


def test_depths_at_even_angles():
    deep = Channel(lines=(), radius=6, depth=8)
    assert deep.depths(steps=3) == pytest.approx([2, 5, 2 + 6 * math.sqrt(0.75), 8])
    assert deep.depths(1 / 3, 2 / 3, steps=1) == pytest.approx(deep.depths(steps=3)[1:3])
    shallow = Channel(lines=(), radius=6, depth=4)
    assert shallow.depths(steps=2)[0] == pytest.approx(0)
    assert shallow.depths(steps=2)[-1] == pytest.approx(4)


def test_washers_and_nuts_on_a_rod_have_their_room():
    """Their own pockets take the wall of the rod's channel away beside them."""
    washer = rod((100, 50), (108, 50), diameter=30)
    nut = Bar(start=(90, 50), end=(100, 50), z=0, profile="hex-flats", width=22, height=19)
    flat = Tool(number=9, id="em-6", shape="flat", diameter=6, flutes=2, cutting_length=60, reach=60)
    bench = Bench(outline=OUTLINE, wall=10, cutters=(flat,), thickness=40, balls=(ball(12.0),))

    def fit(bottom):
        hanger = item(rod(), washer, nut, bottom=bottom)
        panels = tuple(PanelPlan(id=p, outline=OUTLINE, pockets=pockets_of(hanger, p, bench)) for p in "AB")
        sign = Sign(outline=OUTLINE, thickness=40, panels=panels, items=(hanger,))
        return closing(sign, {"rod": 0.1})[0]

    in_corners = math.sqrt(2) * (1 - 3) + 3
    assert fit("flat").room == pytest.approx(in_corners, abs=0.01)
    assert fit("round").room == pytest.approx(in_corners, abs=0.01)
    assert fit("round").room_worst == pytest.approx(fit("flat").room_worst, abs=0.01)


@pytest.mark.parametrize(
    ("middle", "depth", "off", "room"),
    [
        (0, 0, 0, 6),  # concentric
        (0, 0, 0.5, 5.5),
        (2, 0, 1, 5),  # beside the straight part of the wall
        (-1, 1, 0, 4),  # over the tip
        (-1, -1, 1, (35**0.5 - 1) ** 2 + 1),  # level with the ball's middle, which runs above the glue plane
        (0, 3, 4, 1),  # beside the round part: 3, 4, 5
    ],
)
def test_room_from_a_line_to_the_wall(middle, depth, off, room):
    channel = Channel(lines=(), radius=6, depth=6 + middle)
    wanted = room if middle > -1 or depth > 0 else math.sqrt(room)
    assert wall_room(channel, depth, off) == pytest.approx(wanted)
