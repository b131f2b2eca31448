"""All checks of a sign, in the order in which they are listed here."""

from collections.abc import Callable, Iterator

from signplan.checks import assembly, closing, handling, hardware, material, registration
from signplan.checks.case import Case
from signplan.findings import Finding, in_reading_order

Check = Callable[[Case], Iterator[Finding]]

CHECKS: tuple[Check, ...] = (
    closing.cavity_tight,
    closing.cavity_deep,
    closing.hardware_not_captive,
    closing.hardware_loose,
    closing.hardware_outside,
    closing.hardware_overlap,
    closing.pocket_corner,
    closing.channel_cutter,
    closing.heat_tight,
    hardware.pipe_nominal,
    assembly.assembly_order,
    assembly.assembly_turned,
    assembly.glue_trapped,
    material.web_thin,
    material.wall_thin,
    registration.outlines_differ,
    registration.outline_hole,
    registration.dowel_blocked,
    registration.dowels_symmetric,
    registration.seam_step,
    registration.pins_tight,
    handling.lift_weight,
)
"""One rule of the shop each, one code each."""


def check_sign(case: Case) -> tuple[Finding, ...]:
    """Everything that is wrong with a sign, errors first. A finding never stops the others."""
    return in_reading_order(finding for check in CHECKS for finding in check(case))
