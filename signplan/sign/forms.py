"""The form that a cutter gives a groove or an edge: how far it reaches sideways above its tip. Lengths mm."""

import math

from signplan.job.shop import Tool


def half_width(cutter: Tool, up: float) -> float:
    """Half the width of a groove `up` mm above its bottom, the cutter standing in it, mm."""
    if cutter.shape == "vee":
        return min(cutter.diameter / 2, cutter.tip / 2 + up * math.tan(cutter.half_angle))
    radius = cutter.diameter / 2
    if cutter.shape != "ball" or up >= radius:
        return radius
    return _chord(radius, up)


def edge_depth(cutter: Tool) -> float:
    """How deep a cutter goes that shapes an edge, if the job does not say: all of its form."""
    match cutter.shape:
        case "round-over":
            return cutter.radius or 0.0
        case "ogee":
            return cutter.rise or 0.0
    return cutter.diameter / 2


def edge_inset(cutter: Tool, up: float) -> float:
    """How far in from the outline a cutter takes an edge, `up` mm above its tip.

    A round-over: R - sqrt(R2 - up2), up to R. An ogee: two equal arcs that touch half way up, level at both
    ends. A vee and a ball have their tip on the outline: a chamfer and a cove. Source: geometry.
    """
    radius = cutter.radius or 0.0
    match cutter.shape:
        case "round-over":
            return radius - _chord(radius, radius - min(up, radius))
        case "ogee":
            rise = cutter.rise or 0.0
            up = min(up, rise)
            return _chord(radius, up) if up <= rise / 2 else cutter.run - _chord(radius, rise - up)
        case "vee":
            return half_width(cutter, up) - cutter.tip / 2
    return half_width(cutter, up)


def _chord(radius: float, sagitta: float) -> float:
    """Half the chord of a circle, from its sagitta."""
    return math.sqrt(max(0.0, sagitta * (2 * radius - sagitta)))
