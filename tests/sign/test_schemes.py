"""The ways to locate blanks and to cut outlines, ranked."""

from dataclasses import replace

import pytest

from signplan.sign.location import stacks
from signplan.sign.schemes import schemes
from signplan.sign.setups import Layout, lay_out

JOB = '[[carve]]\nside = "A"\nas = "edge"\n[dowels]\ndiameter = 10\ndepth = 15\nat = [[40, 40], [560, 260]]\n'
PLANNED = Layout(blanks="two", turn="side", cutout="outer")
CUTTER = 12.0


@pytest.fixture(scope="module")
def sign(judge):
    return judge(JOB).sign


def laid(sign, shop, layout=PLANNED):
    setups, _ = lay_out(sign, layout, bed=shop.machine.bed, pins=shop.index_pins, cutter=CUTTER)
    return setups


def ranked(sign, shop, layout=PLANNED):
    return schemes(sign, shop, layout, laid(sign, shop, layout), cutter=CUTTER)


def test_every_scheme_is_there_once_and_the_smallest_step_comes_first(sign, shop):
    found = ranked(sign, shop)
    assert len({scheme.layout for scheme in found}) == 8
    steps = [scheme.seam.sampled for scheme in found]
    assert steps == sorted(steps)
    assert found[0].layout.cutout == "inner"
    assert found[-1].layout == Layout(blanks="one", turn="side", cutout="outer", locate="edge stops")


def test_the_plans_own_scheme_is_marked_and_has_the_plans_own_figures(sign, shop):
    (own,) = (scheme for scheme in ranked(sign, shop) if scheme.own)
    planned = {stack.kind: stack for stack in stacks(sign, shop, laid(sign, shop))}
    assert own.layout == PLANNED
    assert (own.seam, own.carving) == (planned["seam"], planned["carving"])


def test_the_figures_are_those_of_a_plan_that_is_made_so(sign, shop):
    for scheme in ranked(sign, shop):
        again = ranked(sign, shop, scheme.layout)
        assert next(each for each in again if each.own).seam == scheme.seam


def test_among_equals_the_one_that_changes_least_comes_first(sign, shop):
    """Cut from the inner face the outline does not care how the blank was turned."""
    for blanks in ("one", "two"):
        for locate in ("index pins", "edge stops"):
            first = ranked(sign, shop, replace(PLANNED, blanks=blanks, locate=locate))[0]
            assert first.layout == Layout(blanks=blanks, turn="side", cutout="inner", locate=locate)


def test_what_the_seam_gains_the_carving_loses(sign, shop):
    inner, outer = (
        next(s for s in ranked(sign, shop) if s.layout == replace(PLANNED, cutout=face))
        for face in ("inner", "outer")
    )
    assert inner.seam.sampled < outer.seam.sampled
    assert inner.carving.sampled > outer.carving.sampled


def test_blanks_that_the_bed_cannot_take_come_last(sign, shop):
    """Two panels of 600 and three borders of 40 are 1320 wide and, one above the other, 920 deep."""
    short = shop.model_copy(update={"machine": shop.machine.model_copy(update={"bed": (1300.0, 900.0)})})
    found = ranked(sign, short)
    assert [scheme.refused for scheme in found] == [""] * 4 + ["blank AB is larger than the bed"] * 4
    assert {scheme.layout.blanks for scheme in found[4:]} == {"one"}


def test_pins_without_room_come_last(sign, shop):
    found = ranked(replace(sign, border=5.0), shop)
    assert {scheme.refused for scheme in found if scheme.layout.locate == "edge stops"} == {""}
    refused = [scheme.refused for scheme in found]
    assert "no room for two index pins" in refused
    assert refused == sorted(refused)


def test_pins_stand_clear_of_the_cutter_that_cuts_the_outline(sign, shop):
    """A border of 40 leaves room for a pin beside a cutter of 12, and none beside one of 40."""
    wide = schemes(sign, shop, PLANNED, laid(sign, shop), cutter=40.0)
    refused = {(each.layout.blanks, each.layout.locate) for each in wide if each.refused}
    assert ("two", "index pins") in refused
    assert not any(each.refused for each in ranked(sign, shop))


def test_a_sign_without_carving_has_no_carving_to_be_out(judge, shop):
    bare = judge(JOB[JOB.index("[dowels]") :]).sign
    assert all(scheme.carving is None for scheme in ranked(bare, shop))


def test_in_words(sign, shop):
    assert {scheme.words for scheme in ranked(sign, shop)} >= {
        "one blank turned about index pins, outline cut from the outer faces",
        "two blanks turned against edge stops, outline cut from the inner face",
    }
