"""How this shop cuts: the figures behind every operation and tool path, in one place.

All are common practice for rigid urethane board unless a source is given. Lengths mm.
"""

import math

from signplan.job.shop import Tool
from signplan.operations.model import Clearing, Operation, Sculpting, Walls

STEPOVER = 0.4
"""Distance between clearing passes, in cutter diameters. At or below a half no pass can leave a ridge in a
corner: every point of the cutter's room is then within one radius of a pass."""

PASS = 2.0
"""Depth of one pass, in cutter diameters; foam takes two to three. Never deeper than the flutes are long."""

ALLOWANCE = 0.4
"""What roughing leaves on a wall for the finishing pass."""

OVERLAP = 0.25
"""How far a smaller cutter goes back into what a larger one has cleared, so that no ridge stays between."""

CORNER_LEFT = 1.0
"""How far into an inside corner board may be left before a smaller cutter is asked for."""

RUN_OUT = 0.5
"""How far past an open edge the cutter's middle runs, so that no burr stays on the edge."""

RAMP = 0.2
"""Slope of a ramped or helical entry, depth over length."""

APPROACH = 1.5
"""Height above standing board where a rapid ends and the plunge begins."""

BREAKTHROUGH = 0.5
"""How far below the board a through cut goes, into the spoilboard. Tooling pages say 0.02 to 0.06 in."""

TAB_WIDTH = 10.0
"""Length of a tab along the outline."""

TAB_THICKNESS = 5.0
"""Height of a tab from the bottom of the board; foam is weak in shear."""

TAB_SPACING = 250.0
"""Tabs are no farther apart than this along the outline, and never fewer than four."""

SKIN = 1.0
"""Thickness of the skin that holds a panel where the job asks for a skin instead of tabs."""

PECK = 2.0
"""Depth of one peck of a drill, in its diameters; chips are cleared after each."""

HOLE_FIT = 0.2
"""A drill makes a hole to size if its diameter differs from the hole's by less than this."""

SCALLOP = 0.02
"""Height of the ridges that a ball-nosed cutter may leave between two rows."""

RELIEF_ALLOWANCE = 0.8
"""What the roughing of a relief leaves for its finish."""


def pass_depth(tool: Tool) -> float:
    """Deepest single pass of a cutter."""
    return min(tool.cutting_length, PASS * tool.diameter)


def engagement(operation: Operation, tool: Tool) -> tuple[float, float | None]:
    """Depth and width of the cut that an operation's cutter has in the board, for its feed, mm.

    Width None: all of the cutter, or a pointed one, whose width follows from the depth.
    """
    match operation.work:
        case Clearing(top=top, floor=floor):
            passes = levels(top, floor, tool)
            return ((floor - top) / max(1, len(passes)), STEPOVER * tool.diameter)
        case Walls(top=top, floor=floor):
            return min(floor - top, tool.cutting_length), ALLOWANCE
        case Sculpting() if operation.kind == "relief-finish":
            return RELIEF_ALLOWANCE, None
    return min(operation.depth, pass_depth(tool)), None


def levels(top: float, floor: float, tool: Tool) -> tuple[float, ...]:
    """Depths below the face of the passes from `top` down to `floor`, all equally deep; empty if no depth.

    Their number is  ceil((floor - top) / pass depth).
    """
    deep = floor - top
    if deep <= 0:
        return ()
    count = max(1, math.ceil(deep / pass_depth(tool) - 1e-9))
    return tuple(top + deep * k / count for k in range(1, count + 1))
