"""From a job and its drawings to the sign: panels with carvings, pockets and dowels, and the steel."""

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from signplan.artwork.model import Artwork
from signplan.findings import Finding
from signplan.job.model import Job
from signplan.job.shop import Shop
from signplan.sign.carving import carvings_of
from signplan.sign.dowels import place_dowels
from signplan.sign.drawings import Drawings, lay_drawings
from signplan.sign.hardware import items_of
from signplan.sign.model import Item, PanelPlan, Sign
from signplan.sign.mouths import meets_sign
from signplan.sign.pockets import Bench, pockets_of, slugs
from signplan.sign.register import PANELS, Panel
from signplan.sign.vents import vented


def build_sign(
    job: Job, shop: Shop, drawings: Mapping[str, Artwork], heights: Mapping[str, NDArray[np.float64]]
) -> tuple[Sign, tuple[Finding, ...]]:
    """The sign that a job asks for, and what is wrong with its artwork.

    Args:
        job: the job, read.
        shop: the shop that makes it.
        drawings: every drawing of the job, by its `file` there.
        heights: every height map of the job, by its `image` there; row 0 on top, 0 deep, 1 at the face.

    Raises:
        InputError: a layer is missing, an outline is open, a size is not stated.
    """
    laid = lay_drawings(job, drawings)
    items = items_of(laid)
    findings: list[Finding] = []
    panels = []
    for panel in PANELS:
        outline = laid.outline_of(panel)
        carvings, trouble = carvings_of(panel, outline, laid, shop=shop, heights=heights)
        findings += trouble
        panels.append(replace(_pocketed(panel, laid, shop, items), carvings=carvings))
    sign = Sign(
        outline=laid.outline,
        thickness=job.sign.panel,
        panels=(panels[0], panels[1]),
        items=items,
        web=job.sign.web,
        wall=job.sign.wall,
        border=job.sign.border,
    )
    sign = _dowelled(sign, job)
    return (vented(sign, job.work.vents, shop.tools) if job.work.vents else sign), tuple(findings)


def _pocketed(panel: Panel, laid: Drawings, shop: Shop, items: tuple[Item, ...]) -> PanelPlan:
    outline = laid.outline_of(panel)
    cutters = tuple(tool for tool in shop.tools if tool.shape == "flat")
    balls = tuple(tool for tool in shop.tools if tool.shape == "ball")
    spec = laid.job.sign
    bench = Bench(outline=outline, wall=spec.wall, cutters=cutters, thickness=spec.panel, balls=balls)
    named = zip(items, slugs([item.name for item in items]), strict=True)
    pockets = tuple(
        pocket
        for item, slug in named
        if meets_sign(item, outline)
        for pocket in pockets_of(item, panel, bench, slug=slug)
    )
    return PanelPlan(id=panel, outline=outline, pockets=pockets)


def _dowelled(sign: Sign, job: Job) -> Sign:
    if job.dowels is None:
        return sign
    dowels = place_dowels(sign, job.dowels)
    a, b = sign.panels
    return replace(sign, panels=(replace(a, dowels=dowels), replace(b, dowels=dowels)))
