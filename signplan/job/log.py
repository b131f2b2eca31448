"""The shop's log: how long holds really took. One table a hold, in a TOML file beside the shop file.

Minutes, as the file has them. A row keeps what was computed for the hold when it was logged, so that no later
change to a job alters what was once compared.
"""

import datetime
from pathlib import Path
from typing import Annotated

from pydantic import Field, model_validator

from signplan.job.fields import Name, NotNegative, Table, Words

LONGEST = 24 * 60.0
"""Minutes: no hold takes more than a day, so a longer one is a slip of the pen."""

SHORTEST = 0.001
"""Minutes: the grain of the log; a hold that takes or was computed to take less is none."""

_MOST_COMPUTED = 100 * LONGEST
"""Minutes: keeps a slip out of the arithmetic, and whatever a plan may come to in."""

Minutes = Annotated[NotNegative, Field(le=_MOST_COMPUTED)]
"""A part of a hold as computed."""


class LoggedHold(Table):
    """One hold as it ran: `cutting`, `travel`, `changes` minutes as computed, `took` as measured.

    `inputs` stands for the job, shop and drawings, `figures` for the machine's speeds and change times.
    """

    job: Name
    revision: Name
    setup: Name
    date: datetime.date | None = None
    cutting: Minutes
    travel: Minutes
    changes: Minutes
    took: Annotated[float, Field(strict=True, allow_inf_nan=False, ge=SHORTEST, le=LONGEST)]
    note: Words = ""
    inputs: Name
    figures: Name

    @model_validator(mode="after")
    def _something_was_computed(self) -> "LoggedHold":
        if self.computed < SHORTEST:
            raise ValueError("'cutting', 'travel' and 'changes' add up to nothing: there is no such hold")
        return self

    @property
    def computed(self) -> float:
        """Minutes of the hold as computed."""
        return self.cutting + self.travel + self.changes


class ShopLog(Table):
    """A whole log."""

    holds: Annotated[tuple[LoggedHold, ...], Field(alias="hold")] = ()


def log_of(shop_file: Path) -> Path:
    """Where the log of a shop lies: `shop-log.toml` beside `shop.toml`."""
    return shop_file.with_name(f"{shop_file.stem}-log.toml")
