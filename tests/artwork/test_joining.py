import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from signplan.artwork.joining import NEARLY, Stroke, join
from signplan.artwork.remarks import Remarks


def joined(*pieces, gap=0.0):
    remarks = Remarks(name="face.dxf")
    strokes = [Stroke(np.array(piece, dtype=float), f"{k:X}") for k, piece in enumerate(pieces)]
    return join(strokes, remarks, layer="L", gap=gap), remarks


SQUARE = [((0, 0), (10, 0)), ((10, 0), (10, 10)), ((10, 10), (0, 10)), ((0, 10), (0, 0))]


@settings(deadline=None)
@given(st.permutations(range(4)), st.lists(st.booleans(), min_size=4, max_size=4))
def test_order_and_direction_do_not_matter(order, flips):
    chains, remarks = joined(*(SQUARE[k][::-1] if flips[k] else SQUARE[k] for k in order))
    (chain,) = chains
    assert chain.closed
    assert {tuple(p) for p in chain.points} == {(0, 0), (10, 0), (10, 10), (0, 10)}
    assert not remarks.findings
    assert not remarks.problems


def test_open_lines_stay_open_in_drawing_order():
    chains, _ = joined(((5, 5), (6, 6)), ((0, 0), (1, 0)), ((2, 0), (1, 0)))
    assert [chain.closed for chain in chains] == [False, False]
    assert [chain.sources for chain in chains] == [("0",), ("1", "2")]
    assert chains[1].points.tolist() == [[0, 0], [1, 0], [2, 0]]


def test_a_gap_is_bridged_only_when_the_job_allows_it():
    pieces = [((0, 0), (10, 0)), ((10.05, 0), (10, 10)), ((10, 10), (0, 0))]
    (chain,), remarks = joined(*pieces)
    assert not chain.closed
    (finding,) = remarks.findings
    assert finding.code == "art-open"
    assert finding.measured == pytest.approx(0.05)
    (chain,), remarks = joined(*pieces, gap=0.1)
    assert chain.closed
    assert len(chain.points) == 5
    (finding,) = remarks.findings
    assert finding.code == "art-bridged"
    assert finding.message == "a gap of 0.05 mm was bridged at (10, 0) mm on layer L"
    assert finding.where == "face.dxf: layer L, #0, #1"


def test_small_pieces_survive_a_wide_gap():
    """A single wide snap would swallow the short side."""
    pieces = [((0, 0), (10, 0)), ((10, 0), (10, 0.2)), ((10, 0.2), (0, 0.2)), ((0, 0.2), (0, 0))]
    (chain,), remarks = joined(*pieces, gap=0.5)
    assert chain.closed
    assert len(chain.points) == 5
    assert not remarks.findings


def test_three_ends_in_one_point_are_refused_with_the_place():
    _, remarks = joined(((0, 0), (1, 0)), ((1, 0), (2, 0)), ((1, 0), (1, 3)))
    (problem,) = remarks.problems
    assert problem.message == (
        "layer L: 3 ends meet in one point at (1, 0) mm, #0, #1, #2; "
        "an outline or a line cannot branch: draw it in one piece"
    )


def test_ends_with_a_choice_are_refused_rather_than_guessed():
    """Two circles cut open where they cross: the nearest ends would make one figure of eight."""
    _, remarks = joined(((0, 0), (10, 0)), ((10.05, 0), (10, 10)), ((10, 0.05), (20, 20)), gap=0.1)
    (problem,) = remarks.problems
    assert "an open end has 2 others within the gap of 0.1 mm at (10, 0) mm" in problem.message


def test_repeated_and_empty_pieces_are_left_out_and_reported():
    chains, remarks = joined(*SQUARE, ((10, 0), (0, 0)), ((3, 3), (3, 3)))
    assert [chain.closed for chain in chains] == [True]
    assert [(f.code, f.message) for f in remarks.findings] == [
        ("art-speck", "left out on layer L: 1 piece of no length"),
        ("art-duplicate", "left out on layer L: 1 piece drawn twice"),
    ]


def test_ends_far_apart_are_no_concern():
    _, remarks = joined(((0, 0), (10, 0)), ((10 + NEARLY * 1.01, 0), (20, 5)))
    assert not remarks.findings
