"""The tolerances of the geometry, each with its reason. Lengths mm, areas mm2."""

import math

CHORD = 0.005
"""Chord error of our own curves: a tenth of what a router repeats to."""

FEWER = 0.001
"""What a boundary may move by where it has more corners than any cutter could follow."""

SAME = 1e-6
"""Two lengths closer than this are the same length."""

TOUCH = 0.01
"""Steel that is this close, or this deep, touches; a tenth of a clearance that anyone would draw."""

GRID = 1e-4
"""Grid that results are snapped to before they are compared or written; far below any cut."""

SPECK = 0.01
"""Area below which a polygon is the dust of an overlay, not a shape."""

OUTSIDE = 0.05
"""Art, and two drawings of one outline, may differ by this much: what a router repeats to."""

STEP = 0.5
"""Height of the steps that stand for a sloping cut: how much less board they may show than there is."""


def quarter_segments(radius: float, chord_error: float = CHORD) -> int:
    """Chords in a quarter circle of `radius` that stay within `chord_error` of it; at least 2.

    From the sagitta of a chord, e = r (1 - cos(half its angle)).
    """
    if radius <= chord_error:
        return 2
    return max(2, math.ceil(math.pi / (4 * math.acos(1 - chord_error / radius))))
