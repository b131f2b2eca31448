"""Values that stay in force from line to line."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from signplan.programs.model import UNKNOWN
from signplan.programs.rows import held

words = st.lists(st.tuples(st.one_of(st.just(math.nan), st.floats(-100, 100)), st.booleans()), min_size=1)


@given(words, st.floats(-100, 100))
def test_axis_words_are_places_or_steps_by_the_mode_of_their_line(given_words, before):
    said = np.array([value for value, _ in given_words])
    absolute = np.array([mode for _, mode in given_words])
    place, expected = before, []
    for value, is_place in given_words:
        if not math.isnan(value):
            place = value if is_place else place + value
        expected.append(place)
    np.testing.assert_allclose(held(said, before, absolute), expected, atol=1e-6)


@given(words, st.floats(-100, 100))
def test_without_a_mode_the_last_value_stays(given_words, before):
    said = np.array([value for value, _ in given_words])
    value, expected = before, []
    for new, _ in given_words:
        value = value if math.isnan(new) else new
        expected.append(value)
    assert held(said, before).tolist() == expected


def test_an_unknown_place_stays_unknown_until_one_is_said():
    said = np.array([1.0, math.nan, 5.0, 1.0])
    absolute = np.array([False, False, True, False])
    assert held(said, UNKNOWN, absolute).tolist() == [UNKNOWN, UNKNOWN, 5.0, 6.0]
