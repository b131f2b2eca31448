"""Sheets sawn up: nothing overlaps, nothing is lost, and they give as many blanks as the quote counts."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import box, union_all

from signplan.cost.rates import SAW, blanks_per_sheet
from signplan.cost.sawing import Piece, sawn

SIDES = st.floats(100, 2600)


def _box(piece: Piece, grown: float = 0.0):
    half = grown / 2
    return box(piece.x - half, piece.y - half, piece.x + piece.width + half, piece.y + piece.height + half)


@given(blank=st.tuples(SIDES, SIDES), sheet=st.tuples(SIDES, SIDES), count=st.integers(1, 7))
def test_blanks_lie_in_the_sheet_with_the_saw_between_them(blank, sheet, count):
    sheets, per_sheet = sawn(blank, count, sheet), blanks_per_sheet(blank, sheet)
    if not per_sheet:
        assert sheets == ()
        return
    assert sum(len(each.blanks) for each in sheets) == count
    assert len(sheets) == -(-count // per_sheet)
    whole = box(0, 0, max(sheet), min(sheet)).buffer(1e-6)
    for each in sheets:
        pieces = (*each.blanks, *each.left)
        assert all(whole.contains(_box(piece)) for piece in pieces)
        assert all(sorted((p.width, p.height)) == sorted(blank) for p in each.blanks)
        grown = [_box(piece, SAW - 1e-6) for piece in pieces]
        assert not any(a.intersects(b) for a, b in combinations(grown, 2))


@given(blank=st.tuples(SIDES, SIDES), count=st.integers(1, 4))
def test_what_is_neither_blank_nor_left_is_a_strip_or_the_saws(blank, count):
    """No piece that one could use is forgotten: nothing 60 mm wide lies outside all pieces."""
    for each in sawn(blank, count, (1220, 2440)):
        pieces = union_all([_box(piece, SAW + 1e-6) for piece in (*each.blanks, *each.left)])
        assert box(0, 0, 2440, 1220).difference(pieces).buffer(-30 - SAW).is_empty


def test_one_blank_leaves_the_largest_piece_whole():
    """By hand: 24 x 36 in out of 48 x 96 in. Standing on its short side along the long edge it leaves
    96 - 24 - 1/8 in of full width, more than any other way."""
    inch = 25.4
    (sheet,) = sawn((36 * inch, 24 * inch), 1, (48 * inch, 96 * inch))
    assert max(p.area for p in sheet.left) == pytest.approx((96 * inch - 24 * inch - SAW) * 48 * inch)


def test_a_blank_larger_than_the_sheet_comes_out_of_none():
    assert sawn((2500, 600), 1, (1220, 2440)) == ()
