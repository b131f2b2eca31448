"""Every rule that a program is checked by, in one place, and what each code means.

A rule is a generator of one code. Some look at a line, some at moves, some at the whole program, some at all
programs of a setup; where they live says which.
"""

from signplan.programs.against_plan import PLAN_RULES
from signplan.programs.facts import PROGRAM_RULES
from signplan.programs.line_rules import LINE_RULES
from signplan.programs.move_rules import MOVE_RULES
from signplan.programs.setups import SETUP_RULES

__all__ = ["CODES", "LINE_RULES", "MOVE_RULES", "PLAN_RULES", "PROGRAM_RULES", "SETUP_RULES"]

CODES: dict[str, str] = {
    # The file.
    "program-unreadable": "The file is no program: empty, binary, in another encoding, or not NC words.",
    "program-setup": "It cannot be told which setup a program belongs to, or a setup has no program.",
    # Its lines.
    "program-line": "A line is longer than 256 characters, or is not made of words of a letter and a number.",
    "program-comment": "A comment is not closed on its line, holds another, or begins with a semicolon.",
    "program-word": "A word that the language does not have; it is named, since a control may act on it.",
    "program-group": "Two words of one modal group, or one letter twice, on a line: the control refuses it.",
    "program-not-checked": "A word that is known but not followed here; what it does is yours to check.",
    "program-optional": "A line that the block delete switch skips: the program does two different things.",
    "program-tool": "A tool change without a number, or cuts before any tool was called.",
    "length-number": "G43 takes the length of another tool than the one in the spindle.",
    "program-units": "The program moves before it says inches or millimetres, or changes between them.",
    "spindle-reversed": "M4 turns a right-hand cutter backwards.",
    "work-offset": "Another work offset than G54: another zero than the corner of the blank.",
    # Its moves.
    "motion-missing": "Axis words while no motion code is in force.",
    "arc-wrong": "An arc whose centre, radius and ends do not fit together.",
    "feed-missing": "A move at a feed without a feed.",
    "place-unknown": "A cut from or to a place that the program has not said.",
    "spindle-off": "A move at a feed while the spindle stands.",
    "spindle-range": "A spindle speed that the machine does not have.",
    "rapid-low": "A rapid sideways below the clearance height.",
    "feed-range": "A feed that the machine does not reach.",
    "chip-load": "Feed over speed and flutes is outside the board's range for that cutter.",
    "length-offset": "A cut after a tool change without a length offset.",
    "rapid-into-board": "A rapid down into the board where nothing was cut before.",
    # The whole program.
    "program-end": "The program does not end, or text follows its end.",
    "program-start": "The program leaves in force what the one before it has set.",
    "tool-unlisted": "A tool number that the shop file does not have.",
    # Against the plan.
    "cut-outside": "A cut with the cutter's middle off the blank.",
    "board-through": "A cut below the bottom of the blank, or through the skin that holds the panel.",
    "floor-cut": "A cut deeper than the plan's floor at that place.",
    "clamp-in-path": "A move below the clearance height too near to a screw.",
    "pin-in-path": "A cut too near to an index pin that stands in the blank.",
    "tool-number": "A tool number that the plan does not have there, or never comes, or does another's work.",
    "tool-order": "The plan's tools in another order.",
    "tool-depth": "A tool goes deeper than any of its planned operations in that setup.",
    "tool-reach": "A tool goes deeper than it reaches below its holder.",
}
"""One line on every code, in the order in which they are found."""
