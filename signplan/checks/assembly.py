"""Can the sign be put together: the steel laid in piece by piece, and the other panel closed on it?"""

from collections.abc import Iterator

import shapely

from signplan.checks.case import Case
from signplan.findings import Finding, Severity
from signplan.sign.laying import Laying, Over, lay
from signplan.sign.vents import trapped


def assembly_order(case: Case) -> Iterator[Finding]:
    """Steel over one part of another item and under a second part can be laid neither before nor after it."""
    laying = lay(case.sign)
    for ring in laying.rings:
        spot = next((over.spot for over in ring if over.spot), None)
        yield Finding(
            code="assembly-order",
            severity=Severity.ERROR,
            message=f"{_names(ring)} cannot be laid into panel {laying.bench} one after the other: "
            f"{_told(ring, laying, case)}.",
            where=case.item(ring[-1].upper).key,
            hint="If they are put together before they are laid in, say so with 'laid_with', or make them "
            "one item, parts of one [[hardware]]. Or divide the one that reaches round the other.",
            spot=spot or (),
            panel=laying.bench,
        )


def _names(ring: tuple[Over, ...]) -> str:
    *names, last = dict.fromkeys(f"'{name}'" for over in ring for name in (over.lower, over.upper))
    return f"{', '.join(names)} and {last}"


def _told(ring: tuple[Over, ...], laying: Laying, case: Case) -> str:
    """Who lies over whom, and where."""
    said = []
    for over in ring:
        if over.spot is None:
            said.append(f"'{over.upper}' comes last, with panel {laying.lid}")
        else:
            said.append(f"'{over.upper}' lies over '{over.lower}' at {case.place(over.spot)}")
    return f"{', '.join(said[:-1])}, and {said[-1]}"


def assembly_turned(case: Case) -> Iterator[Finding]:
    """What lies in the panel that is turned over falls out of it, unless something holds it there."""
    laying = lay(case.sign)
    for name in (name for group in laying.turned for name in group):
        item = case.item(name)
        if item.held_by:
            continue
        yield Finding(
            code="assembly-turned",
            severity=Severity.WARNING,
            message=f"'{name}' lies wholly in panel {laying.lid}, other steel wholly in panel "
            f"{laying.bench}. Whichever panel is turned over to close the sign, steel falls out of it.",
            where=f"{item.key}.split",
            hint="Put the pockets of both into one panel ('split'), or say what holds it while the panel is "
            "turned over ('held_by').",
            spot=_spot(name, case),
            panel=laying.lid,
        )


def glue_trapped(case: Case) -> Iterator[Finding]:
    """Where the job asks for vents, every closed recess has one: caught glue keeps the panels apart."""
    if case.job.work.vents is None:
        return
    for recess in trapped(case.sign):
        centre = recess.shape.centroid
        middle = centre if recess.shape.contains(centre) else recess.shape.representative_point()
        yield Finding(
            code="glue-trapped",
            severity=Severity.WARNING,
            message=f"No vent leads from the closed recess of '{recess.name}' at "
            f"{case.place((middle.x, middle.y))}: no groove that falls to the edge, or into an open recess, "
            f"keeps {case.say(case.sign.web)} of board to the others and under the carving.",
            where="work.vents",
            hint="Move what is in the way or ask for narrower vents; or keep the adhesive well back from it.",
            spot=(middle.x, middle.y),
        )


def _spot(name: str, case: Case) -> tuple[float, float]:
    middle = shapely.union_all([part.section(part.z) for part in case.item(name).parts]).centroid
    return middle.x, middle.y
