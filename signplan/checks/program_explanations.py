"""The codes of findings about a shop's own programs, explained. Data only.

Sections are those of the RS274/NGC language in NISTIR 6556 (2000), from memory.
"""

from signplan.checks.explanation import Explanation

_NGC = "RS274/NGC, NISTIR 6556 (2000), {} (from memory)"
_PLAN = "the plan of the setup"

_FILE = {
    "program-unreadable": Explanation(
        title="the file is no program",
        meaning="It is empty, binary, in another encoding, or not made of NC words; nothing in it was "
        "checked.",
        source=_NGC.format("3.3"),
        remedy="give the file that the machine runs",
    ),
    "program-setup": Explanation(
        title="it cannot be told which setup a program is for",
        meaning="Neither the name of the file, nor a comment near its top, nor its tools in their "
        "order say which setup it belongs to, so it was not held against the plan. As a note: "
        "a setup has no program.",
        source=_PLAN,
        remedy="put the setup's name into the file's name or into a comment near its top",
    ),
    "program-end": Explanation(
        title="the program does not end, or goes on after its end",
        meaning="A program without an end may have been cut short when it was copied. Text after the "
        "end is not run.",
        source=_NGC.format("3.1 and 3.6.1: M2 or M30, or the whole between two lines of %"),
        remedy="post it again; make sure that nothing was meant to be cut after the end",
    ),
    "program-start": Explanation(
        title="the program leaves in force what another has set",
        meaning="Plane, distance mode, cutter compensation and the like are not set before the first "
        "move, so the program that ran before decides how this one is cut.",
        source="common practice: a line that sets them all at the top",
        remedy="post it with a full first line, or set the modes by hand and say so on the traveller",
    ),
    "program-units": Explanation(
        title="inches or millimetres are not said, or change",
        meaning="A control that stands in the other unit cuts 25.4 times too large or too small.",
        source=_NGC.format("3.5.7: G20 and G21") + "; ISO 6983-1: G70 and G71",
        remedy="say the unit once, at the top",
    ),
}

_LINES = {
    "program-line": Explanation(
        title="a line that cannot be read",
        meaning="It is longer than a control must take, is not made of words of a letter and a "
        "number, or its line number is none.",
        formula="at most 256 characters; N from 0 to 99999, in front",
        source=_NGC.format("3.3"),
        remedy="post the program again, or correct the line",
    ),
    "program-comment": Explanation(
        title="a comment that does not end, or holds another",
        meaning="What follows may be cut as a move, or skipped, depending on the control.",
        source=_NGC.format("3.3.3"),
        remedy="close the comment on its line, without another inside",
    ),
    "program-word": Explanation(
        title="a word that the language does not have",
        meaning="It is named since a control may act on it; this check cannot know how.",
        source=_NGC.format("3.5 and 3.6"),
        remedy="find out what your control does with it, or post the program without it",
    ),
    "program-group": Explanation(
        title="two words on a line that exclude each other",
        meaning="Two words of one modal group, a letter twice, more than four M words, or two words "
        "that take the same axis words. A control refuses the line, or takes one of them.",
        source=_NGC.format("3.3.2 and 3.4"),
        remedy="put them on lines of their own, in the order that is meant",
    ),
    "program-not-checked": Explanation(
        title="a word that is known and not followed here",
        meaning="The check does not follow what the word does, so what comes after it was not judged "
        "with it. As an error: the check no longer knows where the tool is.",
        source=_NGC.format("3.5"),
        remedy="check what it does at the machine, with the tool above the blank; or post plain moves",
    ),
    "program-optional": Explanation(
        title="a line that a switch may skip",
        meaning="A line that begins with a slash is skipped if block delete is on: the program does "
        "two different things. It was checked as if that is off.",
        source=_NGC.format("3.3"),
        remedy="set the switch off for this program, or take the line out",
    ),
    "program-tool": Explanation(
        title="a tool change that does not say which tool",
        meaning="M6 without a T, a T that is no tool number, or a cut before any tool was called.",
        source=_NGC.format("3.6.3 and 3.7.3"),
        remedy="put the T word on the line of the M6, before the first cut",
    ),
    "length-number": Explanation(
        title="the length of another tool is taken",
        meaning="G43 with another number than that of the tool in the spindle, or with none. A wrong "
        "length drives the cutter into the blank or the table.",
        formula="the H of G43 equals the T in the spindle",
        source=_NGC.format("3.5.11"),
        remedy="correct the H word, or make sure that your control ignores it",
    ),
    "length-offset": Explanation(
        title="a cut after a tool change without a length offset",
        meaning="The new tool cuts with the length of the old one.",
        source=_NGC.format("3.5.11: G43"),
        remedy="add G43, unless your changer or the person at the machine sets the length",
    ),
    "spindle-reversed": Explanation(
        title="the spindle turns backwards",
        meaning="Router cutters are right-handed: turned by M4 they burn, and can come loose.",
        source=_NGC.format("3.6.2") + "; common practice",
        remedy="use M3 unless the cutter is left-handed",
    ),
    "work-offset": Explanation(
        title="another zero than the corner of the blank",
        meaning="The plan has one zero, the lower left corner of the blank on its top, and G54 is "
        "taken for it. Another offset was checked as if it were the same place.",
        source=_NGC.format("3.5.13"),
        remedy="make sure of that zero at the machine, or use G54",
    ),
}

_MOVES = {
    "motion-missing": Explanation(
        title="axis words while no motion is in force",
        meaning="A control refuses the line, or takes a motion that it remembers.",
        source=_NGC.format("3.5.17"),
        remedy="put G0 or G1 on the line",
    ),
    "arc-wrong": Explanation(
        title="an arc that is none",
        meaning="Its centre, radius and ends do not fit together. A control stops with an alarm, or "
        "cuts another curve.",
        formula="the radii at its start and end differ by no more than .0002 in or .002 mm",
        source=_NGC.format("3.5.3"),
        remedy="post the program again, with more decimals",
    ),
    "feed-missing": Explanation(
        title="a move at a feed without a feed",
        meaning="No F was given before it, or, with G93, on its own line.",
        source=_NGC.format("3.5.2 and 3.5.19"),
        remedy="give the feed on the first cut after every tool change",
    ),
    "place-unknown": Explanation(
        title="a cut from or to a place that was not said",
        meaning="The program has not said where the tool is on every axis, so the cut starts wherever "
        "it stands.",
        source="geometry",
        remedy="start with X, Y and Z in absolute distance (G90)",
    ),
    "spindle-off": Explanation(
        title="a move at a feed while the spindle stands",
        meaning="A tool change stops the spindle, and S alone does not start it. A standing cutter breaks.",
        source=_NGC.format("3.6.2 and 3.6.3"),
        remedy="M3 and S after every tool change, before the first cut",
    ),
    "rapid-low": Explanation(
        title="a rapid sideways below the clearance height",
        meaning="What stands on the board, a screw or a loose piece, is in its way.",
        formula="height of the move against `machine.clearance_z`",
        source="common practice",
        remedy="go up to the clearance height before going sideways",
    ),
    "rapid-into-board": Explanation(
        title="a rapid down into the board",
        meaning="The tool goes down at rapid where nothing was cut before it. A cutter breaks, and "
        "throws its pieces.",
        formula="height of the end of the move against the lowest that was cut at that very place",
        source="common practice",
        remedy="go down into the board at a feed",
    ),
    "feed-range": Explanation(
        title="a feed that the machine does not reach",
        meaning="The machine cuts slower than the program says, with a smaller chip.",
        formula="feed against `machine.feed_max`",
        source="the shop file",
        remedy="lower feed and speed together, so that the chip stays",
    ),
    "tool-unlisted": Explanation(
        title="a tool number that the shop file does not have",
        meaning="Nothing is known about the tool that this number calls.",
        source="the shop file",
        remedy="put the cutter into the shop file, or correct the number in the program",
    ),
}

_AGAINST_PLAN = {
    "cut-outside": Explanation(
        title="a cut off the blank",
        meaning="The cutter's middle leaves the blank where the plan does not go.",
        formula="the move against the blank and the reach of the plan's own cuts",
        source=_PLAN,
        remedy="check the zero, the units and the face of the program",
    ),
    "board-through": Explanation(
        title="a cut through the bottom of the blank",
        meaning="It goes below the blank, or through the skin that holds the panel at the end.",
        formula="depth of the move against the thickness of the blank less the skin",
        source=_PLAN,
        remedy="check the zero of Z and the depth of the operation",
    ),
    "floor-cut": Explanation(
        title="a cut deeper than the plan's floor at that place",
        meaning="The board under a pocket or a ground gets thinner than was proven to be enough.",
        formula="depth of the move against the deepest planned cut at that place",
        source=_PLAN,
        remedy="compare the program's depths with the operations on the traveller",
    ),
    "tool-order": Explanation(
        title="the plan's tools in another order",
        meaning="The plan's order has the fewest changes and cuts nothing too early.",
        source=_PLAN,
        remedy="see on the traveller what has to come first; another order that respects it only "
        "takes longer",
    ),
    "tool-depth": Explanation(
        title="a tool goes deeper than any of its planned operations",
        meaning="Some operation of this tool is posted too deep, or another tool's work was posted for it.",
        formula="lowest cut of the tool against the deepest of its planned operations in that setup",
        source=_PLAN,
        remedy="compare the depths of the operations on the traveller",
    ),
}

PROGRAM_EXPLANATIONS = _FILE | _LINES | _MOVES | _AGAINST_PLAN
