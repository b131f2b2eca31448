"""How long things take: records, seconds."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Seconds:
    """Where the time of a setup or job goes. `handling`: locating, vacuum, turning, cleaning, spin-up."""

    cutting: float = 0.0
    travel: float = 0.0
    changes: float = 0.0
    handling: float = 0.0

    @property
    def total(self) -> float:
        """All of it."""
        return self.cutting + self.travel + self.changes + self.handling

    def __add__(self, other: "Seconds") -> "Seconds":
        return Seconds(
            cutting=self.cutting + other.cutting,
            travel=self.travel + other.travel,
            changes=self.changes + other.changes,
            handling=self.handling + other.handling,
        )


@dataclass(frozen=True, kw_only=True, slots=True)
class Band:
    """A time with what it may turn out to be, s, and why."""

    seconds: float
    low: float
    high: float
    reason: str
