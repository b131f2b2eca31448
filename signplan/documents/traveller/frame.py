"""The frame of every page, and the PDF round them all."""

import io
import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from urllib.parse import quote, unquote

from reportlab import rl_config

from signplan.documents.fillable import Fillable
from signplan.documents.sheet import BOLD, Page, Paper, Pen, Space, width_of
from signplan.documents.words import count
from signplan.findings import Severity
from signplan.plan import Plan

SIDE, TOP, BOTTOM = 12.0, 29.0, 15.0
TITLE = 12.0
"""A longer title is cut short rather than set smaller than this, points."""

NUMBER = 60.0
"""Width that a job's number is given beside the longest title, mm; what does not fit is set smaller."""

LONGEST = 20
"""Characters of a job's number that are printed in the frame."""

FAINT = 0.14
"""How dark the words across a page that is not ready are: what lies under them stays readable."""

MARK = "signplan-traveller:"
"""In the keywords of the file, before its number and revision."""

STOP = 9.0
"""Height of the band that says why a plan is not ready."""


def content_of(plan: Plan, paper: Paper) -> Space:
    """The part of a page that its sheet may fill."""
    top = TOP + (0.0 if plan.ready else STOP)
    return Space(SIDE, top, paper.width - 2 * SIDE, paper.height - top - BOTTOM)


def print_pages(plan: Plan, pages: Sequence[Page], paper: Paper) -> bytes:
    """All pages as one PDF that prints at its true size."""
    head, file = plan.job.job, io.BytesIO()
    canvas = Fillable(file, invariant=1, lang="en", pageCompression=1)
    canvas.setTitle(f"{head.number} {head.title}, revision {head.revision}: traveller")
    canvas.setSubject(f"Traveller for inputs {plan.hash}")
    canvas.setKeywords(MARK + quote(f"{head.number} revision {head.revision}"))
    canvas.setCreator("signplan")
    canvas.setAuthor(plan.shop.name or "signplan")
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    canvas.showOutline()
    with _plain_streams():
        for number, page in enumerate(pages, 1):
            _print_page(plan, page, Pen(canvas, paper), number=number, total=len(pages))
        canvas.save()
    return file.getvalue()


def printed_as(pdf: bytes) -> str:
    """The number and revision that a traveller was printed for; "" if it is no traveller of ours.

    >>> printed_as(b"%PDF-1.4 /Keywords (signplan-traveller:GT-041%20revision%20A)")
    'GT-041 revision A'
    """
    found = re.search(rf"/Keywords \({MARK}([^)]*)\)".encode(), pdf)
    return unquote(found[1].decode("ascii")) if found else ""


@contextmanager
def _plain_streams() -> Iterator[None]:
    """reportlab writes compressed streams as text, a quarter larger and slower, unless told not to."""
    before = rl_config.useA85
    rl_config.useA85 = 0
    try:
        yield
    finally:
        rl_config.useA85 = before


def _print_page(plan: Plan, page: Page, pen: Pen, *, number: int, total: int) -> None:
    canvas = pen.canvas
    canvas.setPageSize((pen.point(pen.paper.width, 0)[0], pen.point(0, 0)[1]))
    if page.chapter:
        canvas.bookmarkPage(f"page-{number}")
        canvas.addOutlineEntry(page.chapter, f"page-{number}", level=0)
    canvas.about = f"setup {page.setup}" if page.setup else page.chapter or page.title
    page.draw(pen, content_of(plan, pen.paper))
    if not plan.ready:
        _stop(plan, pen)
    _head(plan, page, pen)
    _foot(plan, page, pen, of=f"page {number} of {total}")
    canvas.showPage()


def _head(plan: Plan, page: Page, pen: Pen) -> None:
    """The title first: which face is up is never set smaller, or cut, for the sake of a long number."""
    right = pen.paper.width - SIDE
    number = f"{_short(plan)} · rev {plan.job.job.revision}"
    rest = right - SIDE - 6 - width_of(page.title, 20, bold=True)
    room = min(width_of(number, 17, bold=True), max(rest, NUMBER))
    pen.fitted(right, 18, number, room, size=17, align="right")
    pen.fitted(SIDE, 18, page.title, right - SIDE - 6 - room, size=20, least=TITLE)
    pen.fitted(SIDE, 24, page.subtitle, right - SIDE, size=11, bold=False)
    pen.line((SIDE, 26.5), (right, 26.5), width=0.8)


def _short(plan: Plan) -> str:
    """The job's number, cut where it is longer than any number is."""
    number = plan.job.job.number
    return number if len(number) <= LONGEST else number[: LONGEST - 1] + "…"


def _foot(plan: Plan, page: Page, pen: Pen, *, of: str) -> None:
    head, right, y = plan.job.job, pen.paper.width - SIDE, pen.paper.height - 7.5
    pen.line((SIDE, y - 4.5), (right, y - 4.5), width=0.3)
    where = f"setup {page.setup} · " if page.setup else ""
    words = f"{_short(plan)} · revision {head.revision} · {where}inputs {plan.hash} · {head.title}"
    pen.fitted(SIDE, y, words, right - SIDE - 34, size=9, bold=False)
    pen.text(right, y, of, size=10, bold=True, align="right")


def _stop(plan: Plan, pen: Pen) -> None:
    """NOT READY, in a band and across the page, over all that is drawn, while errors are open."""
    errors = sum(finding.severity is Severity.ERROR for finding in plan.findings)
    canvas, paper = pen.canvas, pen.paper
    canvas.saveState()
    canvas.translate(*pen.point(paper.width / 2, paper.height / 2 + 12))
    canvas.rotate(31)
    canvas.setFillGray(0)
    canvas.setFillAlpha(FAINT)
    canvas.setFont(BOLD, 104)
    canvas.drawCentredString(0, -36, "NOT READY")
    canvas.restoreState()
    pen.box(Space(SIDE, 28.5, paper.width - 2 * SIDE, 7.5), width=0, fill=0)
    canvas.setFillGray(1)
    canvas.setFont(BOLD, 14)
    words = f"NOT READY · {count(errors, 'error')} open · do not cut from this sheet"
    canvas.drawCentredString(*pen.point(paper.width / 2, 34), words)
