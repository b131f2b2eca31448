"""A gallery of failures: each job has one mistake, and a neighbour that is right by a hair.

`signplan check` gives the mistake the one finding that it should have, and its neighbour none. Some mistakes
no job file can ask for, because the planner makes the pockets and places the pins: those are made by hand on
a sign that was planned, and judged in the same way.
"""

from dataclasses import replace

import pytest
from shapely import LineString, Point, Polygon, affinity, box
from typer.testing import CliRunner

from signplan.checks.machine import check_machine
from signplan.checks.work import Day
from signplan.cli import app
from signplan.schedule.model import Schedule
from signplan.sign.register import view
from signplan.timing.model import Seconds


def bar(clearance=1.0, *, x=300, y=150, size="[120, 30]", thickness=10, more=""):
    """A flat bar in the middle of the sign; 8 mm hold it in the board of each panel."""
    return f"""
[[hardware]]
name = "bar"
clearance = {clearance}
{more}
[[hardware.part]]
shape = "flat"
size = {size}
thickness = {thickness}
center = [{x}, {y}]
"""


def hanger(name="hanger", *, size="diameter = 12", nut=True, held_by="", top=460):
    """A rod that leaves at the top, above the middle of the sign's weight."""
    text = f"""
[[hardware]]
name = "{name}"
clearance = 1
held_by = "{held_by}"
[[hardware.part]]
shape = "round"
{size}
from = [292, 250]
to = [292, {top}]
"""
    if not nut:
        return text
    return f"""{text}
[[hardware.part]]
shape = "hex"
across_flats = 19
at = [292, 270]
along = [0, 1]
thickness = 10
"""


def rod(z, more=""):
    """A loose rod inside the sign, its middle at z."""
    return f"""
[[hardware]]
name = "rod"
clearance = 1
{more}
[[hardware.part]]
shape = "round"
diameter = 12
from = [200, 200]
to = [400, 200]
z = {z}
"""


def dowels(places=None, *, depth=15):
    at = f"at = {places}" if places else ""
    return f"[dowels]\ndiameter = 10\ndepth = {depth}\ncount = 4\n{at}\n"


PEGGED = dowels("[[40, 40], [560, 40], [560, 260], [40, 360]]")


def carve(treatment, depth, *, side="A"):
    art = '{ file = "face.dxf", layer = "ART" }'
    return f'[[carve]]\nside = "{side}"\nas = "{treatment}"\nart = {art}\ndepth = {depth}\n'


def test_a_job_without_a_mistake_gives_no_finding(check):
    assert check(bar() + hanger() + dowels()) == []


@pytest.mark.parametrize(("apart", "codes"), [(-0.1, ["hardware-overlap"]), (0.1, [])])
def test_a_rod_where_the_bar_should_be(check, apart, codes):
    """The end of the bar lies where the rod passes: two pieces of steel in one place."""
    rod = hanger(nut=False, top=350)
    assert check(rod + bar(x=292 + 6 + apart + 60, y=330) + PEGGED) == codes


def test_a_square_bar_and_no_relief(judge):
    """The cutter's fillet needs 0.2929 (r - Rp) of clearance; with less the corner must be relieved.

    The planner relieves it, so the relief is taken away by hand. With just so much clearance the corner
    touches, so the play of the panels needs 0.15 mm on top.
    """
    relieved = judge(bar(1.0) + PEGGED)
    bare = replace(
        relieved.sign,
        panels=tuple(
            replace(panel, pockets=tuple(_unrelieved(pocket) for pocket in panel.pockets))
            for panel in relieved.sign.panels
        ),
    )
    found = relieved.changed(bare)
    assert found.codes == {"pocket-corner"}
    assert found.findings[-1].wanted == pytest.approx(0.292893 * 6, abs=1e-5)
    enough = judge(bar(0.2929 * 6 + 0.15) + PEGGED)
    assert all(pocket.relief == () for panel in enough.sign.panels for pocket in panel.pockets)
    assert enough.findings == ()


def _unrelieved(pocket):
    cleared = pocket.drawn.buffer(-6, quad_segs=32).buffer(6, quad_segs=32)
    return replace(pocket, as_cut=type(pocket.as_cut)([cleared]), relief=())


def test_a_pocket_mirrored_about_the_wrong_axis(judge):
    """B's pocket cut from the drawing of A's inner face: right only if it lies in the middle of the sign."""

    def mirror_b(judged):
        a, b = judged.sign.panels
        wrong = view("A", "inner", judged.sign.width)
        pockets = tuple(
            replace(p, as_cut=wrong.shape(p.as_cut), drawn=wrong.shape(p.drawn)) for p in b.pockets
        )
        return judged.changed(replace(judged.sign, panels=(a, replace(b, pockets=pockets))))

    assert mirror_b(judge(bar(x=250) + PEGGED)).codes == {"cavity-tight"}
    assert mirror_b(judge(bar(x=300) + PEGGED)).codes == set()


def test_hardware_off_by_its_own_clearance(judge):
    """Steel that lies where the other panel's pocket ends: the play of the dowels has no room left."""

    def shift(judged, by):
        items = tuple(
            replace(
                item, parts=tuple(replace(p, outline=affinity.translate(p.outline, by)) for p in item.parts)
            )
            for item in judged.sign.items
        )
        return judged.changed(replace(judged.sign, items=items))

    clean = judge(bar(1.0) + PEGGED)
    room = clean.case.fits[0].room_worst
    assert 0.5 < room < 1.0
    assert shift(clean, 1.0).codes == {"cavity-tight"}
    assert shift(clean, room - 0.01).codes == set()


def test_clearance_too_small_for_what_the_pockets_may_be_out(check, judge):
    """The finding says which clearance would do, and that one does."""
    assert check(bar(0.12) + PEGGED) == ["cavity-tight"]
    hint = judge(bar(0.12) + PEGGED).the("cavity-tight").hint
    assert hint == "A clearance of 0.13 mm would do, or locate the panels better."
    assert check(bar(0.13) + PEGGED) == []


@pytest.mark.parametrize(
    ("size", "codes"), [('diameter = "1 in"', ["pipe-nominal"]), ('stock = "pipe 1"', [])]
)
def test_the_nominal_size_of_a_pipe_taken_for_the_real_one(check, size, codes):
    """A 1 inch pipe measures 1.315 in."""
    assert check(hanger("pipe", size=size, nut=False, held_by="set screw") + PEGGED) == codes


def test_pockets_for_the_nominal_size_do_not_take_the_pipe(judge):
    nominal, real = (
        judge(hanger(size=size, nut=False, held_by="set screw") + PEGGED)
        for size in ("diameter = 25.4", 'stock = "pipe 1"')
    )
    swapped = nominal.changed(replace(nominal.sign, items=real.sign.items))
    assert swapped.codes == {"cavity-tight"}
    assert swapped.case.fits[0].room == pytest.approx((25.4 - 33.401) / 2 + 1.0, abs=1e-3)


@pytest.mark.parametrize(("width", "codes"), [(9.25, ["web-thin"]), (9.23, [])])
def test_a_floor_too_thin_under_a_groove(check, width, codes):
    """Panel 40, pocket 22 deep, web 10: a vee of 60 degrees may go 8 deep, in a stroke 16 tan(30) = 9.238."""
    stroke = box(250, 140, 350, 140 + width)
    assert check(bar(thickness=42) + carve("incise", 20) + PEGGED, ART=stroke) == codes


@pytest.mark.parametrize(("wall", "codes"), [(19.9, ["wall-thin"]), (20.0, [])])
def test_a_pocket_too_near_the_edge(check, wall, codes):
    """Its end has no corner to be relieved: a disc, with 1 mm of clearance round it."""
    disc = Point(300, wall + 1 + 25).buffer(25, quad_segs=64)
    art = bar(size="").replace("size = \n", 'art = { file = "face.dxf", layer = "DISC" }\n')
    text = "\n".join(line for line in art.splitlines() if not line.startswith("center"))
    assert check(f"{text}\n{PEGGED}", DISC=disc) == codes


@pytest.mark.parametrize(
    ("more", "codes"),
    [({"nut": False}, ["hardware-not-captive"]), ({"nut": False, "held_by": "welded stop"}, []), ({}, [])],
)
def test_a_nut_that_can_slide_out_of_its_mouth(check, more, codes):
    """A nut no wider than its rod holds nothing; one that is wider does."""
    assert check(hanger(**more) + PEGGED) == codes


@pytest.mark.parametrize(("z", "codes"), [(7.01, ["hardware-loose"]), (6.99, [])])
def test_a_rod_with_an_empty_slot_over_it(check, z, codes):
    """A rod of 12 with 1 mm of room at its floor: its lower side may be 1 mm off the glue plane, no more."""
    assert check(rod(z) + PEGGED) == codes


@pytest.mark.parametrize(("high", "codes"), [(369.9, ["dowels-symmetric"]), (370.1, [])])
def test_panels_that_could_be_glued_upside_down(check, high, codes):
    """After a half turn of a square panel each peg comes within its diameter of a hole, or does not."""
    places = f"[[40, 40], [560, 40], [560, {high}], [40, 360]]"
    assert check(dowels(places), outline=box(0, 0, 600, 400)) == codes


@pytest.mark.parametrize(("by", "codes"), [(9.4, ["turn-ambiguous"]), (9.6, [])])
def test_a_wrong_turn_that_the_pins_allow(planned, by, codes):
    """Pins of 9.525 as far from one end as from the other but for less than a pin, put there by hand."""
    plan = planned(PEGGED)
    setups = []
    for each in plan.setups:
        deep, (low, high) = each.setup.blank[1], sorted(each.setup.pins, key=lambda pin: pin.y)
        pins = low, replace(high, y=deep - low.y - by)
        setups.append(replace(each, setup=replace(each.setup, pins=pins)))
    moved = Schedule(
        layout=plan.layout,
        setups=tuple(setups),
        order=plan.order,
        comparisons=(),
        findings=(),
        seconds=Seconds(),
        refused="",
    )
    assert [found.code for found in check_machine(Day(schedule=moved, job=plan.job, shop=plan.shop))] == codes


@pytest.mark.parametrize(("by", "codes"), [(1.0, ["outlines-differ"]), (0.04, [])])
def test_outlines_that_differ(check, by, codes):
    """Side B as read from side B, so mirrored, and a little higher on one side."""
    b = Polygon([(0, 0), (600, 0), (600, 400), (100, 400), (0, 300 + by)])
    text = 'outline_b = { file = "face.dxf", layer = "B" }\n' + PEGGED
    assert check(text, B=affinity.translate(b, 1000, 50)) == codes


@pytest.mark.parametrize(("error", "codes"), [(0.54, ["seam-step"]), (0.53, [])])
def test_a_blank_whose_size_is_out_beyond_what_the_seam_allows(check, error, codes):
    """Turned against edge stops, not about pins: the error of both blanks is in the seam."""
    work = '[work]\nblanks = "two"\nlocate = "edge stops"\n'
    assert check(PEGGED + work, blank_error=error) == codes


@pytest.mark.parametrize(("depth", "codes"), [(15.1, ["dowel-blocked"]), (15.0, [])])
def test_a_dowel_under_a_deep_carving(check, depth, codes):
    """Panel 40, dowel 15 deep, web 10: the carving above it may be 15 deep."""
    text = PEGGED + carve("lower", depth, side="B")
    assert check(text, ART=box(250, 20, 290, 60)) == []
    assert check(text, ART=box(20, 20, 60, 60)) == codes


@pytest.mark.parametrize(("clearance", "codes"), [(1.01, ["channel-cutter"]), (1.0, [])])
def test_a_channel_for_which_the_shop_has_no_ball(check, clearance, codes):
    """The shop's ball of 14 mm does for a rod of 12 and 1 mm on every side."""
    rod = hanger().replace("clearance = 1", f'clearance = {clearance}\nbottom = "round"')
    assert check(rod + PEGGED) == codes


@pytest.mark.parametrize(("bottom", "codes"), [("flat", ["web-thin"]), ("round", [])])
def test_a_square_pocket_where_only_a_channel_leaves_the_web(check, bottom, codes):
    """Ground 28 deep, 8 from the side of a pocket 7 deep and 14 wide: hypot(8, 5) is less than 10. From a
    round wall there is hypot(8 + 7, 12) - 7 = 12.2."""
    rod = hanger(nut=False, held_by="set screw").replace("held_by", f'bottom = "{bottom}"\nheld_by')
    ground = box(292 + 7 + 8, 300, 340, 340)
    assert check(rod + carve("lower", 28) + PEGGED, ART=ground) == codes


@pytest.mark.parametrize(("reach", "codes"), [(0.1, ["assembly-order"]), (-0.1, [])])
def test_a_rod_between_the_cheeks_of_a_yoke(check, reach, codes):
    """The yoke's cheeks reach over and under the rod: neither can be laid in before the other."""
    cheek = '[[hardware.part]]\nshape = "flat"\nsize = [60, 30]\nthickness = 6\n'
    at = f"center = [{300 - 6 + reach - 30}, 150]\n"
    yoke = f"{bar(x=238, size='[8, 30]', thickness=18)}{cheek}{at}z = 12\n{cheek}{at}z = -12\n"
    rod = hanger(nut=False).replace("[292, 250]", "[300, 100]").replace("[292, 460]", "[300, 200]")
    assert check(yoke + rod + PEGGED) == codes


@pytest.mark.parametrize(("z", "codes"), [(-5.0, ["assembly-turned"]), (-4.9, [])])
def test_steel_that_falls_out_of_the_panel_that_is_turned(check, z, codes):
    """One bar wholly in panel A; the other lies in A too only if it reaches through the glue plane."""
    first = bar(x=200, more='split = "A"')
    second = bar(x=400).replace('"bar"', '"other"').replace("center", f"z = {z}\ncenter")
    assert check(first + second + PEGGED) == codes


@pytest.mark.parametrize(("depth", "codes"), [(28.6, ["glue-trapped"]), (28.5, [])])
def test_a_closed_pocket_from_which_no_vent_falls_to_the_edge(check, depth, codes):
    """Ground all across below the bar, in both faces: 28.5 deep it leaves the web of 10 over a vent of 1.5.

    A way beside it would fall by less than one in four.
    """
    ground = carve("lower", depth, side="both") + 'tools = ["em-12"]\n'
    vents = "[work]\nvents = 3\n"
    assert check(bar(y=200) + ground + PEGGED + vents, ART=box(1, 90, 599, 172)) == codes


@pytest.mark.parametrize(("left", "codes"), [(59.9, ["art-outside"]), (60.1, [])])
def test_art_that_leaves_the_sign(check, left, codes):
    """The corner that is missing on the right of side A is missing on the left of side B."""
    assert check(PEGGED + carve("lower", 5, side="B"), ART=box(left, 300, 140, 360)) == codes


def test_art_that_is_open(check):
    corners = [(100, 100), (200, 100), (200, 200), (100, 200)]
    assert check(PEGGED + carve("lower", 5), ART=LineString(corners)) == ["art-open"]
    assert check(PEGGED + carve("lower", 5), ART=Polygon(corners)) == []


def test_a_border_line_that_slipped_onto_the_layer_of_the_outline(check):
    whole = box(0, 0, 600, 400)
    assert check(PEGGED, outline=whole - box(250, 150, 350, 250)) == ["outline-hole"]
    assert check(PEGGED, outline=whole) == []


def test_a_layer_that_the_drawing_does_not_have(write):
    """Nothing is planned; the message has the line of the job that asks for it, and the layers there are."""
    folder = write(PEGGED + carve("lower", 5).replace('"ART"', '"ARTS"'), ART=box(100, 100, 200, 200))
    lines = (folder / "job.toml").read_text().splitlines()
    number, asked = next((k, line) for k, line in enumerate(lines, 1) if '"ARTS"' in line)
    result = CliRunner().invoke(app, ["check", str(folder)])
    assert result.exit_code == 2
    assert result.stderr == (
        f"{folder}/job.toml:{number}:{asked.index('layer =') + 1}: carve[0].art.layer: no layer 'ARTS' in "
        f"face.dxf; did you mean 'ART'? It has 'OUTLINE', 'ART'.\n"
        f"    {asked}\n    {' ' * asked.index('layer =')}^\n"
    )
