"""Depths that cannot be meant are said, and what has them is left out."""

import numpy as np
import pytest
from shapely import LineString, MultiPolygon, Point, box

from signplan.findings import Severity
from signplan.operations.build import build_operations
from signplan.sign.model import HeightMap

GROUND = box(40, 160, 340, 340)
ROUND = Point(100, 250).buffer(5, quad_segs=32)
SQUARE = box(80, 200, 160, 260)
RAMP = HeightMap(values=np.tile(np.linspace(0, 1, 40), (30, 1)), box=SQUARE.bounds)


@pytest.fixture
def found(sign, job, shop):
    """The operations of some carvings by feature, and the findings about their depths."""

    def make(*carvings):
        operations, findings = build_operations(sign(*carvings), job(), shop())
        return {each.feature for each in operations}, [e for e in findings if e.code.startswith("carving")]

    return make


@pytest.mark.parametrize(
    ("treatment", "shape"), [("lower", SQUARE), ("raise", SQUARE), ("relief", SQUARE), ("bore", ROUND)]
)
@pytest.mark.parametrize("ground", ["raise", "lower"])
def test_a_carving_in_deeper_ground_is_an_error_and_left_out(treatment, shape, ground, carving, found):
    made, (lost,) = found(
        carving(ground, GROUND, 8.0, number=1), carving(treatment, shape, 3.0, number=2, relief=RAMP)
    )
    assert made & {f"A/{ground}-1", f"A/{treatment}-2"} == {f"A/{ground}-1"}
    assert (lost.code, lost.severity, lost.where, lost.wanted) == (
        "carving-lost",
        Severity.ERROR,
        "carve[2]",
        8.0,
    )
    assert shape.contains(Point(lost.spot))
    assert f"already lowered by 8.0 mm ('{ground}', carve[1])" in lost.message


def test_the_message_gives_place_depth_and_way_out(carving, found):
    _, (lost,) = found(carving("raise", GROUND, 8.0, number=1), carving("lower", SQUARE, 3.0, number=2))
    assert lost.message == (
        "On side A, 'lower' lies in ground already lowered by 8.0 mm ('raise', carve[1]), "
        "as at (120.00 mm, 230.00 mm); a cut 3.0 mm deep would meet only air."
    )
    assert lost.measured == 3.0
    assert (
        lost.hint
        == "Make 'depth' more than 8.0 mm, for it counts from the face, or keep the ground away from it."
    )


def test_ground_may_be_of_several_carvings(carving, found):
    left, right = box(40, 160, 120, 340), box(120, 160, 340, 340)
    _, (lost,) = found(
        carving("lower", left, 8.0, number=1),
        carving("lower", right, 9.0, number=2),
        carving("lower", SQUARE, 3.0, number=3),
    )
    assert lost.where == "carve[3]"


def test_some_shapes_lost_are_a_warning_and_the_others_are_cut(carving, found):
    both = MultiPolygon([SQUARE, box(400, 100, 440, 140)])
    made, (lost,) = found(carving("raise", GROUND, 8.0, number=1), carving("lower", both, 3.0, number=2))
    assert "A/lower-2" in made
    assert lost.severity is Severity.WARNING
    assert "1 of 2 shapes of 'lower' lie in ground" in lost.message


@pytest.mark.parametrize(
    ("treatment", "shape", "depth"),
    [
        ("lower", SQUARE, 10.0),
        ("lower", SQUARE, 8.0),
        ("relief", SQUARE, 10.0),
        ("bore", ROUND, 10.0),
        ("incise", box(80, 200, 160, 206), 3.0),
        ("line", box(80, 200, 160, 206), 3.0),
        ("lower", box(300, 200, 360, 260), 3.0),
    ],
)
def test_what_is_deeper_or_stands_on_the_ground_or_half_outside_is_cut(
    treatment, shape, depth, carving, found
):
    lines = (LineString([(80, 203), (160, 203)]),)
    one = carving(treatment, shape, depth, number=2, relief=RAMP, lines=lines)
    made, wrong = found(carving("raise", GROUND, 8.0, number=1), one)
    assert wrong == []
    assert one.id in made


@pytest.mark.parametrize(
    ("treatment", "depth"),
    [("raise", 50.0), ("lower", 38.0), ("relief", 50.0), ("line", 39.0), ("edge", 40.0)],
)
def test_a_carving_deeper_than_the_panel_is_an_error_and_left_out(treatment, depth, carving, found):
    one = carving(treatment, SQUARE, depth, relief=RAMP)
    made, (deep,) = found(one)
    assert one.id not in made
    assert (deep.code, deep.severity, deep.where, deep.measured, deep.wanted) == (
        "carving-deep",
        Severity.ERROR,
        "carve[1]",
        depth,
        38.0,
    )
    assert f"goes {depth} mm below the face; the panel is 38.0 mm thick." in deep.message


def test_depth_counts_from_the_ground_where_a_carving_stands_on_it(carving, found):
    line = carving("line", SQUARE, 32.0, number=2)
    _, (deep,) = found(carving("lower", GROUND, 8.0, number=1), line)
    assert deep.measured == 40.0
    assert "goes 40.0 mm below the face, counted from ground 8.0 mm low; the panel" in deep.message


def test_a_bore_may_go_through(carving, found):
    _, wrong = found(carving("bore", ROUND, 60.0))
    assert wrong == []
