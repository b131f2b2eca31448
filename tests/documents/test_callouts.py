from itertools import combinations, pairwise

from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, box

from signplan.documents.callouts import Crowd, meets, merged, spread

PLACES = st.lists(st.floats(0, 100), min_size=1, max_size=30).map(sorted)


@given(PLACES, st.floats(0.5, 6))
def test_labels_keep_their_order_and_their_distance(places: list[float], gap: float) -> None:
    labels = spread(places, gap, 0.0, 100.0)
    if labels is None:
        assert (len(places) - 1) * gap > 100
        return
    assert all(b - a > gap - 1e-9 for a, b in pairwise(labels))
    assert labels[0] >= -1e-9
    assert labels[-1] <= 100 + 1e-9


@given(PLACES)
def test_labels_that_have_room_stay_where_they_belong(places: list[float]) -> None:
    apart = list(merged(places, 2.0))
    assert spread(apart, 1.5, 0.0, 100.0) == tuple(apart)


def test_merging_keeps_the_first_of_close_neighbours() -> None:
    assert merged([3.0, 1.0, 1.05, 2.0], 0.1) == (1.0, 2.0, 3.0)


@given(st.lists(st.tuples(st.floats(20, 180), st.floats(20, 80)), min_size=1, max_size=12))
def test_balloons_never_touch_and_stay_inside(spots: list[tuple[float, float]]) -> None:
    crowd = Crowd(bounds=(0, 0, 200, 100))
    found = [crowd.free(x, y, 3.6) for x, y in spots]
    boxes = [(x - 3.6, y - 3.6, x + 3.6, y + 3.6) for x, y in filter(None, found)]
    assert not any(meets(a, b) for a, b in combinations(boxes, 2))
    assert all(box(0, 0, 200, 100).contains(box(*each)) for each in boxes)


def test_a_lead_goes_round_what_is_taken() -> None:
    crowd = Crowd(bounds=(0, 0, 100, 100))
    wall = (53.0, 20.0, 56.0, 80.0)
    crowd.take(wall)
    found = crowd.free(50.0, 50.0, 3.0)
    assert found
    assert not LineString([(50, 50), found]).intersects(box(*wall))
