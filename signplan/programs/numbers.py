"""Many decimal numbers at once, from bytes to floats.

A number of up to sixteen characters is read as two groups of eight, each loaded as one 64-bit integer whose
lowest byte is the first character. Digits of a group are then added up pairwise: pairs, fours, eight. The
result is a whole number below 10^15 over a power of ten, both exact, so it is the same float that Python
reads.
"""

import numpy as np
from numpy.typing import NDArray

from signplan.programs.model import Bools, Floats, Ints

Bytes = NDArray[np.uint8]
Groups = NDArray[np.uint64]

LEAD = 16
"""Bytes that must stand before the first number, for the groups to be loaded from."""

LONGEST = 16
"""Characters of a number, its sign apart, that are read here; no more than 15 digits of them."""

_POWERS = 10.0 ** np.arange(LONGEST + 1)
_SIGNS = np.where(np.arange(256) == ord("-"), -1.0, 1.0)
"""By the first character of a number."""

_WHOLE_POWERS = 10 ** np.arange(9, dtype=np.uint64)
_KEEP = np.array([0, *(2**64 - 2 ** (64 - 8 * k) for k in range(1, 9))], dtype=np.uint64)
"""By number of characters: mask of the last of eight."""


def _each(byte: int) -> np.uint64:
    return np.uint64(int.from_bytes(bytes([byte] * 8), "little"))


_ZEROS, _POINTS, _ONES, _TOPS, _PAST_NINE = (_each(b) for b in (0x30, ord(".") ^ 0x30, 0x01, 0x80, 0x76))
_PAIRS, _FOURS, _EIGHT = (
    np.uint64(0x000000FF000000FF),
    np.uint64(0x000F424000000064),
    np.uint64(0x271000000001),
)
_1, _7, _8, _10, _16, _32, _255 = (np.uint64(n) for n in (1, 7, 8, 10, 16, 32, 255))


def read_numbers(text: Bytes, start: Ints, end: Ints) -> tuple[Floats, Bools]:
    """Numbers that stand in `text` from start to end, and which of them are numbers of this form at all.

    The form: an optional sign, digits, at most one point, at least one digit. `text` begins with `LEAD` bytes
    that belong to no number; start < len(text).

    >>> text = b" " * LEAD + b"-12.5+7.x"
    >>> start, end = np.array([16, 21, 24]), np.array([21, 24, 25])
    >>> values, good = read_numbers(np.frombuffer(text, np.uint8), start, end)
    >>> values[:2].tolist(), good.tolist()
    ([-12.5, 7.0], [True, True, False])
    """
    first = text[start]
    signed = (first == ord("-")) | (first == ord("+"))
    size = end - start - signed
    last, digits, decimals, good = _group(text, end, np.minimum(size, 8))
    values = last.astype(np.float64)
    longer = np.flatnonzero(size > 8)
    if longer.size:
        more = size[longer] - 8
        head, head_digits, head_decimals, head_good = _group(text, end[longer] - 8, np.minimum(more, 8))
        two_points = (head_decimals >= 0) & (decimals[longer] >= 0)
        tail_digits = digits[longer]
        values[longer] += (head * _WHOLE_POWERS[tail_digits]).astype(np.float64)
        decimals[longer] = np.where(head_decimals >= 0, head_decimals + 8, decimals[longer])
        digits[longer] += head_digits
        good[longer] &= head_good & ~two_points & (more <= 8) & (digits[longer] < 16)
    good &= digits > 0
    values /= _POWERS[np.maximum(decimals, 0)]
    values *= _SIGNS[first]
    return values, good


def _group(text: Bytes, end: Ints, size: Ints) -> tuple[Groups, Ints, Ints, Bools]:
    """The last `size` <= 8 characters before `end`: their digits as one number, how many, decimals, validity.

    Decimals are -1 without a point. A text of no characters is zero of no digits.
    """
    loads = np.ndarray((len(text) - 7,), "<u8", text, strides=(1,))
    group = (loads[end - 8] ^ _ZEROS) & _KEEP[np.maximum(size, 0)]
    # Where is the point? The lowest byte that equals it, found by the borrow that a zero byte causes.
    other = group ^ _POINTS
    mark = (other - _ONES) & ~other & _TOPS
    unit = (mark & (~mark + _1)) >> _7
    before = unit - _1
    after = ~(before | (unit * _255))
    pointed = unit != 0
    decimals = 7 - (np.bitwise_count(before) >> 3).astype(np.int64)
    # Close the gap that it leaves, and add up what must now all be digits.
    packed = ((group & before) << (pointed * _8)) | (group & after)
    good = ((packed + _PAST_NINE) & _TOPS) == 0
    pairs = packed * _10 + (packed >> _8)
    number = ((pairs & _PAIRS) * _FOURS + ((pairs >> _16) & _PAIRS) * _EIGHT) >> _32
    return number, size - pointed, decimals, good
