"""What a sign costs the shop: records only. Sums are in the shop's own currency; None is one not stated."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One line of the table. `rate` is for one `unit`; None if the shop file does not state it."""

    name: str
    quantity: float
    unit: str
    rate: float | None
    note: str = ""

    @property
    def amount(self) -> float | None:
        """Quantity x rate."""
        return None if self.rate is None else self.quantity * self.rate


@dataclass(frozen=True, kw_only=True, slots=True)
class Variant:
    """The same sign made otherwise: what it takes more (less if negative) than the plan does.

    `amount`: of machine and operator, and of board where its blanks differ; None if a rate is not stated.
    """

    name: str
    changes: int
    seconds: float
    amount: float | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Yield:
    """How the sheet is used: `share` is the area of the parts over that of the sheets they need."""

    blanks: int
    per_sheet: int
    sheets: int
    share: float

    @property
    def charged(self) -> float:
        """Sheets that the job is charged: its blanks' part of whole sheets, offcuts included."""
        return self.blanks / self.per_sheet if self.per_sheet else float(self.blanks)


@dataclass(frozen=True, kw_only=True, slots=True)
class Costing:
    """The table for a quote, and what other ways of making the sign would do to it.

    `payback_years` of a tool changer: None if it cannot be worked out or never comes.
    """

    currency: str
    lines: tuple[Line, ...]
    markup_percent: float
    board: Yield
    variants: tuple[Variant, ...]
    changer_hours: float
    payback_years: float | None
    hour: float | None

    @property
    def open(self) -> tuple[str, ...]:
        """Lines whose rate the shop file does not state."""
        return tuple(line.name for line in self.lines if line.rate is None)

    @property
    def direct(self) -> float:
        """All lines that have a rate."""
        return sum(line.amount for line in self.lines if line.amount is not None)

    @property
    def total(self) -> float:
        """With the markup."""
        return self.direct * (1 + self.markup_percent / 100)
