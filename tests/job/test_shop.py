import math

import pytest
from pydantic import ValidationError

from signplan.job.shop import Board, Rates, Tool, ToolChange

BOARD = {"id": "b", "sheet": [1, 2], "thicknesses": [1], "chip_load": {"6": [0.1, 0.2], "3": [0.05, 0.1]}}
TOOL = {
    "number": 1,
    "id": "t",
    "shape": "flat",
    "diameter": 6,
    "flutes": 2,
    "cutting_length": 20,
    "reach": 30,
}


@pytest.mark.parametrize(
    ("values", "seconds"),
    [
        ({"kind": "automatic"}, 15.0),
        ({"kind": "by hand"}, 360.0),
        ({"kind": "automatic", "seconds": 9.0}, 9.0),
        ({"kind": "by hand", "minutes": 2.5}, 150.0),
    ],
)
def test_a_tool_change_takes_what_is_stated_or_what_is_common(values, seconds):
    assert ToolChange.model_validate(values).each_s == seconds


@pytest.mark.parametrize(
    ("density", "expected"),
    [
        ({"density_kg_m3": 240.0}, 240.0),
        ({"density_lb_ft3": 15.0}, 240.277),
        ({"density_lb_ft3": 18.0}, 288.332),
    ],
)
def test_density_in_either_unit(density, expected):
    assert Board.model_validate(BOARD | density).density == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize("density", [{}, {"density_kg_m3": 1.0, "density_lb_ft3": 1.0}])
def test_one_density_is_given(density):
    with pytest.raises(ValidationError, match="give one of 'density_lb_ft3' and 'density_kg_m3'"):
        Board.model_validate(BOARD | density)


def test_chip_loads_come_in_order_of_diameter():
    assert Board.model_validate(BOARD | {"density_kg_m3": 1.0}).chip_load == (
        (3.0, (0.05, 0.1)),
        (6.0, (0.1, 0.2)),
    )


@pytest.mark.parametrize(
    ("loads", "message"),
    [
        ({}, "give one diameter or more"),
        ({"6": [0.2, 0.1]}, "the smaller first"),
        ({"-6": [0.1, 0.2]}, "more than 0"),
    ],
)
def test_chip_loads_that_mean_nothing(loads, message):
    with pytest.raises(ValidationError, match=message):
        Board.model_validate(BOARD | {"density_kg_m3": 1.0, "chip_load": loads})


def test_a_drill_without_an_angle_has_a_common_point():
    assert Tool.model_validate(TOOL | {"shape": "drill"}).half_angle == pytest.approx(math.radians(59))


def test_a_tip_is_smaller_than_the_cutter():
    with pytest.raises(ValidationError, match="'tip' must be smaller than 'diameter'"):
        Tool.model_validate(TOOL | {"tip": 6})


@pytest.mark.parametrize(
    ("given", "message"),
    [
        ({"radius": 2.0}, "needs the 'radius' of its curves and its 'rise'"),
        ({"rise": 2.0}, "needs the 'radius' of its curves and its 'rise'"),
        ({"radius": 1.0, "rise": 2.1}, "no more than twice its 'radius'"),
        ({"radius": 2.0, "rise": 3.0}, r"7.75 mm in 'diameter' or more"),
    ],
)
def test_an_ogee_says_its_curves_and_they_fit_on_it(given, message):
    with pytest.raises(ValidationError, match=message):
        Tool.model_validate(TOOL | {"shape": "ogee"} | given)


def test_an_ogee_reaches_as_far_as_its_two_arcs():
    """R = (W2 + H2) / 4 H: W 2.4 and H 1.2 make R 1.5."""
    assert Tool.model_validate(TOOL | {"shape": "ogee", "radius": 1.5, "rise": 1.2}).run == pytest.approx(2.4)


def test_an_hour_of_the_machine_is_stated_once():
    machine = {"price": 1.0, "life_years": 1.0, "hours": 1.0}
    assert Rates.model_validate({"machine": machine}).machine_hour is None
    with pytest.raises(ValidationError, match="give 'machine_hour', or 'machine'"):
        Rates.model_validate({"machine": machine, "machine_hour": 1.0})


def test_every_thickness_has_its_price():
    priced = BOARD | {"density_kg_m3": 240.0, "thicknesses": [1, 2]}
    assert Board.model_validate(priced | {"sheet_prices": [10.0, 20.0]}).sheet_prices == (10.0, 20.0)
    with pytest.raises(ValidationError, match="'sheet_prices' has one price for each of 'thicknesses'"):
        Board.model_validate(priced | {"sheet_prices": [10.0]})


@pytest.mark.parametrize(
    ("change", "each", "by_hand", "by_changer"),
    [
        ({"kind": "automatic"}, 15, 360, 15),
        ({"kind": "automatic", "seconds": 12}, 12, 360, 12),
        ({"kind": "by hand"}, 360, 360, 15),
        ({"kind": "by hand", "minutes": 3.0}, 180, 180, 15),
        ({"kind": "by hand", "seconds": 90}, 90, 90, 15),
        ({"kind": "automatic", "minutes": 0.5}, 30, 360, 30),
    ],
)
def test_a_change_takes_what_is_stated_or_what_is_usual(change, each, by_hand, by_changer):
    """15 s by a changer, 6 min by hand: common practice."""
    made = ToolChange.model_validate(change)
    assert (made.each_s, made.by_hand_s, made.by_changer_s) == (each, by_hand, by_changer)
