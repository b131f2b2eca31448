import math

import pytest
from pydantic import TypeAdapter, ValidationError

from signplan.job.fields import Count, Feed, Gap, Mm, Name, NotNegative, Number, Positive, Size


def read(kind, value, units="in"):
    return TypeAdapter(kind).validate_python(value, context={"units": units})


@pytest.mark.parametrize(
    ("kind", "value", "units", "expected"),
    [
        (Mm, "-1/2", "in", -12.7),
        (Mm, 2, "mm", 2.0),
        (Size, "3/8", "in", 9.525),
        (Size, "12 mm", "in", 12.0),
        (Gap, 0, "in", 0.0),
        (Feed, 600, "in", 254.0),
        (Feed, "6000 mm", "in", 100.0),
    ],
)
def test_lengths_become_millimetres_and_feeds_millimetres_per_second(kind, value, units, expected):
    assert read(kind, value, units) == expected


@pytest.mark.parametrize(
    ("kind", "value"),
    [
        (Size, 0),
        (Size, "-1"),
        (Gap, -0.1),
        (Feed, 0),
        (Mm, True),
        (Mm, None),
        (Mm, math.nan),
        (Mm, 1e308),
        (Mm, "1,5"),
        (Number, "3"),
        (Number, True),
        (Number, math.inf),
        (Positive, 0.0),
        (NotNegative, -1.0),
        (Count, 1.0),
        (Count, -1),
        (Name, ""),
    ],
)
def test_what_is_no_such_value_is_refused(kind, value):
    with pytest.raises(ValidationError):
        read(kind, value)
