"""Writes the demo programs: what a shop's own software would post for this job, here from the plan's paths.

    .venv/bin/python demo_jobs/gannet-and-thrum/programs/write.py

`right/` holds a program for every setup. `swapped/` has that of the inner faces with two tool numbers
swapped: the 1/8 in cutter is called where the 1/4 in one belongs, and the other way round.
"""

from collections.abc import Iterator
from itertools import groupby
from pathlib import Path

import numpy as np
import shapely

from signplan.plan import Plan, make_plan
from signplan.schedule.model import PlannedOperation, PlannedSetup
from signplan.toolpaths.model import Move

HERE = Path(__file__).parent
INCH = 25.4
SMOOTH = 0.05
"""mm by which a posted path leaves the planned one: fewer lines, as shops post them."""


def program(plan: Plan, planned: PlannedSetup, calls: dict[int, int]) -> str:
    """The program of a setup. `calls` has the tool numbers that are to be called by a wrong one."""
    lines = [
        "%",
        f"(setup {planned.setup.id} of {plan.job.job.number}, {plan.job.job.title})",
        "(zero: lower left corner of the blank, top)",
        "G17 G20 G40 G49 G80 G90 G94 G54",
    ]
    clearance = plan.shop.machine.clearance_z / INCH
    for tool, operations in groupby(planned.operations, key=lambda each: each.tool):
        number = calls.get(tool.number, tool.number)
        lines += ["M5", f"T{number} M6 ({tool.id})"]
        for k, each in enumerate(operations):
            lines.append(f"({each.operation.id})")
            lines.append(f"S{round(each.cutting.rpm)}" + ("" if k else " M3"))
            if not k:
                lines.append(f"G43 H{number}")
                lines.append(f"G0 Z{clearance:.4f}")
            lines += moves(each)
        lines.append(f"G0 Z{clearance:.4f}")
    return "\n".join((*lines, "M5", "M30", "%", ""))


def moves(each: PlannedOperation) -> Iterator[str]:
    """The path of an operation as lines; words that did not change are left out."""
    feeds = {
        Move.RAPID: "",
        Move.PLUNGE: f"{each.cutting.plunge_feed * 60 / INCH:.1f}",
        Move.CUT: f"{each.cutting.feed * 60 / INCH:.1f}",
    }
    before: dict[str, str] = {}
    points, kinds = smoothed(each.path.points, each.path.moves)
    for point, kind in zip(points / INCH, (Move.RAPID, *map(Move, kinds.tolist())), strict=True):
        words = {
            "G": "0" if kind == Move.RAPID else "1",
            **{
                axis: f"{value + 0.0:.4f}".replace("-0.0000", "0.0000")
                for axis, value in zip("XYZ", point, strict=True)
            },
            "F": feeds[kind] or before.get("F", ""),
        }
        changed = [letter + text for letter, text in words.items() if text and text != before.get(letter)]
        before = words
        if set("XYZ") & {word[0] for word in changed}:
            yield " ".join(changed)


def smoothed(points: np.ndarray, kinds: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The path with fewer points on its level stretches."""
    kept, steps = [points[:1]], []
    edges = np.flatnonzero((np.diff(kinds) != 0) | (np.diff(points[1:, 2]) != 0)) + 1
    for first, last in zip([0, *edges], [*edges, len(kinds)], strict=True):
        part = points[first : last + 1]
        if np.ptp(part[:, 2]) == 0 and len(part) > 2:
            part = shapely.get_coordinates(shapely.simplify(shapely.LineString(part), SMOOTH), include_z=True)
        kept.append(part[1:])
        steps.append(np.full(len(part) - 1, kinds[first]))
    return np.concatenate(kept), np.concatenate(steps)


def main() -> None:
    """Write both sets."""
    plan = make_plan(HERE.parent)
    for planned in plan.setups:
        name = f"{plan.job.job.number} {planned.setup.id}.nc"
        (HERE / "right").mkdir(exist_ok=True)
        (HERE / "right" / name).write_text(program(plan, planned, {}), encoding="ascii", newline="\n")
    inner = next(each for each in plan.setups if each.setup.face == "inner")
    quarter, eighth = (plan.shop.tool(name).number for name in ("em-1/4", "em-1/8"))
    (HERE / "swapped").mkdir(exist_ok=True)
    swapped = program(plan, inner, {quarter: eighth, eighth: quarter})
    name = f"{plan.job.job.number} {inner.setup.id}.nc"
    (HERE / "swapped" / name).write_text(swapped, encoding="ascii", newline="\n")


if __name__ == "__main__":
    main()
