"""plan.json: the plan for other programs. Lengths mm, times s, masses kg, feeds mm/s."""

import json
import math
from collections.abc import Iterable, Sequence
from typing import Any

from shapely import MultiPolygon, Polygon

from signplan.documents.owner_json import owner_keys
from signplan.findings import Finding
from signplan.plan import Plan
from signplan.schedule.by_tool import by_tool
from signplan.schedule.model import Comparison, PlannedOperation, PlannedSetup
from signplan.sign.assemble import ItemFit
from signplan.sign.fits import Stack
from signplan.sign.laying import Laying, lay
from signplan.sign.model import Item, PanelPlan
from signplan.sign.schemes import Scheme
from signplan.timing.calibrate import KINDS, NEEDED
from signplan.timing.least_squares import COVERAGE
from signplan.timing.model import Band, Seconds

FORMAT = "signplan-plan/1"
PLACES = 7
"""Decimals kept: a tenth of a nanometre, just coarser than the grid that places lie on."""

Json = dict[str, Any]


def render_plan_json(plan: Plan) -> str:
    """The plan as JSON text, keys in a fixed order, one final newline."""
    return json.dumps(_tidy(_plan(plan)), indent=1, ensure_ascii=False, allow_nan=False) + "\n"


def _tidy(value: Any) -> Any:
    """Numbers rounded, no negative zero, and null for what is not finite, which JSON cannot say."""
    match value:
        case bool() | int() | str() | None:
            return value
        case float():
            return round(value, PLACES) + 0.0 if math.isfinite(value) else None
        case dict():
            return {key: _tidy(each) for key, each in value.items()}
    return [_tidy(each) for each in value]


def _plan(plan: Plan) -> Json:
    head = plan.job.job
    return {
        "format": FORMAT,
        "job": {
            "number": head.number,
            "title": head.title,
            "revision": head.revision,
            "units": head.units,
            "hash": plan.hash,
            "ready": plan.ready,
        },
        "inputs": [{"path": each.path, "sha256": each.sha256} for each in plan.inputs],
        "sign": _sign(plan),
        "panels": [_panel(panel) for panel in plan.sign.panels],
        "hardware": [_hardware(item, plan.fits) for item in plan.sign.items],
        "setups": [_setup(setup) for setup in plan.setups],
        "operations": [_operation(operation) for setup in plan.setups for operation in setup.operations],
        "order": _order(plan),
        "tools": _tools([each for setup in plan.setups for each in setup.operations]),
        "time": _time(plan),
        "layouts": [
            {
                "blanks": each.layout.blanks,
                "turn": each.layout.turn,
                "cutout": each.layout.cutout,
                "setups": each.setups,
                "changes": each.changes,
                "seconds": each.seconds,
                "chosen": each.chosen,
                "refused": each.refused,
            }
            for each in plan.alternatives
        ],
        "stacks": [_stack(each) for each in plan.stacks],
        "schemes": [_scheme(each) for each in plan.schemes],
        "glue_up": _glue_up(lay(plan.sign)),
        **owner_keys(plan),
        "findings": [_finding(finding) for finding in plan.findings],
    }


def _stack(stack: Stack) -> Json:
    return {
        "name": stack.name,
        "kind": stack.kind,
        "hardware": stack.item or None,
        "path": [share.words for share in stack.path],
        "allowances": [share.allowance for share in stack.path],
        "largest": stack.largest,
        **_figures(stack),
    }


def _figures(stack: Stack) -> Json:
    return {"worst": stack.worst, "rss": stack.rss, "sampled": stack.sampled}


def _scheme(scheme: Scheme) -> Json:
    layout, carving = scheme.layout, scheme.carving
    return {
        "blanks": layout.blanks,
        "locate": layout.locate,
        "cutout": layout.cutout,
        "seam": _figures(scheme.seam),
        "carving": carving and _figures(carving),
        "refused": scheme.refused,
        "own": scheme.own,
    }


def _sign(plan: Plan) -> Json:
    sign = plan.sign
    return {
        "width": sign.width,
        "height": sign.height,
        "panel_thickness": sign.thickness,
        "outline": _rings(sign.outline),
        "mass": plan.mass.total,
        "board_mass": plan.mass.board,
        "steel_mass": plan.mass.steel,
        "centroid": plan.mass.centroid,
    }


def _rings(shape: MultiPolygon | Polygon) -> list[list[list[tuple[float, ...]]]]:
    polygons = [shape] if isinstance(shape, Polygon) else shape.geoms
    return [[list(ring.coords) for ring in (each.exterior, *each.interiors)] for each in polygons]


def _panel(panel: PanelPlan) -> Json:
    return {
        "id": panel.id,
        "pockets": [
            {
                "id": pocket.id,
                "hardware": pocket.hardware,
                "depth": pocket.depth,
                "above": pocket.above,
                "drawn": _rings(pocket.drawn),
                "as_cut": _rings(pocket.as_cut),
                "tool": pocket.tool,
                "mouth": pocket.mouth,
                "channel": pocket.channel
                and {
                    "radius": pocket.channel.radius,
                    "lines": [list(line.coords) for line in pocket.channel.lines],
                },
            }
            for pocket in panel.pockets
        ],
        "vents": [
            {
                "recess": vent.recess,
                "line": list(vent.line.coords),
                "width": vent.width,
                "depth": vent.depth,
                "tool": vent.tool,
            }
            for vent in panel.vents
        ],
        "dowels": [{"x": d.x, "y": d.y, "diameter": d.diameter, "depth": d.depth} for d in panel.dowels],
    }


def _hardware(item: Item, fits: Sequence[ItemFit]) -> Json:
    fit = next((each for each in fits if each.name == item.name), None)
    return {
        "name": item.name,
        "parts": len(item.parts),
        "room": fit.room if fit else None,
        "room_worst": fit.room_worst if fit else None,
        "captive": fit.captive if fit else None,
    }


def _glue_up(laying: Laying) -> Json:
    """Names of hardware, first to last; what is put together before it is laid in is one list."""
    return {"bench": laying.bench, "order": laying.order, "turned": laying.turned}


def _setup(planned: PlannedSetup) -> Json:
    setup = planned.setup
    return {
        "id": setup.id,
        "face": setup.face,
        "panels": setup.panels,
        "turn": setup.turn,
        "cuts_out": setup.cuts_out,
        "blank": setup.blank,
        "placements": [{"panel": panel, "matrix": each.matrix} for panel, each in setup.placements],
        "index_pins": [[pin.x, pin.y, pin.diameter] for pin in setup.pins],
        "operations": [each.operation.id for each in planned.operations],
        "first_tool": planned.first_tool,
        "changes": planned.changes,
        "seconds": _parts(planned.seconds),
        "computed_seconds": _parts(planned.computed),
        "tools": _tools(planned.operations),
        "hold": _band(planned.hold),
        "latest_start": planned.latest_start,
    }


def _operation(planned: PlannedOperation) -> Json:
    operation, cutting = planned.operation, planned.cutting
    return {
        "id": operation.id,
        "setup": planned.setup,
        "panel": operation.panel,
        "face": operation.face,
        "kind": operation.kind,
        "treatment": operation.treatment,
        "tool": operation.tool,
        "tool_number": planned.tool.number,
        "rpm": cutting.rpm,
        "feed": cutting.feed,
        "chip_load": cutting.chip_load,
        "chip_really_cut": planned.chip_cut,
        "cut_length": planned.path.cut_length,
        "depth": operation.depth,
        "seconds": planned.seconds,
        "parts": {"cutting": planned.work.cutting, "travel": planned.work.travel},
        "before": {"travel": planned.lead.travel, "changes": planned.lead.changes},
        "bounds": planned.path.bounds,
        "needs": [{"operation": need.operation, "reason": need.reason} for need in planned.needs],
    }


def _parts(seconds: Seconds) -> Json:
    return {
        "cutting": seconds.cutting,
        "travel": seconds.travel,
        "changes": seconds.changes,
        "handling": seconds.handling,
        "total": seconds.total,
    }


def _band(band: Band) -> Json:
    return {"seconds": band.seconds, "low": band.low, "high": band.high, "reason": band.reason}


def _time(plan: Plan) -> Json:
    """The whole run, what it is made of, and what the shop's logged holds say of computed times."""
    calibration = plan.calibration
    return {
        **_band(plan.time),
        "parts": _parts(sum((each.seconds for each in plan.setups), Seconds())),
        "computed_parts": _parts(sum((each.computed for each in plan.setups), Seconds())),
        "calibration": {
            "logged_holds": calibration.logged,
            "of_another_machine": calibration.apart,
            "needed": NEEDED,
            "factors": dict(zip(KINDS, calibration.factors, strict=True)),
            "scatter": calibration.fit.scatter if calibration.fit else None,
            "coverage": COVERAGE if calibration.fit else None,
        },
    }


def _tools(operations: Iterable[PlannedOperation]) -> list[Json]:
    return [
        {
            "tool": each.tool.id,
            "tool_number": each.tool.number,
            "operations": each.operations,
            "changes": each.changes,
            "seconds": _parts(each.seconds),
        }
        for each in by_tool(operations)
    ]


def _order(plan: Plan) -> Json:
    order, listed = plan.order, as_listed(plan)
    return {
        "changes": order.changes,
        "lower_bound": order.lower_bound,
        "proven": order.proven,
        "as_listed_changes": listed.changes if listed else None,
        "reloads": [
            {
                "before": each.before,
                "tool_in": each.tool_in,
                "tool_out": each.tool_out,
                "slot": each.slot,
                "in_hold": each.in_hold,
            }
            for each in order.reloads
        ],
        "seconds": plan.time.seconds,
        "as_listed_seconds": listed.seconds if listed else None,
        "comparisons": [
            {"name": each.name, "changes": each.changes, "seconds": each.seconds} for each in plan.comparisons
        ],
    }


def as_listed(plan: Plan) -> Comparison | None:
    """The comparison with the order of the job file, if the plan has one."""
    return next((each for each in plan.comparisons if "listed" in each.name), None)


def _finding(finding: Finding) -> Json:
    return {
        "code": finding.code,
        "severity": str(finding.severity),
        "message": finding.message,
        "where": finding.where,
        "measured": finding.measured,
        "wanted": finding.wanted,
        "unit": finding.unit,
        "hint": finding.hint,
        "spot": finding.spot,
        "panel": finding.panel,
    }
