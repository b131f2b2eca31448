"""Lengths as shops write them."""

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.units import LengthError, decimal, fine, parse_length, shop, to_units


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("3/8", Fraction(3, 8)),
        ("1-1/2", Fraction(3, 2)),
        ("1 1/2", Fraction(3, 2)),
        ('1 1/2"', Fraction(3, 2)),
        ("1½ in", Fraction(3, 2)),
        ("½", Fraction(1, 2)),
        ("1'-6 1/2\"", Fraction(37, 2)),
        ("1' 6\"", Fraction(18)),
        ("2 ft", Fraction(24)),
        (".5in", Fraction(1, 2)),
        ("12.", Fraction(12)),
        ("-3/4", Fraction(-3, 4)),
        ("+1", Fraction(1)),
        (" 7 ", Fraction(7)),
        ("2 inches", Fraction(2)),
    ],
)
def test_a_length_in_inches(text, inches):
    assert parse_length(text, "in") == float(inches * Fraction(254, 10))


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [("12.7mm", 12.7), ("1.5 cm", 15.0), ("2 m", 2000.0), ("12.7", 12.7), ("3/8 in", 9.525)],
)
def test_a_text_may_carry_its_own_unit(text, millimetres):
    assert parse_length(text, "mm") == millimetres


@pytest.mark.parametrize(
    ("value", "message"),
    [
        ("", "'' is not a length; write 12, 3/8, '1-1/2' or '12 mm'"),
        ("wide", "'wide' is not a length; write 12, 3/8, '1-1/2' or '12 mm'"),
        ("3/0", "division by zero in '3/0'"),
        ("1-3/2", "'1-3/2' has a fraction of one or more after a whole number; write the sum"),
        ("12 furlongs", "unknown unit 'furlongs' in '12 furlongs'; use mm, cm, m, in or ft"),
        ("1e3", "unknown unit 'e3' in '1e3'; use mm, cm, m, in or ft"),
        ("1/2/3", "unknown unit '/3' in '1/2/3'; use mm, cm, m, in or ft"),
        ("--1", "'--1' is not a length; write 12, 3/8, '1-1/2' or '12 mm'"),
        (True, "a length is a number, not true or false"),
        (float("nan"), "nan is not a length"),
        (float("inf"), "inf is not a length"),
    ],
)
def test_what_is_not_a_length_is_told(value, message):
    with pytest.raises(LengthError) as caught:
        parse_length(value, "in")
    assert str(caught.value) == message


def test_feet_with_millimetres_are_refused():
    with pytest.raises(LengthError):
        parse_length("1' 3mm", "in")


THIRTY_SECONDS = st.integers(0, 400 * 64)


@given(THIRTY_SECONDS)
def test_every_mixed_fraction_of_an_inch_is_exact(sixty_fourths):
    whole, part = divmod(sixty_fourths, 64)
    texts = [f"{whole}-{part}/64", f"{whole} {part}/64", f'{whole} {part}/64"', f"{sixty_fourths}/64 in"]
    expected = float(Fraction(sixty_fourths, 64) * Fraction(254, 10))
    assert {parse_length(text, "in") for text in texts} == {expected}


@given(st.decimals(-(10**6), 10**6, allow_nan=False, places=4))
def test_a_number_and_its_text_are_one_length(number):
    assert parse_length(str(number), "in") == parse_length(float(number), "in")


@given(st.floats(-1e6, 1e6), st.sampled_from(["in", "mm"]))
def test_to_units_undoes_parsing(number, units):
    assert to_units(parse_length(number, units), units) == pytest.approx(number, abs=1e-9, rel=1e-12)


@given(st.integers(-3200, 3200))
def test_what_the_trade_reads_is_read_back(thirty_seconds):
    length = thirty_seconds * 25.4 / 32
    assert parse_length(shop(length, "in"), "in") == pytest.approx(length, abs=1e-9)


@given(st.text(alphabet="0123456789 -/.'\"½inmft+", max_size=12))
def test_any_text_is_a_length_or_refused(text):
    with contextlib.suppress(LengthError):
        assert isinstance(parse_length(text, "in"), float)


@pytest.mark.parametrize(
    ("length", "units", "read", "decimals", "fits"),
    [
        (38.1, "in", '1-1/2"', "1.500 in", "1.500 in"),
        (0.0, "in", '0"', "0.000 in", "0.000 in"),
        (-9.525, "in", '-3/8"', "-0.375 in", "-0.375 in"),
        (0.1, "in", '0"', "0.004 in", "0.004 in"),
        (25.39, "in", '1"', "1.000 in", "1.000 in"),
        (1.55, "mm", "1.6", "1.6 mm", "1.55 mm"),
        (1000.0, "mm", "1000", "1000.0 mm", "1000.00 mm"),
        (-0.01, "mm", "0", "0.0 mm", "-0.01 mm"),
    ],
)
def test_lengths_are_said_for_shop_plan_and_fit(length, units, read, decimals, fits):
    assert (shop(length, units), decimal(length, units), fine(length, units)) == (read, decimals, fits)


@pytest.mark.parametrize("value", [1e308, "9" * 400, "1e308 in"])
def test_a_length_beyond_all_numbers_is_no_length(value):
    with pytest.raises(LengthError):
        parse_length(value, "in")
