"""What the owner weighs, for plan.json: holds, hanging, wind, cost. Forces N, masses kg, areas mm2."""

from typing import Any

from signplan.cost.model import Costing
from signplan.plan import Plan
from signplan.schedule.holding import Hold
from signplan.sign.wind import NEWTONS_PER_POUND, PASCALS_PER_PSF, WindLoad

Json = dict[str, Any]


def owner_keys(plan: Plan) -> Json:
    """Four more keys of the plan; `hanging` and `wind` are null where there is none."""
    return {
        "holds": [_hold(each) for each in plan.holds],
        "hanging": _hanging(plan),
        "wind": _wind(plan.wind) if plan.wind else None,
        "cost": _cost(plan.costing),
    }


def _hold(hold: Hold) -> Json:
    weakest = hold.weakest
    return {
        "setup": hold.setup,
        "sealed": hold.sealed,
        "recessed": hold.recessed,
        "weakest": {
            "operation": weakest.operation,
            "piece": weakest.piece,
            "area": weakest.area,
            "side": weakest.side,
            "push": weakest.push,
            "factor": weakest.factor,
        },
        "screws_in_path": [
            {"screw": each.screw, "operation": each.operation, "room": each.room, "rapid": each.rapid}
            for each in hold.obstacles
        ],
        "screws_proposed": hold.proposed,
    }


def _hanging(plan: Plan) -> Json | None:
    loads = plan.hanging
    if loads is None:
        return None
    return {
        "points": [{"at": each.at, "load": each.load, "tension": each.tension} for each in loads.shares],
        "slack": loads.slack,
        "lean": loads.lean,
        "tilt": loads.tilt,
        "working_load": loads.working,
        "decides": "a licensed engineer and the building official",
    }


def _wind(wind: WindLoad) -> Json:
    return {
        "edition": wind.edition,
        "pressure_pa": wind.pressure * PASCALS_PER_PSF,
        "kz": wind.exposure_factor,
        "cf": wind.force_coefficient,
        "force": wind.force * NEWTONS_PER_POUND,
        "allowable": wind.allowable * NEWTONS_PER_POUND,
        "governs": wind.governs,
        "decides": "a licensed engineer and the building official",
    }


def _cost(costing: Costing) -> Json:
    return {
        "currency": costing.currency,
        "lines": [
            {
                "name": each.name,
                "quantity": each.quantity,
                "unit": each.unit,
                "rate": each.rate,
                "amount": each.amount,
            }
            for each in costing.lines
        ],
        "open": costing.open,
        "total": costing.total,
        "yield": costing.board.share,
        "variants": [
            {"name": each.name, "changes": each.changes, "seconds": each.seconds, "amount": each.amount}
            for each in costing.variants
        ],
        "payback_years": costing.payback_years,
    }
