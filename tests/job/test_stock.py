"""What people write for a size of hardware. The sizes themselves: tests/validation/test_hardware_sizes.py."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.job.stock import StockError, look_up, search, sizes_text
from signplan.job.stock_tables import all_stock

NAMES = [stock.name for stock in all_stock()]


def test_names_are_unique_and_mean_themselves():
    assert len(set(NAMES)) == len(NAMES)
    assert [look_up(name).name for name in NAMES] == NAMES


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("1-1/4 pipe", "pipe 1-1/4"),
        ("PIPE 1 1/4", "pipe 1-1/4"),
        ("pipe 1.25", "pipe 1-1/4"),
        ("nps 1¼", "pipe 1-1/4"),
        ("pipe 1-1/4 sch 40", "pipe 1-1/4"),
        ('3/8" hex nuts', "nut 3/8"),
        ("nut .375", "nut 3/8"),
        ("3/8-16 nut", "nut 3/8"),
        ("5/16-18 finished hexagon nut", "nut 5/16"),
        ("nut M8", "nut M8"),
        ("m8 nuts", "nut M8"),
        ("nut 8 mm", "nut M8"),
        ("nut 8", "nut M8"),
        ("hex bolt 1/2", "bolt head 1/2"),
        ("cap screw 3/8", "cap screw head 3/8"),
        ("washer 3/8", "washer 3/8 wide"),
        ("3/8 USS flat washer", "washer 3/8 wide"),
        ("3/8 SAE washer", "washer 3/8 narrow"),
        ("type A-N washer 3/8", "washer 3/8 narrow"),
        ("washer M10", "washer M10"),
        ("threaded rod ⅜", "rod 3/8"),
        ("all-thread 3/8", "rod 3/8"),
        ("flat bar 2 x 1/4", "flat 1/4 x 2"),
        ('flat 1/4" x 2"', "flat 1/4 x 2"),
        ("square tube 1 x 0.12", "tube 1 x .120"),
        ("tube 1 x 1 x .120", "tube 1 x .120"),
        ("tubing 2 x 1 x .083", "tube 2 x 1 x .083"),
        ("tube 1 x 2 x .083", "tube 1 x 2 x .083"),
        ("dowel pin 6", "dowel pin 6 mm"),
        ("eye bolt 3/8", "eyebolt 3/8"),
    ],
)
def test_one_size_has_many_spellings(text, name):
    assert look_up(text).name == name


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "pipe 1-3/8",
            "no built-in size 'pipe 1-3/8'; there are pipe 1/2, pipe 3/4, pipe 1, pipe 1-1/4, pipe 1-1/2, "
            "pipe 2, pipe 2-1/2, pipe 3",
        ),
        ("heavy nut 3/8", "no built-in 'heavy nut 3/8': the tables know no 'heavy' nut"),
        ("pipe 1 schedule 80", "no built-in 'pipe 1 schedule 80': the tables know no 'schedule' pipe"),
        (
            "angle 1 x 1/8",
            "no built-in size 'angle 1 x 1/8'; there are eyebolt shoulder, eyebolt, eye, washer, nut, "
            "cap screw head, bolt head, tube, pipe, dowel pin, rod, flat: `signplan stock` lists them",
        ),
        (
            "flat 5/8 x 4",
            "no built-in size 'flat 5/8 x 4'; there are flat 1/8 x 4, flat 3/16 x 4, flat 1/4 x 3-1/2, "
            "flat 1/4 x 4, flat 3/8 x 3-1/2, flat 3/8 x 4, flat 1/2 x 3-1/2, flat 1/2 x 4",
        ),
    ],
)
def test_what_is_not_in_the_tables_is_refused_with_what_is_near(text, message):
    with pytest.raises(StockError) as caught:
        look_up(text)
    assert str(caught.value) == message


def test_a_flat_bar_with_its_length_is_a_plate():
    plate = look_up("flat 1/4 x 2 x 23-1/2")
    bar = look_up("flat 1/4 x 2")
    assert plate.size == (23.5 * 25.4, bar.width)
    assert plate.thickness == bar.thickness


def test_a_tube_that_stands_has_its_sizes_exchanged():
    assert look_up("tube 1 x 2 x .083").size == look_up("tube 2 x 1 x .083").size[::-1]


@given(st.text(alphabet='nutpiewashrod x-/.1234568M"½', max_size=20))
def test_any_text_is_found_or_refused(text):
    with contextlib.suppress(StockError):
        assert look_up(text).source


def test_search_finds_one_size_or_all_that_have_the_words():
    assert [stock.name for stock in search("nut 3/8")] == ["nut 3/8"]
    assert [stock.name for stock in search("pipes")] == [name for name in NAMES if name.startswith("pipe")]
    assert {stock.name for stock in search("5/16")} >= {"nut 5/16", "rod 5/16", "eye 5/16"}
    assert len(search("")) == len(NAMES)
    assert search("heavy") == ()


def test_sizes_are_said_in_both_units():
    assert sizes_text(look_up("tube 1 x .120")) == (
        "size 1.020 x 1.020 in (25.908 x 25.908 mm), corner radius 0.094 in (2.381 mm)"
    )
    assert sizes_text(look_up("nut M8")) == (
        "across flats 0.512 in (13 mm), corners 0.591 in (15.011 mm), thickness 0.268 in (6.8 mm)"
    )
