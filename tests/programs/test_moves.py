"""A program to moves: the quick way and the slow way agree, whatever the size of the pieces."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

AXES = ["X", "Y", "Z"]


def joined(batches, name):
    return np.concatenate([getattr(batch.moves, name) for batch in batches], axis=-1)


def ends(batches):
    return joined(batches, "end").T.tolist()


def test_words_of_a_line_act_before_its_move(moves_of):
    [batch] = moves_of("G1 X1 F60 S9000 M3 G21\nX2\nM30\n")
    assert batch.moves.rpm.tolist() == [9000, 9000]
    assert batch.moves.feed.tolist() == [1.0, 1.0]


def test_units_hold_for_places_and_feeds(moves_of):
    [batch] = moves_of("G20 G0 X0 Y0 Z1\nG1 X2 F60\nG21 X10\nM30\n")
    assert batch.moves.end[0].tolist() == [0.0, 50.8, 10.0]
    assert batch.moves.feed.tolist() == [np.inf, 25.4, 25.4]


def test_distances_and_places_may_change_on_any_line(moves_of):
    [batch] = moves_of("G0 X1 Y1 Z1\nG91 X1\nX1 Y2\nG90 X10\nG91 Z-3\nM30\n")
    assert ends([batch]) == [[1, 1, 1], [2, 1, 1], [3, 3, 1], [10, 3, 1], [10, 3, -2]]


def test_the_first_place_is_not_known(moves_of):
    [batch] = moves_of("G0 X1\nY2\nZ3\nX4\nM30\n")
    assert batch.moves.known.tolist() == [False, False, False, True]


def test_inverse_time_feeds_are_per_line(moves_of):
    [batch] = moves_of("G0 X0 Y0 Z0\nG93 G1 X30 F2\nX60\nG94 X90 F60\nM30\n")
    np.testing.assert_array_equal(batch.moves.feed, [np.inf, 1.0, np.nan, 1.0])


def test_the_chords_of_an_arc_by_inverse_time_share_its_feed(moves_of):
    [batch] = moves_of("G0 X0 Y0 Z0\nG93 G2 X20 Y0 I10 J0 F1\nM30\n")
    feeds = batch.moves.feed[1:]
    assert len(feeds) > 20
    assert feeds == pytest.approx(np.full(len(feeds), np.pi * 10 / 60), rel=1e-3)


@pytest.mark.parametrize(
    ("plane", "words", "middle"),
    [
        ("G17", "X20 I10 J0", (10.0, 10.0, 0.0)),
        ("G18", "X20 I10 K0", (10.0, 0.0, -10.0)),
        ("G19", "Y20 J10 K0", (0.0, 10.0, 10.0)),
    ],
)
def test_a_clockwise_arc_in_each_plane(moves_of, plane, words, middle):
    """Seen from the positive end of the axis across: G18's first axis is Z, so its arcs look turned about."""
    [batch] = moves_of(f"G0 X0 Y0 Z0\n{plane} G2 {words} F60\nM30\n")
    nearest = np.linalg.norm(batch.moves.end.T - middle, axis=1).min()
    assert nearest < 0.5


def test_home_and_the_machines_frame_lose_the_place(moves_of):
    [batch] = moves_of("G0 X1 Y1 Z1\nG28 Z5\nG0 X1 Y1\nZ1\nX2\nG53 G0 X0\nY3\nX4\nG1 X5 F1\nM30\n")
    assert batch.moves.known.tolist() == [False, False, False, False, True, False, False, False, True]
    assert batch.moves.cutting.tolist() == [False] * 8 + [True]


def test_a_cycle_drills_at_every_place_until_g80(moves_of):
    [batch] = moves_of("G0 X0 Y0 Z12\nG81 X5 Y5 Z-10 R2 F60\nX9\nG80\nG0 X1\nM30\n")
    bottoms = batch.moves.end.T[batch.moves.cutting].tolist()
    assert bottoms == [[5, 5, -10], [9, 5, -10]]
    assert batch.moves.end.T[-1].tolist() == [1, 5, 12]


def test_a_cycle_that_stays_low_says_so(moves_of):
    [batch] = moves_of("G0 X0 Y0 Z12\nG99 G81 X5 Y5 Z-10 R2 F60\nX9\nG80\nG0 X1\nM30\n")
    assert batch.moves.end.T[-1].tolist() == [1, 5, 2]


def test_nothing_is_read_after_the_end(moves_of):
    [batch] = moves_of("G0 X1 Y1 Z1\nM2\n\nG1 X5\n")
    assert len(batch.moves) == 1
    assert batch.after_end == 4
    [batch] = moves_of("%\nG0 X1 Y1 Z1\n%\n\n")
    assert (len(batch.moves), batch.after_end, batch.state.ended) == (1, 0, 3)


def test_the_first_text_after_the_end_is_found_in_a_later_piece(moves_of):
    batches = moves_of("G0 X1 Y1 Z1\nM2\n" + "\n" * 50 + "G1 X5\n", size=8)
    assert [batch.after_end for batch in batches if batch.after_end] == [53]


words = st.lists(
    st.tuples(
        st.sampled_from(["", "G0", "G1", "G90", "G91", "G20", "G21", "M9", "(note)", "N7"]),
        st.lists(st.sampled_from(AXES), unique=True),
        st.integers(-999, 999),
        st.sampled_from(["", "F6", "F0.5"]),
    ),
    max_size=30,
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60)
@given(words, st.integers(1, 60))
def test_lines_read_at_once_and_one_by_one_make_the_same_moves(moves_of, lines, size):
    quick = ["G1 G21 X0 Y0 Z0 F9"]
    for code, axes, number, feed in lines:
        quick.append(" ".join(filter(None, (code, *(f"{axis}{number / 10}" for axis in axes), feed))))
    slow = [f"{line} M48" for line in quick]  # a word that no plain line has
    at_once, one_by_one = moves_of("\n".join(quick) + "\n"), moves_of("\n".join(slow) + "\n", size=size)
    for name in ("end", "feed", "line", "cutting"):
        np.testing.assert_allclose(joined(at_once, name), joined(one_by_one, name), rtol=0, atol=1e-9)
