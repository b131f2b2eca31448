"""A program to moves: columns of lines and the modal state to straight moves in the frame of the setup.

In: clean pieces of a file. Out: batches of `Moves` with the lines that were read one by one. Arcs are chorded
within `signplan.geometry.precision.CHORD`; cycles are followed. Nothing here judges a move; `rules` and
`against_plan` do.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from signplan.programs.arcs import FRAME, RADII_DIFFER_INCH, RADII_DIFFER_MM, Arcs, chords, wrong
from signplan.programs.cycles import Hole, drill
from signplan.programs.modal import State
from signplan.programs.model import Bools, Dialect, Fault, Floats, Ints, Line, Moves, chosen
from signplan.programs.rows import CLOCKWISE, NONE, PROBE, RAPID, Carry, Rows, held, read_others
from signplan.programs.source import Piece
from signplan.programs.table import NOTHING_SAID, Table, read_table


@dataclass(frozen=True, kw_only=True, slots=True, eq=False)
class Batch:
    """The moves of a piece, its other lines each with the state before and after it, and how far it got.

    `after_end` is the first line with anything on it after the program's end; 0 if there is none.
    """

    moves: Moves
    lines: tuple[tuple[Line, State, State], ...]
    state: State
    last_line: int
    words: bool
    after_end: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class _Steps:
    """Moves of some rows: which row each belongs to, where it ends (3, n), whether it is at a feed."""

    row: Ints
    end: Floats
    cutting: Bools


def read_moves(pieces: Iterable[Piece], dialect: Dialect, *, scale: float) -> Iterator[Batch]:
    """Batches of moves in order, up to the program's end.

    Args:
        scale: mm in a unit, until the program says its own.
    """
    carry = Carry(scale=scale)
    for piece in pieces:
        table = read_table(piece)
        moves, lines, rows = no_moves(), [], 0
        if not carry.state.ended:
            regimes = read_others(table, carry.state, dialect)
            lines, carry.state = regimes.lines, regimes.states[-1]
            rows = carry.state.ended - table.first + 1 if carry.state.ended else table.rows
            moves = _moves(Rows(table, regimes, carry, rows), carry)
        batch = Batch(
            moves=moves,
            lines=tuple(lines),
            state=carry.state,
            last_line=table.first + table.rows - 1,
            words=table.words > 0,
            after_end=_text_after(table, rows) if carry.state.ended else 0,
        )
        yield batch
        if batch.after_end:
            return


def _text_after(table: Table, rows: int) -> int:
    text = table.text[int(table.ends[rows - 1]) + 1 if rows else 0 :]
    blank = len(text) - len(text.lstrip(b"\n%"))
    return table.first + rows + text.count(b"\n", 0, blank) if blank < len(text) else 0


def no_moves() -> Moves:
    """None at all."""
    ints, floats, flags = np.zeros(0, np.int64), np.zeros(0), np.zeros(0, bool)
    return Moves(
        line=ints,
        last_line=ints,
        start=np.zeros((3, 0)),
        end=np.zeros((3, 0)),
        known=flags,
        low=np.full(3, np.inf),
        high=np.full(3, -np.inf),
        cutting=flags,
        feed=floats,
        regime=ints,
        tool=ints,
        change=ints,
        rpm=floats,
        path=ints,
        rest=flags,
        moved_zero=flags,
        measured=flags,
        bored_before=np.inf,
        faults=(),
    )


def _moves(rows: Rows, carry: Carry) -> Moves:
    """The moves of some rows: straight ones first, then those of arcs and cycles put between them."""
    nowhere = rows.moving & ~rows.lost & ((rows.motion == NOTHING_SAID) | (rows.motion == NONE))
    faults = _faults("motion", rows, dict.fromkeys(np.flatnonzero(nowhere).tolist(), ""))
    holes = _holes(rows, carry)
    before = carry.place
    begins, ends = rows.places(before)
    straight = rows.moving & ~rows.arc & ~rows.cycle
    at = np.flatnonzero(straight)
    if len(at) == rows.count:
        steps = _Steps(at, ends, _cuts(rows))
    else:
        steps = _Steps(at, chosen(ends, at), _cuts(rows)[at])
    if rows.arc.any():
        curved, wrongs = _curved(rows, begins, ends)
        steps, faults = _merged(steps, curved), faults + wrongs
    if holes:
        steps = _merged(steps, _drilled(holes, begins, ends))
    carry.place, carry.motion = ends[:, -1].copy(), int(rows.motion[-1])
    feed, carry.feed = rows.feeds(carry.feed)
    moves = _collected(rows, steps, feed, carry, before=before, faults=faults)
    carry.bored = _bored_after(moves)
    return moves


def _cuts(rows: Rows) -> Bools:
    cuts: Bools = rows.motion != RAPID
    if (rows.motion >= PROBE).any():
        cuts &= rows.motion < PROBE
    cuts &= ~rows.lost
    return cuts


def _faults(kind: Literal["arc", "motion"], rows: Rows, reasons: dict[int, str]) -> tuple[Fault, ...]:
    return tuple(Fault(kind=kind, line=rows.table.first + row, why=why) for row, why in reasons.items())


def _merged(some: _Steps, more: _Steps) -> _Steps:
    """Both, in the order of their rows."""
    row = np.concatenate((some.row, more.row))
    order = np.argsort(row, kind="stable")
    return _Steps(
        row[order],
        chosen(np.concatenate((some.end, more.end), axis=1), order),
        np.concatenate((some.cutting, more.cutting))[order],
    )


def _curved(rows: Rows, begins: Floats, ends: Floats) -> tuple[_Steps, tuple[Fault, ...]]:
    """The chords of all arcs, plane by plane. An arc that is none goes straight to its end."""
    planes = rows.of("plane", int)
    offsets = np.array([rows.column(letter) for letter in "IJK"]) * rows.scale
    radius = rows.column("R") * rows.scale
    reasons: dict[int, str] = {}
    made = _Steps(np.zeros(0, np.int64), np.zeros((3, 0)), np.zeros(0, bool))
    for plane in np.unique(planes[rows.arc]).tolist():
        at = np.flatnonzero(rows.arc & (planes == plane))
        first, second, across = FRAME[plane]
        frame = np.array((first, second, across))
        arcs = Arcs(
            start=begins[frame][:, at],
            end=ends[frame][:, at],
            centre=offsets[frame[:2]][:, at],
            radius=radius[at],
            clockwise=rows.motion[at] == CLOCKWISE,
            across=~np.isnan(offsets[across, at]),
            tolerance=np.where(rows.scale[at] == 1, RADII_DIFFER_MM, RADII_DIFFER_INCH),
        )
        bad = wrong(arcs)
        reasons |= {int(at[k]): why for k, why in bad.items()}
        good = np.ones(len(at), dtype=bool)
        good[list(bad)] = False
        points, owner = chords(arcs.where(good))
        end = np.empty_like(points)
        end[frame] = points
        made = _merged(made, _Steps(at[good][owner], end, np.ones(len(owner), dtype=bool)))
        made = _merged(made, _Steps(at[~good], ends[:, at[~good]], np.ones(len(bad), dtype=bool)))
    return made, _faults("arc", rows, dict(sorted(reasons.items())))


def _holes(rows: Rows, carry: Carry) -> dict[int, Hole]:
    """The holes of canned cycles, by row; their Z words are taken out of the positions.

    R, Z and Q stay in force until a cycle says others. A hole's own X, Y and the height that it starts from
    are put in by `_drilled`, once they are known.
    """
    if not rows.cycle.any():
        return {}
    at = np.flatnonzero(rows.cycle)
    sticky = {
        name: held(values[at], carry.cycle.get(name, np.nan))
        for name, values in (
            ("R", rows.column("R") * rows.scale),
            ("Z", rows.given[2]),
            ("Q", rows.column("Q") * rows.scale),
        )
    }
    carry.cycle = {name: float(values[-1]) for name, values in sticky.items()}
    to_start = rows.of("to_start", bool)[at]
    rows.given[2, at] = np.where(to_start, np.nan, sticky["R"])
    return {
        int(row): Hole(
            code=int(rows.motion[row]),
            clear=float(sticky["R"][k]),
            bottom=float(sticky["Z"][k]),
            peck=float(np.nan_to_num(sticky["Q"][k])),
            to_start=bool(to_start[k]),
        )
        for k, row in enumerate(at.tolist())
    }


def _drilled(holes: dict[int, Hole], begins: Floats, ends: Floats) -> _Steps:
    """The moves of all holes."""
    made = (
        (row, *step)
        for row, hole in holes.items()
        for step in drill(hole, (float(ends[0, row]), float(ends[1, row])), above=float(begins[2, row]))
    )
    columns: Floats = np.fromiter(made, dtype=np.dtype((float, 5))).T  # type: ignore[assignment]
    return _Steps(columns[0].astype(np.int64), columns[1:4].copy(), columns[4] > 0)


def _collected(
    rows: Rows, steps: _Steps, feed: Floats, carry: Carry, *, before: Floats, faults: tuple[Fault, ...]
) -> Moves:
    """Moves with what the modal state says of each."""
    row = steps.row
    start = np.concatenate((before[:, None], steps.end[:, :-1]), axis=1)
    feed = feed[row] if len(row) != rows.count or row[-1:].tolist() != [rows.count - 1] else feed
    if rows.ever("inverse"):
        feed = np.where(rows.of_each(row, "inverse", bool), feed * _row_length(steps, start), feed)
    if not steps.cutting.all():
        feed = np.where(steps.cutting, feed, np.inf)
    pauses = rows.of_each(row, "pauses", int)
    carry_pauses, carry.pauses = carry.pauses, int(pauses[-1]) if len(pauses) else carry.pauses
    low, high = _box(start[:, :1], steps.end)
    line = row + rows.table.first
    return Moves(
        line=line,
        last_line=line,
        start=start,
        end=steps.end,
        known=_known(start, steps.end, high),
        low=low,
        high=high,
        cutting=steps.cutting,
        feed=feed,
        regime=rows.regime[row] if len(rows.regime) and rows.regime[-1] else np.broadcast_to(0, len(row)),
        tool=rows.of_each(row, "tool", int),
        change=rows.of_each(row, "change", int),
        rpm=rows.of_each(row, "rpm"),
        path=rows.of_each(row, "path", int),
        rest=np.diff(pauses, prepend=carry_pauses) > 0,
        moved_zero=rows.of_each(row, "moved_zero", bool),
        measured=rows.of_each(row, "length", bool),
        bored_before=carry.bored,
        faults=faults,
    )


def _box(first: Floats, end: Floats) -> tuple[Floats, Floats]:
    """Corners of the box of all places; infinite where one is unknown."""
    if not end.shape[1]:
        return np.full(3, np.inf), np.full(3, -np.inf)
    return np.minimum(first[:, 0], end.min(axis=1)), np.maximum(first[:, 0], end.max(axis=1))


def _known(start: Floats, end: Floats, high: Floats) -> Bools:
    if np.isfinite(high).all():
        return np.broadcast_to(np.True_, end.shape[1])
    x, y, z = np.isfinite(start) & np.isfinite(end)
    known: Bools = x & y & z
    return known


def _bored_after(moves: Moves) -> float:
    """Lowest Z that was cut where the last move ends, since the tool came there."""
    sideways = np.flatnonzero((moves.start[0] != moves.end[0]) | (moves.start[1] != moves.end[1]))
    since = int(sideways[-1]) if sideways.size else 0
    cut_to = moves.end[2, since:][moves.cutting[since:]]
    return min(
        float(cut_to.min()) if cut_to.size else np.inf, np.inf if sideways.size else moves.bored_before
    )


def _row_length(steps: _Steps, start: Floats) -> Floats:
    """For each step the length of all steps of its row, mm: what an inverse-time feed is the inverse of."""
    _, first = np.unique(steps.row, return_index=True)
    with np.errstate(invalid="ignore"):
        length = np.linalg.norm(steps.end - start, axis=0)
        total = np.add.reduceat(length, first) if len(length) else length
    return np.repeat(total, np.diff(np.append(first, len(steps.row))))
