"""Is enough board left, between a recess and the carved face and between a recess and the edge?"""

from collections.abc import Iterator

from signplan.checks.case import Case
from signplan.findings import Finding, Severity
from signplan.geometry.precision import SAME
from signplan.sign.web import Wall, Web, pocket_webs, walls


def web_thin(case: Case) -> Iterator[Finding]:
    """A thin floor between a pocket and the carving shows, cracks, or is cut through."""
    hardware = {pocket.id: pocket.hardware for pocket in case.pockets}
    for web in _thinnest(pocket_webs(case.sign, within=case.sign.web), hardware):
        if web.board >= case.sign.web - SAME or (web.board <= 0 and not web.carving):
            continue
        least = f" ({case.say(web.bound)} more at most, where the carving slopes)" if web.bound else ""
        over = f"'{web.carving}'" if web.carving else "the face"
        meet = f"meet by {case.say(-web.board)}"
        leave = meet if web.board <= 0 else f"leave {case.say(web.board)} of board between them{least}"
        yield Finding(
            code="web-thin",
            severity=Severity.ERROR,
            message=f"In panel {web.panel} the pocket for '{hardware[web.recess]}' and {over} {leave}, at "
            f"{case.place(web.spot)}; {case.say(case.sign.web)} is wanted.",
            where=case.item(hardware[web.recess]).key,
            measured=case.number(web.board),
            wanted=case.number(case.sign.web),
            unit=case.units,
            hint="Carve less deep there, move the carving or the steel, or use thicker board.",
            spot=web.spot,
            panel=web.panel,
        )


def _thinnest(webs: tuple[Web, ...], hardware: dict[str, str]) -> Iterator[Web]:
    """The thinnest of each item in each panel."""
    least: dict[tuple[str, str], Web] = {}
    for web in webs:
        key = web.panel, hardware[web.recess]
        if key not in least or web.board < least[key].board:
            least[key] = web
    yield from least.values()


def wall_thin(case: Case) -> Iterator[Finding]:
    """A thin wall between a pocket and the edge breaks out; where the steel leaves there is none to judge."""
    hardware = {pocket.id: pocket.hardware for pocket in case.pockets}
    least: dict[str, Wall] = {}
    for wall in walls(case.sign):
        key = hardware[wall.pocket]
        if key not in least or wall.board < least[key].board:
            least[key] = wall
    for wall in least.values():
        if wall.board >= case.sign.wall - SAME:
            continue
        yield Finding(
            code="wall-thin",
            severity=Severity.ERROR,
            message=f"In panel {wall.panel} the pocket for '{hardware[wall.pocket]}' comes within "
            f"{case.say(wall.board)} of the edge at {case.place(wall.spot)}; {case.say(case.sign.wall)} is "
            "wanted.",
            where=case.item(hardware[wall.pocket]).key,
            measured=case.number(wall.board),
            wanted=case.number(case.sign.wall),
            unit=case.units,
            hint="Move the steel inward, or give a smaller 'wall' if the board is up to it.",
            spot=wall.spot,
            panel=wall.panel,
        )
