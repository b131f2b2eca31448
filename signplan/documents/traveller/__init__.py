"""The traveller: the printed sheets that go with the job, one module a sheet."""

from collections.abc import Iterator

from signplan.documents.sheet import Page, Paper, paper_named, register_fonts
from signplan.documents.traveller import (
    cautions,
    cover,
    fit,
    glue,
    registration,
    setups,
    shop,
    stock,
    templates,
    work,
)
from signplan.documents.traveller.frame import content_of, print_pages
from signplan.plan import Plan


def render_traveller(plan: Plan, *, paper: str = "letter") -> bytes:
    """The traveller as a PDF; the same plan gives the same bytes.

    Args:
        paper: "letter" or "a4", both on their long side.

    Raises:
        SignplanError: there is no such paper.
    """
    sheet = paper_named(paper)
    register_fonts()
    return print_pages(plan, tuple(_pages(plan, sheet)), sheet)


def _pages(plan: Plan, paper: Paper) -> Iterator[Page]:
    content = content_of(plan, paper)
    yield from cover.pages(plan, content)
    yield from cautions.pages(plan, content)
    yield from shop.pages(plan, content)
    yield from stock.pages(plan, content)
    for planned in plan.setups:
        yield from setups.pages(plan, planned, content)
        yield from work.pages(plan, planned, content)
    yield from fit.pages(plan, content)
    yield from registration.pages(plan, content)
    yield from glue.pages(plan, content)
    yield from templates.pages(plan, content)
