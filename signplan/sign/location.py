"""The graph of fits: what locates what, and how far two features may be out from each other."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Stack:
    """How far two features may be out from each other, mm, and why.

    Attributes:
        name: what is compared, such as `seam edge, panel A to panel B`.
        path: the fits between them, in order, each as words.
        worst, rss: sum and root-sum-square of the allowances.
        sampled: what 99 % of a large sample stays within.
        largest: the fit that contributes most.
    """

    name: str
    path: tuple[str, ...]
    worst: float
    rss: float
    sampled: float
    largest: str
