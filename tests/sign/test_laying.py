"""The order in which the steel is laid in: held against every order that there is."""

from itertools import pairwise, permutations

import numpy as np
import pytest
from shapely import MultiPolygon, box

from signplan.sign.laying import Laying, lay
from signplan.sign.model import Bar, Item, PanelPlan, Plate, Pocket, Sign

OUTLINE = box(0, 0, 600, 400)


def plate(x0, y0, x1, y1, *, z=0.0, thickness=4.0):
    return Plate(outline=MultiPolygon([box(x0, y0, x1, y1)]), z=z, thickness=thickness)


def rod(start, end, *, z=0.0, diameter=10.0):
    return Bar(start=start, end=end, z=z, profile="round", width=diameter, height=diameter)


def sign_of(laid_with=None, pockets=None, **items):
    """A sign of items, each a list of parts, with pockets in both panels unless `pockets` says which."""
    laid_with, pockets = laid_with or {}, pockets or {}
    made = tuple(
        Item(
            name=name,
            key=f"hardware[{k}]",
            parts=tuple(parts),
            clearance=1,
            depth_clearance=1,
            split="both",
            laid_with=laid_with.get(name, ""),
        )
        for k, (name, parts) in enumerate(items.items())
    )
    panels = tuple(
        PanelPlan(
            id=panel,
            outline=OUTLINE,
            pockets=tuple(_pocket(panel, name) for name in items if panel in pockets.get(name, "AB")),
        )
        for panel in "AB"
    )
    return Sign(outline=OUTLINE, thickness=40, panels=panels, items=made)


def _pocket(panel, name):
    shape = MultiPolygon([box(0, 0, 1, 1)])
    return Pocket(
        id=f"{panel}/{name}-1",
        hardware=name,
        panel=panel,
        depth=5,
        above=0,
        drawn=shape,
        as_cut=shape,
        tool="em",
        mouth=False,
    )


YOKE = [plate(100, 100, 150, 130, z=10), plate(100, 100, 150, 130, z=-10), plate(100, 100, 110, 130)]


def test_no_steel():
    assert lay(sign_of()) == Laying(bench="A", order=())


def test_items_apart_are_laid_as_the_job_lists_them():
    sign = sign_of(
        left=[rod((10, 10), (10, 90))], bar=[plate(50, 50, 90, 60)], right=[rod((99, 10), (99, 90))]
    )
    assert lay(sign) == Laying(bench="A", order=(("left",), ("bar",), ("right",)))


def test_what_lies_deeper_in_panel_a_comes_first():
    """Panel A lies on its outer face, so its depth, +z, is down."""
    sign = sign_of(over=[plate(0, 0, 90, 20, z=-8)], under=[plate(50, 0, 60, 99, z=8)])
    assert lay(sign).order == (("under",), ("over",))


def test_a_rod_through_a_yoke_has_no_order():
    (ring,) = lay(sign_of(yoke=YOKE, rod=[rod((140, 50), (140, 200))])).rings
    assert [(over.upper, over.lower) for over in ring] == [("rod", "yoke"), ("yoke", "rod")]
    assert all(135 < over.spot[0] < 145 and 100 < over.spot[1] < 130 for over in ring)


def test_what_is_put_together_first_is_laid_as_one():
    sign = sign_of(
        {"rod": "yoke"},
        yoke=YOKE,
        rod=[rod((140, 50), (140, 200))],
        above=[plate(130, 60, 160, 70, z=-20)],
        below=[plate(130, 60, 160, 70, z=20)],
    )
    assert lay(sign) == Laying(bench="A", order=(("below",), ("yoke", "rod"), ("above",)))


def test_three_that_lie_over_one_another_in_a_ring():
    """Each lies over the next: two by two there would be an order."""
    sign = sign_of(
        a=[plate(0, 0, 60, 10, z=0), plate(0, 0, 10, 60, z=10)],
        b=[plate(0, 50, 60, 60, z=5), plate(50, 40, 60, 60, z=15)],
        c=[plate(50, 0, 60, 60, z=5)],
    )
    (ring,) = lay(sign).rings
    assert len({over.upper for over in ring}) == len(ring) >= 2
    for over, following in pairwise(ring):
        assert over.upper == following.lower


def test_the_panel_on_the_bench_is_the_one_that_leaves_less_to_turn_over():
    far = {"a": [plate(0, 0, 20, 20)], "b": [plate(30, 0, 50, 20)], "c": [plate(60, 0, 80, 20)]}
    in_b = {"a": "B", "b": "B"}
    assert lay(sign_of(pockets=in_b, **far)) == Laying(bench="B", order=(("a",), ("b",), ("c",)))
    mixed = lay(sign_of(pockets=in_b | {"c": "A"}, **far))
    assert mixed == Laying(bench="B", order=(("a",), ("b",)), turned=(("c",),))


def test_what_is_turned_over_may_lie_under_nothing():
    """`low` comes with panel B, which is lowered last; but `high` has to come after it."""
    sign = sign_of(
        pockets={"low": "B", "high": "A"},
        low=[plate(0, 0, 20, 20, z=-5)],
        high=[plate(0, 0, 20, 20, z=-15)],
    )
    (ring,) = lay(sign).rings
    assert {over.spot is None for over in ring} == {True, False}


def can_be_laid(items, order):
    """Whether boxes can come straight down in that order, up being -z: none through one that lies there."""

    def hits(low, high, block):
        (x0, y0, x1, y1), z = block.outline.bounds, block.z
        return low[0] < x1 and x0 < high[0] and low[1] < y1 and y0 < high[1] and z - 2 < high[2]

    laid = []
    for name in order:
        for part in items[name]:
            x0, y0, x1, y1 = part.outline.bounds
            if any(hits((x0, y0), (x1, y1, part.z + 2), block) for block in laid):
                return False
        laid += items[name]
    return True


def overlap(one, other):
    return abs(one.z - other.z) < 4 and one.outline.intersection(other.outline).area > 0


@pytest.mark.parametrize("seed", range(60))
def test_an_order_is_found_if_any_order_would_do(seed):
    rng = np.random.default_rng(seed)
    items = {}
    for name in "abcd":
        parts = []
        while len(parts) < 2:
            x, y, z = rng.integers(0, 9), rng.integers(0, 9), rng.integers(-3, 4) * 4
            new = plate(x, y, x + rng.integers(2, 6), y + rng.integers(2, 6), z=float(z))
            if not any(overlap(new, part) for laid in items.values() for part in laid):
                parts.append(new)
        items[name] = parts
    found = lay(sign_of(**items))
    possible = [order for order in permutations(items) if can_be_laid(items, order)]
    assert bool(found.rings) == (not possible)
    if possible:
        assert tuple(name for (name,) in found.order) == min(possible)
