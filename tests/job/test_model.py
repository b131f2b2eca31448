"""Rules inside one table of a job."""

import pytest
from pydantic import TypeAdapter, ValidationError

from signplan.job.model import Carve, Hanging, Hardware, Part, Wind

ART = {"file": "a.svg", "layer": "x"}
ENDS = {"from": [0, 0], "to": [0, 1]}
MIDDLE = {"at": [0, 0], "along": [0, 1]}


def fault(kind, **values):
    with pytest.raises(ValidationError) as caught:
        TypeAdapter(kind).validate_python(values, context={"units": "mm"})
    return str(caught.value.errors()[0]["ctx"]["error"])


@pytest.mark.parametrize(
    ("values", "message"),
    [
        ({"as": "lower", "depth": 1}, "'lower' needs 'art', the layer that it is cut from"),
        ({"as": "bore", "art": ART}, "'bore' needs a 'depth'"),
        ({"as": "relief", "art": ART, "depth": 1}, "'image' belongs to a relief, and a relief needs one"),
        (
            {"as": "line", "art": ART, "depth": 1, "image": "a.png"},
            "'image' belongs to a relief, and a relief needs one",
        ),
        (
            {"as": "lower", "art": ART, "depth": 1, "within": ART},
            "'within' is the ground round raised artwork; it belongs to as = \"raise\"",
        ),
    ],
)
def test_a_treatment_is_complete(values, message):
    assert fault(Carve, side="A", **values) == message


@pytest.mark.parametrize("values", [{"as": "edge"}, {"as": "incise", "art": ART}])
def test_edges_and_incised_lines_need_no_depth(values):
    assert Carve.model_validate({"side": "both", **values}).depth is None


@pytest.mark.parametrize(
    "values", [{}, {**ENDS, **MIDDLE}, {"from": [0, 0]}, {**ENDS, "axis": ART}, {"at": [0, 0]}]
)
@pytest.mark.parametrize("shape", ["round", "hex", "tube"])
def test_an_axis_is_given_once(shape, values):
    message = "give its axis once: 'from' and 'to', or 'axis', or 'at' and 'along'"
    assert fault(Part, shape=shape, **values) == message


@pytest.mark.parametrize("values", [{}, {"art": ART, "center": [0, 0]}, {"art": ART, "size": [1, 2]}])
def test_a_plate_has_one_outline(values):
    assert (
        fault(Part, shape="flat", **values)
        == "give its outline once: 'size' (or 'stock') and 'center', or 'art'"
    )


def test_records_do_not_change():
    item = Hardware.model_validate({"name": "a", "clearance": 1, "part": [{"shape": "round", **ENDS}]})
    with pytest.raises(ValidationError):
        item.name = "b"


WIND = {"edition": "ASCE 7-16", "exposure": "C", "height": 3000}


@pytest.mark.parametrize("speed", [{}, {"speed_mph": 100.0, "speed_m_s": 45.0}])
def test_the_wind_has_one_speed(speed):
    assert fault(Wind, **WIND, **speed) == "give one of 'speed_mph' and 'speed_m_s'"


def test_a_hanger_has_one_breaking_load():
    assert fault(Hanging, breaking_lb=1.0, breaking_kg=1.0) == "give one of 'breaking_lb' and 'breaking_kg'"


@pytest.mark.parametrize(
    "values", [{"leg_angle": 0.0}, {"leg_angle": 90.1}, {"design_factor": 0.9}, {"points": [[0, 0]] * 3}]
)
def test_what_no_hanging_can_be_is_refused(values):
    with pytest.raises(ValidationError):
        Hanging.model_validate(values, context={"units": "mm"})
