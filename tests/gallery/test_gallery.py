"""A gallery of failures: each job has one mistake, and a neighbour that is right by a hair.

The mistake gives the one finding that it should; its neighbour gives none.
"""

from dataclasses import replace

import pytest
from shapely import LineString, Polygon, affinity, box

from signplan.sign.register import is_ambiguous, view


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


def hanger(*, thread=12, nut=True, held_by="", stock=None, clearance=1.0):
    size = f'stock = "{stock}"' if stock else f"diameter = {thread}"
    text = f"""
[[hardware]]
name = "hanger"
clearance = {clearance}
held_by = "{held_by}"
[[hardware.part]]
shape = "round"
{size}
from = [200, 250]
to = [200, 460]
"""
    if not nut:
        return text
    return f"""{text}
[[hardware.part]]
shape = "hex"
across_flats = 19
at = [200, 270]
along = [0, 1]
thickness = 10
"""


def dowels(places=None, *, depth=15):
    at = f"at = {places}" if places else ""
    return f"[dowels]\ndiameter = 10\ndepth = {depth}\ncount = 4\n{at}\n"


PEGGED = dowels("[[40, 40], [560, 40], [560, 260], [40, 360]]")


def test_a_job_without_a_mistake_gives_no_finding(judge):
    assert judge(bar() + hanger() + dowels()).findings == ()


def test_a_rod_where_the_bar_should_be(judge):
    """The end of the bar lies where the rod passes: two pieces of steel in one place."""
    assert "hardware-overlap" in judge(hanger() + bar(x=200 + 6 + 59.9, y=330) + PEGGED).codes
    assert judge(hanger() + bar(x=200 + 6 + 60.1, y=330) + PEGGED).codes == set()


def test_a_square_bar_and_no_relief(judge):
    """The cutter's fillet needs 0.2929 (r - Rp) of clearance; with less the corner must be relieved.

    With just so much the corner touches, so the play of the panels needs 0.15 mm on top.
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
    assert found.codes == {"pocket-corner", "cavity-tight"}
    assert found.findings[-1].wanted == pytest.approx(0.292893 * 6, abs=1e-5)
    enough = judge(bar(0.2929 * 6 + 0.15) + PEGGED)
    assert all(pocket.relief == () for panel in enough.sign.panels for pocket in panel.pockets)
    assert enough.codes == set()


def _unrelieved(pocket):
    cleared = pocket.drawn.buffer(-6, quad_segs=32).buffer(6, quad_segs=32)
    return replace(pocket, as_cut=type(pocket.as_cut)([cleared]), relief=())


def test_a_pocket_mirrored_about_the_wrong_axis(judge):
    """B's pocket cut from the drawing of A's inner face: right only if it lies in the middle of the sign."""

    def mirror_b(judged):
        a, b = judged.sign.panels
        width = judged.sign.width
        wrong = view("A", "inner", width)
        pockets = tuple(
            replace(p, as_cut=wrong.shape(p.as_cut), drawn=wrong.shape(p.drawn)) for p in b.pockets
        )
        return judged.changed(replace(judged.sign, panels=(a, replace(b, pockets=pockets))))

    assert "cavity-tight" in mirror_b(judge(bar(x=250) + PEGGED)).codes
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


def test_the_nominal_size_of_a_pipe_taken_for_the_real_one(judge):
    """A 1 inch pipe measures 1.315 in: pockets for 25.4 mm do not take it."""
    nominal = judge(hanger(thread=25.4, held_by="set screw", nut=False) + PEGGED)
    real = judge(hanger(stock="pipe 1", held_by="set screw", nut=False) + PEGGED)
    assert nominal.codes == real.codes == set()
    swapped = nominal.changed(replace(nominal.sign, items=real.sign.items))
    assert swapped.codes == {"cavity-tight"}
    assert swapped.case.fits[0].room == pytest.approx((25.4 - 33.401) / 2 + 1.0, abs=1e-3)


def carve(treatment, depth, *, side="A", more=""):
    art = '{ file = "face.dxf", layer = "ART" }'
    return f'[[carve]]\nside = "{side}"\nas = "{treatment}"\nart = {art}\ndepth = {depth}\n{more}\n'


@pytest.mark.parametrize(("width", "codes"), [(9.25, {"web-thin"}), (9.23, set())])
def test_a_floor_too_thin_under_a_groove(judge, width, codes):
    """Panel 40, pocket 22 deep, web 10: a vee of 60 degrees may go 8 deep, in a stroke 16 tan(30) = 9.238."""
    found = judge(bar(thickness=42) + carve("incise", 20) + PEGGED, ART=box(250, 140, 350, 140 + width))
    assert found.codes == codes


@pytest.mark.parametrize(("y", "codes"), [(20 + 1 + 15 - 0.1, {"wall-thin"}), (20 + 1 + 15 + 2.5, set())])
def test_a_pocket_too_near_the_edge(judge, y, codes):
    assert judge(bar(y=y) + PEGGED).codes == codes


def test_a_nut_that_can_slide_out_of_its_mouth(judge):
    """A nut no wider than its rod holds nothing; one that is wider does."""
    assert judge(hanger(nut=False) + PEGGED).codes == {"hardware-not-captive"}
    assert judge(hanger(nut=False, held_by="welded stop") + PEGGED).codes == set()
    assert judge(hanger(nut=True) + PEGGED).codes == set()


@pytest.mark.parametrize(
    ("corner", "codes"), [((560, 360), {"dowels-symmetric", "dowel-blocked"}), ((560, 260), set())]
)
def test_panels_that_could_be_glued_upside_down(judge, corner, codes):
    places = [[40, 40], [560, 40], list(corner), [40, 360]]
    assert judge(dowels(places)).codes == codes


def test_panels_that_could_be_glued_upside_down_by_less_than_a_dowel(judge):
    square = box(0, 0, 600, 400)
    near = [[40, 40], [560, 40], [560, 369], [40, 360]]
    far = [[40, 40], [560, 40], [560, 350], [40, 360]]
    assert judge(dowels(near), outline=square).codes == {"dowels-symmetric"}
    assert judge(dowels(far), outline=square).codes == set()


@pytest.mark.parametrize(("by", "codes"), [(1.0, {"outlines-differ"}), (0.04, set())])
def test_outlines_that_differ(judge, by, codes):
    """Side B as read from side B, so mirrored, and a little higher on one side."""
    b = Polygon([(0, 0), (600, 0), (600, 400), (100, 400), (0, 300 + by)])
    text = 'outline_b = { file = "face.dxf", layer = "B" }\n' + PEGGED
    found = judge(text, B=affinity.translate(b, 1000, 50))
    assert found.codes == codes
    if codes:
        assert found.the("outlines-differ").measured == pytest.approx(by * 0.5**0.5, abs=0.01)
        assert found.the("outlines-differ").spot == pytest.approx((600, 301), abs=0.5)


@pytest.mark.parametrize(("depth", "codes"), [(15.1, {"dowel-blocked"}), (15.0, set())])
def test_a_dowel_under_a_deep_carving(judge, depth, codes):
    """Panel 40, dowel 15 deep, web 10: the carving above it may be 15 deep."""
    text = PEGGED + carve("lower", depth, side="B")
    assert judge(text, ART=box(250, 20, 290, 60)).codes == set()
    assert judge(text, ART=box(20, 20, 60, 60)).codes == codes


@pytest.mark.parametrize(("by", "ambiguous"), [(9.4, True), (9.6, False)])
def test_a_wrong_turn_that_the_pins_allow(by, ambiguous):
    """Pins of 9.5 on the axis, as far from one end as from the other but for less than a pin."""
    pins = ((350.0, 20.0, 9.5), (350.0, 480.0 - by, 9.5))
    assert is_ambiguous(pins, (700.0, 500.0), "side") == ambiguous


@pytest.mark.parametrize(("error", "codes"), [(0.54, {"seam-step"}), (0.53, set())])
def test_a_blank_whose_size_is_out_beyond_what_the_seam_allows(judge, shop, error, codes):
    """Turned against edge stops, not about pins: the error of both blanks is in the seam."""
    sawn = shop.model_copy(update={"holding": shop.holding.model_copy(update={"blank_error": error})})
    assert judge(PEGGED + '[work]\nlocate = "edge stops"\n', shop=sawn).codes == codes


@pytest.mark.parametrize(("reach", "codes"), [(0.1, {"assembly-order"}), (-0.1, set())])
def test_a_rod_between_the_cheeks_of_a_yoke(judge, reach, codes):
    """The yoke's cheeks reach over and under the rod: neither can be laid in before the other."""
    cheek = '[[hardware.part]]\nshape = "flat"\nsize = [60, 30]\nthickness = 6\n'
    at = f"center = [{300 - 6 + reach - 30}, 150]\n"
    yoke = f"{bar(x=238, size='[8, 30]', thickness=18)}{cheek}{at}z = 12\n{cheek}{at}z = -12\n"
    rod = hanger(thread=12, nut=False).replace("[200, 250]", "[300, 100]").replace("[200, 460]", "[300, 200]")
    assert judge(yoke + rod + PEGGED).codes == codes


@pytest.mark.parametrize(("z", "codes"), [(-5.0, {"assembly-turned"}), (-4.9, set())])
def test_steel_that_falls_out_of_the_panel_that_is_turned(judge, z, codes):
    """One bar wholly in panel A; the other lies in A too only if it reaches through the glue plane."""
    first = bar(x=200, more='split = "A"')
    second = bar(x=400).replace('"bar"', '"other"').replace("center", f"z = {z}\ncenter")
    assert judge(first + second + PEGGED).codes == codes


def test_art_that_leaves_the_sign(judge):
    """The corner that is missing on the right of side A is missing on the left of side B."""
    text = PEGGED + carve("lower", 5, side="B")
    found = judge(text, ART=box(40, 300, 140, 360)).the("art-outside")
    assert found.measured == pytest.approx(20 * 0.5**0.5, abs=1e-6)
    assert found.spot == pytest.approx((560, 360))
    assert judge(text, ART=box(60.05, 300, 140, 360)).codes == set()


def test_art_that_is_open(judge):
    corners = [(100, 100), (200, 100), (200, 200)]
    assert judge(PEGGED + carve("lower", 5), ART=LineString(corners)).codes == {"art-open"}
    assert judge(PEGGED + carve("lower", 5), ART=Polygon(corners)).codes == set()
