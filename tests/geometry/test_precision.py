"""Chords stay within their error."""

import math

import pytest

from signplan.geometry.precision import quarter_segments


@pytest.mark.parametrize("radius", [0.5, 3.0, 20.0, 1000.0])
@pytest.mark.parametrize("error", [0.001, 0.005, 0.1])
def test_chords_of_a_quarter_circle_stay_within_the_error(radius, error):
    half_chord = math.pi / 4 / quarter_segments(radius, error)
    assert radius * (1 - math.cos(half_chord)) <= error


def test_no_more_chords_than_needed():
    count = quarter_segments(20.0, 0.005)
    assert 20 * (1 - math.cos(math.pi / 4 / (count - 1))) > 0.005


def test_a_circle_smaller_than_the_error_is_still_a_shape():
    assert quarter_segments(0.001) == 2
