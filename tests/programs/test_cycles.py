"""Canned cycles as moves."""

import pytest

from signplan.programs.cycles import Hole, drill


def heights(code, *, peck=0.0, to_start=True, above=12.0):
    hole = Hole(code=code, clear=2.0, bottom=-10.0, peck=peck, to_start=to_start)
    steps = list(drill(hole, (5.0, 6.0), above=above))
    assert {step[:2] for step in steps} == {(5.0, 6.0)}
    return [(z, cutting) for _, _, z, cutting in steps]


def test_a_plain_hole_goes_down_at_the_feed_and_out_at_rapid():
    assert heights(810) == [(12, False), (2, False), (-10, True), (2, False), (12, False)]


def test_it_stays_at_r_if_it_is_told_to():
    assert heights(810, to_start=False)[-1] == (2, False)


def test_a_bored_hole_comes_out_at_the_feed():
    assert heights(850)[3] == (2, True)


def test_it_goes_over_the_hole_at_r_if_it_comes_from_below():
    assert heights(810, above=-5.0)[0] == (2, False)


def test_pecks_clear_the_chips_and_go_back_near_the_bottom():
    assert heights(830, peck=5.0) == [
        (12, False),
        (2, False),
        (-3, True),
        (2, False),
        (-2.75, False),
        (-8, True),
        (2, False),
        (-7.75, False),
        (-10, True),
        (2, False),
        (12, False),
    ]


@pytest.mark.parametrize(("peck", "pecks"), [(12, 1), (6, 2), (5.99, 3), (0, 1), (1e-9, 1000)])
def test_the_number_of_pecks(peck, pecks):
    assert Hole(code=830, clear=2.0, bottom=-10.0, peck=peck, to_start=True).pecks == pecks


def test_a_hole_without_a_bottom_has_one_peck():
    assert Hole(code=830, clear=2.0, bottom=float("nan"), peck=1.0, to_start=True).pecks == 1
