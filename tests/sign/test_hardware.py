"""Hardware: the same steel from numbers, from stock, and from a drawing of either side."""

import math

import pytest
from shapely import LineString, MultiLineString, MultiPolygon, Point, Polygon, box

from signplan.errors import InputError
from signplan.sign.drawings import lay_drawings
from signplan.sign.hardware import items_of
from signplan.sign.model import Bar, Plate


@pytest.fixture
def items(draw, read_job, outline):
    def make(*parts, more="", **layers):
        text = f'[[hardware]]\nname = "h"\nclearance = 1\n{more}\n'
        text += "".join(f"[[hardware.part]]\n{part}\n" for part in parts)
        files = {"face.dxf": draw({"OUTLINE": outline, **layers})}
        return items_of(lay_drawings(read_job(text), files))

    return make


def on(layer, key="axis"):
    return f'{key} = {{ file = "face.dxf", layer = "{layer}" }}\n'


def part(items, *text, **more):
    ((made,),) = [item.parts for item in items(*text, **more)]
    return made


def test_a_rod_from_numbers(items):
    assert part(items, 'shape = "round"\ndiameter = 12\nfrom = [10, 20]\nto = [10, 90]\nz = 3') == Bar(
        start=(10, 20), end=(10, 90), z=3, profile="round", width=12, height=12
    )


def test_a_disc_such_as_a_washer(items):
    disc = part(items, 'shape = "round"\ndiameter = 30\nat = [50, 60]\nalong = [3, 4]\nthickness = 5')
    assert (disc.start, disc.end) == (pytest.approx((48.5, 58)), pytest.approx((51.5, 62)))
    assert disc.width == 30


@pytest.mark.parametrize(
    ("faces", "width", "height"), [("flats", 20, 10 * 3**0.5), ("corners", 10 * 3**0.5, 20)]
)
def test_a_nut_by_its_flats(items, faces, width, height):
    nut = part(
        items,
        f'shape = "hex"\nacross_flats = {10 * math.sqrt(3)}\nat = [50, 60]\nalong = [0, 1]\n'
        f'thickness = 8\nfaces = "{faces}"',
    )
    assert (nut.width, nut.height) == (pytest.approx(width), pytest.approx(height))
    assert nut.profile == f"hex-{faces}"


def test_a_nut_from_stock_has_its_published_sizes(items):
    """ASME B18.2.2, hex nut 3/8: F max .563, G max .650, H max .337 in."""
    nut = part(items, 'shape = "hex"\nstock = "nut 3/8"\nat = [50, 60]\nalong = [1, 0]')
    assert nut.width / 25.4 == pytest.approx(0.650)
    assert nut.height / 25.4 == pytest.approx(0.563)
    assert (nut.end[0] - nut.start[0]) / 25.4 == pytest.approx(0.337)


def test_a_pipe_from_stock_is_hollow(items):
    pipe = part(items, 'shape = "round"\nstock = "pipe 1-1/4"\nfrom = [0, 0]\nto = [100, 0]')
    assert pipe.width / 25.4 == pytest.approx(1.660)
    assert pipe.wall > 0


def test_a_tube_has_its_width_in_the_plane(items):
    tube = part(items, 'shape = "tube"\nsize = [25, 40]\ncorner_radius = 3\nfrom = [0, 0]\nto = [100, 0]')
    assert (tube.width, tube.height, tube.corner_radius) == (25, 40, 3)


def test_a_flat_bar_turned(items):
    bar = part(items, 'shape = "flat"\nsize = [40, 10]\nthickness = 6\ncenter = [100, 50]\nangle = 90')
    assert bar.outline.bounds == pytest.approx((95, 30, 105, 70))
    assert bar.span == (-3, 3)


def test_the_angle_runs_against_the_clock_seen_from_side_a(items):
    bar = part(items, 'shape = "flat"\nsize = [40, 2]\nthickness = 6\ncenter = [100, 50]\nangle = 30')
    assert bar.outline.buffer(0.01).covers(Point(100 + 19 * math.cos(math.pi / 6), 50 + 9.5))


def test_a_rod_drawn_as_a_line(items):
    rod = part(items, 'shape = "round"\ndiameter = 12\n' + on("ROD"), ROD=LineString([(10, 20), (10, 90)]))
    assert (rod.start, rod.end) == ((10, 20), (10, 90))


def test_several_lines_are_several_parts_of_one_item(items):
    lines = MultiLineString([[(10, 0), (10, 50)], [(20, 0), (20, 50)]])
    (item,) = items('shape = "round"\ndiameter = 6\n' + on("RODS"), RODS=lines)
    assert [made.start[0] for made in item.parts] == [10, 20]


def test_a_nut_sits_in_the_middle_of_the_line_that_is_its_axis(items):
    nut = part(items, 'shape = "hex"\nstock = "nut 1/2"\n' + on("NUT"), NUT=LineString([(50, 0), (50, 100)]))
    assert (nut.start[1] + nut.end[1]) / 2 == pytest.approx(50)
    assert (nut.end[1] - nut.start[1]) / 25.4 == pytest.approx(0.448)


def test_a_plate_from_a_drawing_has_its_holes(items):
    plate = box(100, 100, 200, 140).difference(Point(150, 120).buffer(8))
    made = part(items, 'shape = "flat"\nthickness = 6\n' + on("PLATE", "art"), PLATE=plate)
    assert isinstance(made, Plate)
    assert made.outline.area == pytest.approx(plate.area)


def test_hardware_drawn_as_read_from_side_b_is_turned_over(items):
    flag = Polygon([(100, 100), (180, 100), (180, 110), (110, 110), (110, 150), (100, 150)])
    text = 'shape = "flat"\nthickness = 6\nview = "B"\n' + on("PLATE", "art")
    made = part(items, text, PLATE=flag)
    assert made.outline.bounds == (420, 100, 500, 150)
    assert made.outline.covers(Point(495, 140))
    rod = part(items, 'shape = "round"\ndiameter = 6\nview = "B"\nfrom = [10, 20]\nto = [10, 90]')
    assert rod.start == (590, 20)


@pytest.mark.parametrize(("split", "span"), [("A", (0, 12)), ("B", (-12, 0))])
def test_an_item_wholly_in_one_panel_just_touches_the_glue_plane(items, split, span):
    rod = part(
        items, 'shape = "round"\ndiameter = 12\nfrom = [10, 20]\nto = [10, 90]', more=f'split = "{split}"'
    )
    assert rod.span == pytest.approx(span)


def test_parts_of_an_item_move_into_a_panel_together(items):
    (item,) = items(
        'shape = "round"\ndiameter = 12\nfrom = [10, 20]\nto = [10, 90]',
        'shape = "flat"\nsize = [40, 20]\nthickness = 4\ncenter = [10, 20]',
        more='split = "A"',
    )
    assert [made.z for made in item.parts] == [6, 6]


def test_a_stated_height_is_kept(items):
    rod = part(
        items, 'shape = "round"\ndiameter = 12\nfrom = [10, 20]\nto = [10, 90]\nz = 9', more='split = "A"'
    )
    assert rod.z == 9


def test_room_at_the_floor_is_as_on_the_sides_unless_stated(items):
    text = 'shape = "round"\ndiameter = 12\nfrom = [10, 20]\nto = [10, 90]'
    assert items(text)[0].depth_clearance == 1
    assert items(text, more="depth_clearance = 0.4")[0].depth_clearance == 0.4


@pytest.mark.parametrize(
    ("text", "layers", "message"),
    [
        ('shape = "round"\nfrom = [0, 0]\nto = [1, 0]', {}, "give its 'diameter'"),
        ('shape = "hex"\nfrom = [0, 0]\nto = [1, 0]', {}, "give its size 'across_flats'"),
        ('shape = "tube"\nfrom = [0, 0]\nto = [1, 0]', {}, "give its 'size'"),
        ('shape = "flat"\nsize = [1, 1]\ncenter = [0, 0]', {}, "give its 'thickness'"),
        ('shape = "flat"\nthickness = 1\ncenter = [0, 0]', {}, "give its 'size'"),
        ('shape = "round"\ndiameter = 1\nat = [0, 0]\nalong = [1, 0]', {}, "its length along the axis"),
        ('shape = "round"\ndiameter = 1\n' + on("X"), {"X": box(0, 0, 1, 1)}, "a straight line on layer 'X'"),
        (
            'shape = "flat"\nthickness = 1\n' + on("X", "art"),
            {"X": LineString([(0, 0), (1, 1)])},
            "a closed outline on layer 'X'",
        ),
    ],
)
def test_a_size_that_is_nowhere_stated(items, text, layers, message):
    with pytest.raises(InputError) as trouble:
        items(text, **layers)
    assert "hardware[0].part[0]" in str(trouble.value)
    assert message in str(trouble.value)


def test_plates_of_a_layer_are_one_item(items):
    two = MultiPolygon([box(0, 0, 10, 10), box(50, 0, 60, 10)])
    (item,) = items('shape = "flat"\nthickness = 6\n' + on("P", "art"), P=two)
    assert len(item.parts) == 2
