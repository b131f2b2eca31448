"""Lifting, by the revised NIOSH equation. A reminder: the employer's safety programme decides."""

BENCH = (15.0, 30.0, 20.0)
"""A sign lifted off a bench: its middle 15 in from the ankles, hands at 30 in, 20 in up."""


def recommended_weight(
    reach: float, height: float, travel: float, *, twist: float = 0.0, often: float = 1.0, grip: float = 0.95
) -> float:
    """Recommended weight limit, pounds: 51 HM VM DM AM FM CM (NIOSH publication 94-110).

    Args:
        reach: of the load's middle from the ankles, inches; at least 10.
        height: of the hands at the start, inches.
        travel: how far up or down, inches; at least 10.
        twist: of the body, degrees.
        often: frequency multiplier, 1 for now and then.
        grip: coupling multiplier; 0.95 is fair.

    >>> round(recommended_weight(15, 30, 20), 3)
    29.393
    """
    across, up = 10 / max(reach, 10.0), 1 - 0.0075 * abs(height - 30)
    far = 0.82 + 1.8 / max(travel, 10.0)
    return 51.0 * across * up * far * (1 - 0.0032 * twist) * often * grip


def lifting_index(pounds: float, *, at: tuple[float, float, float] = BENCH) -> float:
    """Weight over its recommended limit; above 1 it is too much for many people alone.

    `at`: reach, height and travel, inches.
    """
    return pounds / recommended_weight(*at)
