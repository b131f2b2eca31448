"""What a ball reaches of a relief, against what it does by hand in grooves, valleys and at walls."""

import math

import numpy as np
import pytest
from shapely import Point, box

from signplan.errors import SignplanError
from signplan.geometry.shapes import area_of
from signplan.job.shop import Tool
from signplan.operations.detail import (
    LEFT,
    TOLERANCE,
    _least_step,
    finest_needed,
    loses,
    missed_by,
    would_do,
)
from signplan.operations.model import Sculpting
from signplan.sign.model import HeightMap

WIDE, HIGH, DEPTH = 120.0, 80.0, 8.0
COLUMN = np.tile(np.arange(1200) / 10 + 0.05, (800, 1))
"""x of the middle of each pixel of a tenth of a millimetre."""


def relief(values: np.ndarray, region=None) -> Sculpting:
    return Sculpting(
        region=area_of(region or box(0, 0, WIDE, HIGH)),
        heights=HeightMap(values=values, box=(0, 0, WIDE, HIGH)),
        depth=DEPTH,
        allowance=0.0,
    )


def grooves(wide: float, every: float = 20.0) -> np.ndarray:
    """Square grooves, half of the depth deep."""
    return np.where(COLUMN % every < wide, 0.5, 1.0)


def test_a_ball_leaves_nothing_of_a_plane_or_of_what_is_no_sharper_than_itself():
    dome = np.clip(1 - ((COLUMN - 60) / 50) ** 2, 0, 1)
    for values in (np.ones((8, 8)), COLUMN / WIDE, dome):
        missed = missed_by(relief(values), 6.0)
        assert (missed.share, missed.lost) == (0, 0)


@pytest.mark.parametrize("diameter", [3.0, 4.0, 6.0, 12.0])
def test_a_ball_stands_on_both_edges_of_a_groove_narrower_than_itself(diameter):
    """By hand: in a groove w wide it comes down by r - sqrt(r2 - w2 / 4); the rest of its depth stays."""
    radius, wide = diameter / 2, 2.0
    missed = missed_by(relief(grooves(wide)), diameter)
    sunk = radius - math.sqrt(radius**2 - wide**2 / 4)
    assert missed.deep == pytest.approx(DEPTH / 2 - sunk, abs=0.2 * radius)
    assert missed.worst[0] % 20 <= wide
    inside = np.arange(0, WIDE, 20)
    inside = inside[(inside >= radius) & (inside <= WIDE - radius)]
    length, cell = len(inside) * (HIGH - diameter), _least_step(relief(grooves(wide)), radius)
    assert missed.lost == pytest.approx(wide * length, abs=2 * max(cell, 0.1) * length)


def test_the_foot_of_a_wall_is_round_and_not_lost():
    """By hand: over a floor the ball leaves more than t within r - sqrt(2 r t - t2) of the wall."""
    missed = missed_by(relief(np.where(COLUMN < 60, 1.0, 0.25)), 6.0)
    strip = 3 - math.sqrt(2 * 3 * TOLERANCE - TOLERANCE**2)
    assert missed.lost == 0
    assert missed.share == pytest.approx(strip / (WIDE - 6), abs=0.5 / (WIDE - 6))


def test_a_ball_enters_a_groove_wider_than_itself():
    assert missed_by(relief(grooves(7.0)), 6.0).lost == 0
    assert missed_by(relief(grooves(5.0)), 6.0).lost > 0


def test_the_wall_round_a_relief_is_no_detail_of_it():
    level = relief(np.full((80, 120), 0.25), region=Point(60, 40).buffer(30))
    assert missed_by(level, 6.0).share == 0


def ball(diameter: float) -> Tool:
    return Tool(number=1, id="b", shape="ball", diameter=diameter, flutes=2, cutting_length=20.0, reach=30.0)


def test_the_largest_ball_that_reaches_the_map_is_needed():
    balls = [ball(size) for size in (12.0, 6.0, 3.0, 1.5)]
    assert finest_needed(relief(COLUMN / WIDE), balls) is balls[0]
    shallow = relief(grooves(4.0, every=60.0))
    chosen = finest_needed(shallow, balls)
    assert chosen is balls[2]
    assert missed_by(shallow, 3.0).share <= LEFT < missed_by(shallow, 6.0).share
    assert finest_needed(relief(grooves(0.5, every=2.0)), balls) is balls[-1]
    assert finest_needed(relief(grooves(1.0)), []) is None


def bridged(profile: np.ndarray, step: float, radius: float) -> np.ndarray:
    """What a ball leaves over a ripple, by trying every place of its middle along the line."""
    x = np.arange(len(profile)) * step
    off = np.abs(x[:, None] - x)
    up = np.where(off <= radius, radius - np.sqrt(np.maximum(radius**2 - off**2, 0)), np.inf)
    tip = (profile[None] - up).max(axis=1)
    return (tip[None] + up).min(axis=1) - profile


@pytest.mark.parametrize(("high", "needed"), [(0.3, 12.0), (0.6, 6.0), (1.0, 3.0)])
def test_ripples_take_the_ball_that_a_search_along_one_of_them_finds(high, needed):
    x = np.arange(2400) * 0.05 + 0.025
    ripple = 0.9 + high / 2 / DEPTH * np.sin(2 * np.pi * x / 5)
    balls = [ball(size) for size in (12.0, 6.0, 3.0)]
    short = {
        each: np.mean(bridged((ripple - 1)[:1000] * DEPTH, 0.05, each / 2) > TOLERANCE) for each in (12, 6)
    }
    largest = next((each for each in short if short[each] <= LEFT), 3)
    assert largest == needed
    assert finest_needed(relief(np.tile(ripple, (100, 1))), balls).diameter == needed


def test_the_cutter_that_would_do_does():
    work = relief(grooves(2.0))
    assert loses(missed_by(work, 6.0), work)
    wide = would_do(work, 6.0)
    assert 1.2 <= wide <= 2.1
    assert not loses(missed_by(work, wide), work)


def test_a_map_coarser_than_the_ball_is_looked_at_between_its_pixels():
    """Noise in pixels of 2 mm: between them it is straight, with bottoms too sharp for a 3 mm ball."""
    noise = relief(np.random.default_rng(2).random((40, 60)))
    assert missed_by(noise, 3.0).share > 0.3
    assert missed_by(noise, 3.0).lost > 0.1 * WIDE * HIGH


def test_heights_that_are_no_numbers_are_refused():
    values = COLUMN / WIDE
    values = np.where(values > 0.99, np.nan, values)
    with pytest.raises(SignplanError, match="heights that are no numbers"):
        missed_by(relief(values), 6.0)


def test_of_noise_no_cutter_makes_a_surface():
    assert would_do(relief(np.random.default_rng(1).random((800, 1200))), 6.0) is None


def test_a_map_mirrored_for_the_other_side_asks_for_the_same():
    work = relief(grooves(2.0))
    other = HeightMap(values=work.heights.values, box=work.heights.box, mirrored=True)
    turned = Sculpting(region=work.region, heights=other, depth=DEPTH, allowance=0.0)
    assert missed_by(turned, 6.0).lost == pytest.approx(missed_by(work, 6.0).lost, rel=0.05)
