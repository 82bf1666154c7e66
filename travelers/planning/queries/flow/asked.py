"""Of which days, and of what, is the flow asked?"""

from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from travelers.kit.days import start_of
from travelers.planning.rules import DAY
from travelers.routes.rules import Branch

# The lengths of time that can be looked at, in days.
SPANS = (28, 91, 182, 365)
USUAL = SPANS[1]


@dataclass(frozen=True)
class Asked:
    """The days up to today that are looked at, and which parts; None is instruments."""

    span: int
    of: Branch | None
    at: datetime
    zone: ZoneInfo

    @cached_property
    def today(self) -> date:
        return self.at.astimezone(self.zone).date()

    @cached_property
    def first(self) -> date:
        return self.today - self.span * DAY

    @cached_property
    def since(self) -> datetime:
        """Give the moment at which the first of the days began."""
        return start_of(self.first, self.zone)

    @cached_property
    def until(self) -> datetime:
        """Give the moment at which the last of the days, today, will be over."""
        return start_of(self.today + DAY, self.zone)

    @property
    def spans(self) -> tuple[int, ...]:
        return SPANS

    @property
    def kinds(self) -> tuple[Branch | None, ...]:
        return (None, *Branch)
