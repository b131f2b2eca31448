"""From the sign to its operations: all of them, in the view of their face, with cutters that reach."""

import math
import tomllib
from dataclasses import replace
from importlib.resources import files

import pytest
from shapely import LineString, MultiPolygon, Point, Polygon, box, union_all

from signplan.errors import SignplanError
from signplan.findings import Severity
from signplan.geometry.shapes import area_of
from signplan.job.shop import Shop
from signplan.operations.build import build_operations, index_operation
from signplan.operations.cutters import bench, hole_cutter
from signplan.operations.model import Channelling, Clearing, CuttingOut, Drilling, Walls
from signplan.operations.practice import BREAKTHROUGH
from signplan.sign.model import Bar, Channel, Item, Plate, Vent
from signplan.sign.pockets import Bench as PocketBench
from signplan.sign.pockets import pockets_of
from signplan.sign.register import view
from signplan.sign.setups import Layout, lay_out
from signplan.toolpaths.contour import wall_room
from signplan.toolpaths.cut import cut
from signplan.toolpaths.model import Move
from signplan.toolpaths.proof import removal

OUTLINE = Polygon([(0, 0), (600, 0), (600, 240), (420, 400), (0, 400)])


def built(sign, job, shop, **more):
    operations, findings = build_operations(sign, job, shop, **more)
    assert not [each for each in findings if each.severity is Severity.ERROR]
    return {each.id: each for each in operations}


def test_every_part_of_the_sign_has_its_operations(everything, job, shop):
    made = built(everything, job(), shop())
    assert {name: each.tool for name, each in made.items() if name.startswith("A/")} == {
        "A/inner/bar-1/rough": "em-6",
        "A/inner/bar-1/finish": "em-6",
        "A/inner/bar-2/rough": "em-6",
        "A/inner/bar-2/finish": "em-6",
        "A/inner/dowels/dowel": "em-6",
        "A/outer/raise-1/rough": "em-12",
        "A/outer/raise-1/rest": "em-3",
        "A/outer/raise-1/finish": "em-3",
        "A/outer/lower-1/rough": "em-12",
        "A/outer/lower-1/rest": "em-3",
        "A/outer/lower-1/finish": "em-3",
        "A/outer/incise-1/incise": "v-60",
        "A/outer/line-1/line": "v-90",
        "A/outer/relief-1/relief-rough": "em-12",
        "A/outer/relief-1/relief-finish": "ball-6",
        "A/outer/edge-1/edge": "ro-6",
        "A/outer/bore-1/bore": "em-3",
        "A/outer/outline/cutout": "em-12",
    }


def test_ids_are_unique_and_the_same_every_time(everything, job, shop):
    first, _ = build_operations(everything, job(), shop())
    second, _ = build_operations(everything, job(), shop())
    assert [each.id for each in first] == [each.id for each in second]
    assert len({each.id for each in first}) == len(first)


@pytest.mark.parametrize("face", ["inner", "outer"])
def test_the_cut_out_is_on_the_face_asked_for(face, everything, job, shop):
    for made in (built(everything, job(cutout=face), shop()), built(everything, job(), shop(), cutout=face)):
        assert {each.face for each in made.values() if each.kind == "cutout"} == {face}
        assert sum(each.kind == "cutout" for each in made.values()) == 2


def test_the_cut_out_goes_through_with_tabs_and_not_with_a_skin(everything, job, shop):
    tabs = built(everything, job(), shop())["A/outer/outline/cutout"]
    assert tabs.depth == 38 + BREAKTHROUGH
    assert isinstance(tabs.work, CuttingOut)
    assert tabs.work.tabs >= 4
    skin = built(everything, job(hold_parts_by="skin"), shop())["A/outer/outline/cutout"]
    assert skin.depth == 37
    assert isinstance(skin.work, CuttingOut)
    assert skin.work.tabs == 0


def test_inner_faces_are_seen_from_the_glue_plane(everything, job, shop):
    work = built(everything, job(), shop())["A/inner/dowels/dowel"].work
    assert isinstance(work, Drilling)
    assert sorted(work.points) == [(600 - 520, 80), (600 - 60, 60)]
    other = built(everything, job(), shop())["B/inner/dowels/dowel"].work
    assert isinstance(other, Drilling)
    assert sorted(other.points) == [(60, 60), (520, 80)]


def test_a_pocket_is_open_where_it_runs_out_of_the_edge(everything, job, shop):
    made = built(everything, job(), shop())
    walls = made["A/inner/bar-1/finish"].work
    assert isinstance(walls, Walls)
    assert walls.open_at.intersects(Point(300, 402))
    assert not walls.open_at.intersects(Point(300, 398))
    closed = made["A/inner/bar-2/finish"].work
    assert isinstance(closed, Walls)
    assert closed.open_at.is_empty
    assert closed.top == 10


def test_relief_points_of_a_pocket_reach_its_walls(pocket, sign, job, shop):
    square = pocket(box(100, 100, 160, 140), 10.0, relief=((101.0, 102.0),))
    walls = built(sign(pockets=(square,)), job(), shop())["A/inner/bar-1/finish"].work
    assert isinstance(walls, Walls)
    assert walls.relief == ((499.0, 102.0),)


def test_roughing_leaves_the_allowance_and_the_finish_does_not(everything, job, shop):
    made = built(everything, job(), shop())
    rough, finish = made["A/outer/raise-1/rough"].work, made["A/outer/raise-1/finish"].work
    assert isinstance(rough, Clearing)
    assert isinstance(finish, Walls)
    assert rough.within.within(finish.region)
    assert rough.region.distance(finish.region.boundary) == pytest.approx(0.4, abs=0.01)


@pytest.mark.parametrize(
    ("without", "treatment", "shape", "depth", "tools", "code"),
    [
        (("em-12", "em-6", "em-3"), "lower", box(50, 50, 90, 90), 5.0, (), "tool-missing"),
        (("em-12",), "lower", box(50, 50, 90, 90), 35.0, (), "tool-reach"),
        ((), "lower", box(50, 50, 90, 90), 55.0, (), "carving-deep"),
        ((), "lower", box(50, 50, 90, 90), 25.0, ("em-3",), "tool-reach"),
        ((), "lower", box(50, 50, 90, 50.8), 5.0, (), "art-too-fine"),
        ((), "lower", box(50, 50, 90, 90), 5.0, ("em-99",), "tool-missing"),
        ((), "incise", box(50, 50, 90, 56), 5.0, ("em-3",), "tool-missing"),
        ((), "edge", MultiPolygon(), 6.0, ("em-3",), "tool-missing"),
        ((), "bore", Point(50, 50).buffer(1), 5.0, (), "tool-missing"),
        ((), "bore", Point(50, 50).buffer(3), 37.0, (), "tool-reach"),
    ],
)
def test_what_the_shop_cannot_do_is_an_error(
    without, treatment, shape, depth, tools, code, carving, sign, job, shop
):
    _, findings = build_operations(sign(carving(treatment, shape, depth, tools=tools)), job(), shop(*without))
    errors = [each for each in findings if each.severity is Severity.ERROR and each.where == "carve[1]"]
    assert [each.code for each in errors] == [code]


def test_a_place_too_fine_says_where_and_what_would_do(carving, sign, job, shop):
    keyhole = area_of(box(400, 100, 440, 140).union(box(440, 119, 460, 121)))
    shape = view("A", "outer", 600).shape(keyhole)
    _, findings = build_operations(sign(carving("lower", shape, 5.0)), job(), shop())
    (found,) = [each for each in findings if each.code == "art-too-fine"]
    assert found.severity is Severity.WARNING
    assert box(439, 118, 461, 122).contains(Point(found.spot))
    assert found.wanted == pytest.approx(2.0, abs=0.02)
    assert "2.00 mm would." in found.message


def test_a_pocket_that_its_cutter_does_not_enter_is_an_error(pocket, sign, job, shop):
    _, findings = build_operations(sign(pockets=(pocket(box(50, 50, 90, 54), 10.0),)), job(), shop())
    assert [(each.code, each.where) for each in findings] == [("tool-missing", "bar")]


def test_index_holes_that_no_cutter_reaches_through_are_an_error(sign, job, shop):
    _, findings = build_operations(sign(), job(), shop("drill-10", "em-12"))
    assert [(each.code, each.panel) for each in findings if "index" in each.message] == [("tool-reach", "")]


def test_index_holes_too_deep_say_how_far_the_pins_may_go_into_the_spoilboard(sign, job, shop):
    tools = shop("em-12", "em-6", "em-3")
    reaching = tools.tool("drill-10").model_copy(update={"cutting_length": 45.0})
    short = tools.model_copy(update={"tools": (reaching,)})
    (found,) = [each for each in build_operations(sign(), job(), short)[1] if "index" in each.message]
    point = 5 / math.tan(math.radians(59))
    assert found.measured == pytest.approx(45 - point)
    assert found.wanted == 38 + 9
    assert found.hint == (
        "Set index_pins.depth_in_spoilboard to 3.9 mm at most, add a longer cutter to the shop file, "
        "or use thinner panels."
    )
    enough = short.model_copy(
        update={"index_pins": short.index_pins.model_copy(update={"depth_in_spoilboard": 3.9})}
    )
    assert not [each for each in build_operations(sign(), job(), enough)[1] if "index" in each.message]


def test_index_holes_in_board_that_no_cutter_goes_through_name_other_ways(sign, job, shop):
    tools = shop("em-12", "em-6", "em-3")
    short = tools.tool("drill-10").model_copy(update={"cutting_length": 30.0})
    for left, hint in (
        ((short,), "Add a longer cutter to the shop file or use thinner panels."),
        (
            (tools.tool("v-60"),),
            "Add a drill of that size or a smaller flat cutter to the shop file, or use other index pins.",
        ),
    ):
        _, findings = build_operations(sign(), job(), tools.model_copy(update={"tools": left}))
        assert [each.hint for each in findings if "index" in each.message] == [hint]


def test_the_example_shop_reaches_through_the_thickest_of_its_boards():
    text = files("signplan.job").joinpath("example_shop.toml").read_text()
    example = Shop.model_validate(tomllib.loads(text), context={"units": "in"})
    pins = example.index_pins
    for board in example.boards:
        deep = max(board.thicknesses) + pins.depth_in_spoilboard
        at = bench(example, board.id)
        assert hole_cutter(pins.diameter + pins.clearance, deep, at, flat_bottom=False)


def test_index_holes_go_through_the_blank_into_the_spoilboard(sign, shop):
    setups, _ = lay_out(
        sign(), Layout(blanks="one", turn="side", cutout="outer"), bed=(3000, 1500), pins=shop().index_pins
    )
    made = index_operation(setups[0], shop())
    assert isinstance(made.work, Drilling)
    assert made.id == "AB/index"
    assert made.tool == "drill-10"
    assert made.work.depth == 38 + 9
    assert made.work.points == tuple((pin.x, pin.y) for pin in setups[0].pins)


def test_an_unknown_board_is_an_error(sign, job, shop):
    other = job().model_copy(update={"sign": job().sign.model_copy(update={"board": "oak"})})
    with pytest.raises(SignplanError, match="'oak'"):
        build_operations(sign(), other, shop())


def test_every_operation_of_the_sign_can_be_cut(everything, job, shop):
    tools = shop()
    for each in built(everything, job(), tools).values():
        tool = tools.tool(each.tool)
        assert tool is not None
        path = cut(each, tool, tools.machine)
        assert path.cut_length > 0, each.id
        assert each.depth - 1 < -path.points[:, 2].min() < each.depth + 1e-3, each.id


def test_the_paths_of_every_feature_do_what_was_asked(everything, job, shop):
    tools, features = shop(), {}
    for each in built(everything, job(), tools).values():
        tool = tools.tool(each.tool)
        features.setdefault(each.id.rpartition("/")[0], []).append(
            (each, tool, cut(each, tool, tools.machine))
        )
    for runs in features.values():
        if runs[-1][0].kind == "cutout":
            continue
        found = removal(runs, cell=0.5)
        assert found.struck < 1e-9, found
        assert found.outside == 0, found
        assert found.below < 0.1, found
        assert found.left <= found.missed + 12 * 0.25 or runs[-1][0].treatment == "relief", found


def test_the_vents_of_a_face_are_one_operation(sign, job, shop):
    """In the view of the inner face, along their lines; swept, they are what was asked."""
    bare = sign()
    lines = [LineString([(100, 60), (90, -3)]), LineString([(300, 60), (300, -3)])]
    vents = tuple(
        Vent(panel="A", recess=f"dowel {k}", line=line, width=3.0, depth=1.5, tool="em-3")
        for k, line in enumerate(lines)
    )
    panels = (replace(bare.panels[0], vents=vents), bare.panels[1])
    each = built(replace(bare, panels=panels), job(), shop())["A/inner/vents/vent"]
    assert (each.kind, each.tool, each.depth) == ("vent", "em-3", 1.5)
    assert each.work.lines[0].equals(LineString([(500, 60), (510, -3)]))
    tool = shop().tool("em-3")
    done = removal([(each, tool, cut(each, tool, shop().machine))], cell=0.25)
    assert (done.struck, done.outside) == (0, 0)
    assert done.below < 0.01
    assert done.left < 1


def test_vents_for_which_there_is_no_cutter_are_an_error(sign, job, shop):
    bare = sign()
    vent = Vent(panel="A", recess="bar", line=LineString([(9, 60), (9, -3)]), width=1.0, depth=0.5, tool="")
    panels = (replace(bare.panels[0], vents=(vent,)), bare.panels[1])
    operations, findings = build_operations(replace(bare, panels=panels), job(), shop())
    (found,) = findings
    assert (found.code, found.where) == ("tool-missing", "work.vents")
    assert found.message == "The shop has no flat cutter for vents of 1.00 mm or less."
    assert not any(each.kind == "vent" for each in operations)


def test_a_channel_is_one_operation_of_its_ball(sign, pocket, job, shop):
    """In the view of the inner face, and as deep as the pocket."""
    channel = Channel(lines=(LineString([(100, 60), (240, 60)]),), radius=3.0, depth=5.0)
    opening = channel.open_at(0.0)
    made = built(sign(pockets=(pocket(opening, 5.0, tool="ball-6", channel=channel),)), job(), shop())
    each = made["A/inner/bar-1/channel"]
    assert (each.kind, each.tool, each.depth) == ("channel", "ball-6", 5.0)
    assert isinstance(each.work, Channelling)
    assert each.work.lines[0].equals(LineString([(500, 60), (360, 60)]))
    assert each.work.region.bounds == pytest.approx((357, 57, 503, 63))
    tool = shop().tool("ball-6")
    path = cut(each, tool, shop().machine)
    assert path.bounds[2] == pytest.approx(-5.0)
    plunges = path.points[1:][path.moves == Move.PLUNGE]
    assert plunges[:, 2].min() == 0.0
    done = removal([(each, tool, path)], cell=0.25)
    assert (done.struck, done.outside) == (0, 0)
    assert done.below < 0.05
    assert done.left < 2


@pytest.mark.parametrize("panel", ["A", "B"])
def test_pockets_are_cut_exactly_as_the_sign_says_they_will_be(panel, sign, job, shop):
    """Mouth, levels and relieved corners included: what the closing check judges is what the cutter does."""
    bare = sign()
    rod = Bar(start=(300, 220), end=(300, 440), z=0, profile="round", width=12, height=12)
    nut = Plate(outline=area_of(box(288, 225, 312, 235)), z=0, thickness=24)
    item = Item(
        name="rod", key="hardware[0]", parts=(rod, nut), clearance=0.8, depth_clearance=0.8, split="both"
    )
    tools = shop()
    room = PocketBench(
        outline=OUTLINE, wall=19, cutters=tuple(tool for tool in tools.tools if tool.shape == "flat")
    )
    plans = [replace(plan, pockets=pockets_of(item, plan.id, room)) for plan in bare.panels]
    made = built(replace(bare, panels=tuple(plans), items=(item,)), job(), tools)
    pockets = plans[0 if panel == "A" else 1].pockets
    assert len(pockets) > 1
    for pocket in pockets:
        swept = []
        for each in made.values():
            if (
                each.panel == panel
                and isinstance(each.work, Walls)
                and each.work.floor >= pocket.depth - 1e-6
            ):
                radius = tools.tool(each.tool).diameter / 2
                swept.append(wall_room(each.work, tools.tool(each.tool)).buffer(radius, quad_segs=64))
                swept += [Point(place).buffer(radius, quad_segs=64) for place in each.work.relief]
        seen = view(panel, "inner", 600).inverse().shape(union_all(swept)).intersection(OUTLINE)
        wanted = pocket.as_cut.intersection(OUTLINE)
        assert seen.difference(wanted.buffer(0.02)).area == 0
        assert wanted.difference(seen.buffer(0.02)).area == 0
