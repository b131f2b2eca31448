"""Numbers read many at a time are the ones that Python reads one at a time."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from signplan.programs.numbers import LEAD, read_numbers

digits = st.text("0123456789", min_size=1, max_size=15)


@st.composite
def numerals(draw):
    text = draw(digits)
    place = draw(st.integers(0, len(text)))
    return draw(st.sampled_from(["", "-", "+"])) + draw(
        st.sampled_from([text, text[:place] + "." + text[place:]])
    )


def read(texts):
    """Values and validity of numbers that each follow a letter, as in a program."""
    place, start, end = LEAD, [], []
    for text in texts:
        start.append(place + 1)
        end.append(place + 1 + len(text))
        place = end[-1]
    line = b" " * LEAD + b"".join(b"X" + text.encode() for text in texts) + b"\n"
    return read_numbers(np.frombuffer(line, np.uint8), np.array(start), np.array(end))


@given(st.lists(numerals(), min_size=1, max_size=20))
def test_every_number_is_the_float_that_python_reads(texts):
    values, good = read(texts)
    assert good.all()
    assert values.tolist() == [float(text) for text in texts]


@pytest.mark.parametrize(
    "text",
    ["", "-", "+", ".", "-.", "1..2", "1.2.3", "1-2", "--1", "1e5", "1/2", "12345678.9.1", "1" * 17, "1#2"],
)
def test_what_is_no_number_is_not_taken_for_one(text):
    values, good = read(["1.5", text, "2.5"])
    assert good.tolist() == [True, False, True]
    assert values[[0, 2]].tolist() == [1.5, 2.5]


@given(st.lists(st.text("0123456789+-./#x", max_size=18), min_size=1, max_size=20))
def test_it_accepts_no_more_than_python_does(texts):
    values, good = read(texts)
    for text, value, fine in zip(texts, values, good, strict=True):
        if fine:
            assert float(text) == value
