"""Registration: outlines, dowels, seam and pins, in words and at their limits."""

from dataclasses import replace

import pytest
from shapely import Polygon

from signplan.checks.registration import pins_tight

DOWELS = "[dowels]\ndiameter = 10\ndepth = {}\nat = {}\n"
GOOD = [[40, 40], [560, 40], [560, 260], [40, 360]]


def test_outlines_differ_in_words(judge):
    b = Polygon([(0, 0), (600, 0), (600, 400), (100, 400), (0, 290)])
    found = judge('outline_b = { file = "face.dxf", layer = "B" }\n', B=b).the("outlines-differ")
    assert found.message.startswith("Turned over, the outline of side B is not that of side A: ")
    assert found.message.endswith(", seen from side A.")
    assert found.measured == pytest.approx(10 / 2**0.5, abs=0.5)
    assert found.spot == pytest.approx((600, 290), abs=10)
    assert found.where == "sign.outline_b"


def test_a_line_inside_the_outline_is_told_with_its_place(judge):
    ring = Polygon(
        [(0, 0), (600, 0), (600, 300), (500, 400), (0, 400)], [[(250, 250), (370, 250), (310, 330)]]
    )
    found = judge(DOWELS.format(15, GOOD), outline=ring).the("outline-hole")
    assert found.message == (
        "Inside the outline, on its layer, lies another closed line, 120.00 mm by 80.00 mm, about "
        "(310.00 mm, 290.00 mm): what it encloses is cut out of both panels, as a hole through the sign."
    )
    assert found.spot == (310, 290)
    assert found.where == "sign.outline"


@pytest.mark.parametrize(
    ("place", "words"),
    [
        (
            [18, 40],
            "The dowel at (18.00 mm, 40.00 mm) is 13.00 mm from the edge in panel A; 20.00 mm of board",
        ),
        ([650, 40], "is 0.00 mm from the edge"),
        ([300, 150], "stands in the pocket for 'bar' in panel A; 10.00 mm of board is wanted."),
        ([300, 175], "is 4.00 mm from the pocket for 'bar'"),
    ],
)
def test_dowel_blocked_says_by_what(judge, place, words):
    bar = '[[hardware]]\nname = "bar"\nclearance = 1\n[[hardware.part]]\nshape = "flat"\nsize = [120, 30]\n'
    text = DOWELS.format(15, [place, *GOOD[1:]]) + bar + "thickness = 10\ncenter = [300, 150]\n"
    found = judge(text).the("dowel-blocked")
    assert words in found.message
    assert found.where == "dowels.at[0]"


def test_a_dowel_too_deep_for_the_panel(judge):
    found = [f for f in judge(DOWELS.format(31, GOOD)).findings if f.code == "dowel-blocked"]
    assert len(found) == 4
    assert "leaves 9.00 mm of board under the face" in found[0].message


def test_dowels_symmetric_in_words(judge):
    found = judge(DOWELS.format(15, [[40, 40], [560, 360 - 75]])).codes
    assert "dowels-symmetric" not in found
    both = judge(DOWELS.format(15, [[100, 100], [500, 300]])).the("dowels-symmetric")
    assert both.message == "Panel B also fits its dowels after a half turn: it can be glued on upside down."
    assert both.wanted == 10.0


def test_a_seam_beyond_what_the_job_allows(judge):
    text = DOWELS.format(15, GOOD)
    judged = judge(text)
    step = next(stack for stack in judged.case.stacks if stack.kind == "seam").sampled
    tight, wide = (judge(f"{text}[work]\nseam_step = {step + by}\n") for by in (-0.001, 0.001))
    assert tight.codes == {"seam-step"}
    assert wide.codes == set()
    assert "Most of it comes from: " in tight.the("seam-step").message


def test_the_hint_names_the_scheme_that_would_do(judge):
    text = DOWELS.format(15, GOOD)
    found = judge(f"{text}[work]\nseam_step = 0.3\n").the("seam-step")
    assert found.hint.startswith(
        "This would do: two blanks turned about index pins, outline cut from the inner"
    )
    assert found.hint.endswith('mm (work: cutout = "inner"). Or trim the edge after gluing.')
    better = judge(f'{text}[work]\nseam_step = 0.3\ncutout = "inner"\n')
    assert better.codes == set()


def test_the_hint_says_that_the_best_scheme_is_not_enough(judge):
    found = judge(f"{DOWELS.format(15, GOOD)}[work]\nseam_step = 0.1\n").the("seam-step")
    assert found.hint.startswith(
        "The best way, two blanks turned about index pins, outline cut from the inner"
    )
    assert "is not enough. Trim the edge" in found.hint


def test_the_hint_says_that_no_scheme_is_better(judge):
    text = f'{DOWELS.format(15, GOOD)}[work]\nseam_step = 0.1\ncutout = "inner"\n'
    found = judge(text).the("seam-step")
    assert found.hint.startswith("No other way to turn the blanks or to cut the outline leaves less.")


def test_blanks_turned_against_stops_put_their_size_into_the_seam(judge):
    text = DOWELS.format(15, GOOD)
    found = judge(f'{text}[work]\nlocate = "edge stops"\n').the("seam-step")
    assert "Most of it comes from: size of blank A." in found.message
    assert 'cutout = "inner"' in found.hint


@pytest.mark.parametrize(("clearance", "codes"), [(0.099, ["pins-tight"]), (0.1, [])])
def test_pins_need_the_clearance_that_their_holes_are_out(judge, shop, clearance, codes):
    """Four holes bored to 0.05: root-sum-square 0.1 in the distance."""
    case = judge(DOWELS.format(15, GOOD)).case
    pins = shop.index_pins.model_copy(update={"clearance": clearance})
    changed = replace(case, shop=shop.model_copy(update={"index_pins": pins}))
    assert [f.code for f in pins_tight(changed)] == codes


def test_pins_that_are_not_used_cannot_be_tight(judge, shop):
    case = judge(DOWELS.format(15, GOOD) + '[work]\nlocate = "edge stops"\n').case
    pins = shop.index_pins.model_copy(update={"clearance": 0.0})
    assert list(pins_tight(replace(case, shop=shop.model_copy(update={"index_pins": pins})))) == []


def test_two_dowels_in_one_place(judge):
    found = judge("[dowels]\ndiameter = 10\ndepth = 15\nat = [[40, 40], [40, 40]]\n").the("dowel-blocked")
    assert found.where == "dowels.at[1]"
    assert "is 0.00 mm from the middle of dowels.at[0], which leaves 0.00 mm" in found.message


def test_dowels_need_board_between_them(judge):
    text = "[dowels]\ndiameter = 10\ndepth = 15\nat = [[40, 40], [{}, 40], [560, 250]]\n"
    assert "dowel-blocked" in judge(text.format(59.9)).codes
    assert "dowel-blocked" not in judge(text.format(60)).codes
