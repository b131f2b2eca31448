"""The record of one rule of the shop, explained."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Explanation:
    """One rule of the shop.

    Attributes:
        title: the rule in a few words.
        meaning: what was found, and what it costs.
        formula: how it is judged; empty where nothing is computed.
        source: where the rule comes from: a published source, geometry, or common practice.
        remedy: what to do.
    """

    title: str
    meaning: str
    formula: str = ""
    source: str
    remedy: str
