"""Where a sign hangs from, found from its steel. The statics are in tests/validation/test_hanging.py."""

import pytest

from signplan.job.model import Hanging
from signplan.sign.hanging import hang, hanging_points
from signplan.sign.mass import Mass

ROD = """
[[hardware]]
name = "{name}"
clearance = 1
[[hardware.part]]
shape = "round"
diameter = 10
from = [{x}, 250]
to = [{to}, 450]
"""


STRAP = """
[[hardware]]
name = "strap"
clearance = 1
[[hardware.part]]
shape = "flat"
size = [{size}]
center = [{center}]
thickness = 6
"""


def sign_of(judge, *rods: str):
    return judge("".join(rods)).sign


def test_rods_that_leave_the_top_are_points_from_left_to_right(judge):
    sign = sign_of(judge, ROD.format(name="b", x=400, to=400), ROD.format(name="a", x=100, to=100))
    points, through = hanging_points(sign, Hanging())
    assert points == ((100.0, 400.0), (400.0, 400.0))
    assert through == pytest.approx(0.0)


def test_a_slanted_rod_hangs_where_it_crosses_the_top(judge):
    points, _ = hanging_points(sign_of(judge, ROD.format(name="a", x=100, to=140)), Hanging())
    assert points == ((130.0, 400.0),)


def test_steel_that_stays_inside_or_leaves_below_is_no_point(judge):
    inside = ROD.replace("450", "350").format(name="a", x=100, to=100)
    below = ROD.replace("450", "-50").format(name="b", x=300, to=300)
    assert hanging_points(sign_of(judge, inside, below), Hanging()) == ((), 0.0)


def test_a_flat_bar_that_leaves_the_top_is_a_point(judge):
    strap = STRAP.format(size="30, 200", center="100, 400")
    judged = sign_of(judge, strap, ROD.format(name="a", x=400, to=400))
    assert hanging_points(judged, Hanging()) == (((100.0, 400.0), (400.0, 400.0)), 0.0)
    loads = hang(judged, Mass(board=10.0, steel=0.0, centroid=(250.0, 200.0, 0.0)), Hanging())
    assert loads is not None
    assert [(share.by, share.load) for share in loads.shares] == [("strap", 5.0), ("a", 5.0)]


@pytest.mark.parametrize(
    ("size", "center"),
    [("30, 100", "100, 350"), ("30, 100", "100, 0"), ("100, 30", "0, 200"), ("30, 100", "100, 500")],
    ids=["flush with the top", "below", "sideways", "above"],
)
def test_a_flat_bar_elsewhere_is_no_point(judge, size, center):
    assert hanging_points(sign_of(judge, STRAP.format(size=size, center=center)), Hanging()) == ((), 0.0)


def test_steel_that_leaves_through_a_sloping_shoulder_is_a_point(judge):
    """The shoulder falls from (500, 400) to (600, 300)."""
    points, _ = hanging_points(sign_of(judge, ROD.format(name="a", x=550, to=550)), Hanging())
    assert points == ((550.0, 350.0),)


def test_one_item_may_leave_at_two_places(judge):
    """Both legs of a bent bar, drawn as three flat bars."""
    legs = STRAP.format(size="20, 200", center="100, 400") + "".join(
        STRAP.split('name = "strap"\nclearance = 1\n')[1].format(size=size, center=center)
        for size, center in (("20, 200", "300, 400"), ("220, 20", "200, 490"))
    )
    points, _ = hanging_points(sign_of(judge, legs), Hanging())
    assert points == ((100.0, 400.0), (300.0, 400.0))


def test_points_of_the_job_come_first(judge):
    sign = sign_of(judge, ROD.format(name="a", x=100, to=100))
    stated = Hanging(points=((500.0, 400.0), (50.0, 400.0)))
    assert hanging_points(sign, stated) == (((50.0, 400.0), (500.0, 400.0)), 0.0)
