"""What a day at the router does to people: noise and dust limits of the OSHA standards, as reminders.

The employer's programme, an industrial hygienist's measurements and the law of the place decide.
"""

from collections.abc import Iterable

DUST_TOTAL_MG_M3, DUST_RESPIRABLE_MG_M3 = 15.0, 5.0
"""Particulates not otherwise regulated, average of 8 hours (29 CFR 1910.1000, table Z-1)."""

MDI_CEILING_PPM = 0.02
"""Methylene bisphenyl isocyanate, never above (29 CFR 1910.1000, table Z-1); none for polymeric."""

NOISE_ACTION_DBA = 85.0
"""From here on a hearing conservation programme (29 CFR 1910.95 (c))."""

NOISE_TABLE: dict[float, float] = {
    90: 8.0,
    92: 6.0,
    95: 4.0,
    97: 3.0,
    100: 2.0,
    102: 1.5,
    105: 1.0,
    110: 0.5,
    115: 0.25,
}
"""Permissible hours a day by sound level, dBA (29 CFR 1910.95, table G-16)."""


def noise_hours(level: float) -> float:
    """Permissible hours a day at a sound level, dBA: table G-16, between its levels 8 / 2^((L - 90) / 5).

    The formula is that of 29 CFR 1910.95, appendix A; at 92 dBA, where the table has 6, it gives 6.06.

    >>> noise_hours(92), round(noise_hours(93), 2)
    (6.0, 5.28)
    """
    return NOISE_TABLE.get(level, 8 / 2 ** ((level - 90) / 5))


def noise_dose(spells: Iterable[tuple[float, float]]) -> float:
    """The day's noise over what is permitted, above 1 too much. Spells: (level dBA, hours), from 90 dBA on.

    >>> round(noise_dose([(92, 4), (95, 2)]), 4)
    1.1667
    """
    return sum(hours / noise_hours(level) for level, hours in spells if level >= 90)
