"""When is a shift at work, and when has it worked for so long?"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

DAY = timedelta(days=1)


@dataclass(frozen=True)
class Hours:
    """The hours of one shift by the shop's clock; moments go in and come out in UTC."""

    zone: ZoneInfo
    weekdays: str
    starts: time
    ends: time
    closed: frozenset[date] = field(default_factory=frozenset)

    def is_workday(self, day: date) -> bool:
        return str(day.isoweekday()) in self.weekdays and day not in self.closed

    def day_of(self, at: datetime) -> date:
        return at.astimezone(self.zone).date()

    def bounds(self, day: date) -> tuple[datetime, datetime]:
        return _bounds(self.zone, self.starts, self.ends, day)

    def open_from(self, at: datetime) -> datetime:
        """Give the first moment from ``at`` on that lies in the shift."""
        day = self.day_of(at)
        while True:
            if self.is_workday(day):
                opens, closes = self.bounds(day)
                if at < closes:
                    return max(at, opens)
            day += DAY

    def open_until(self, at: datetime) -> datetime:
        """Give the last moment up to ``at`` that lies in the shift."""
        day = self.day_of(at)
        while True:
            if self.is_workday(day):
                opens, closes = self.bounds(day)
                if at > opens:
                    return min(at, closes)
            day -= DAY

    def left(self, at: datetime) -> timedelta:
        """Say how long the shift still lasts, for a moment that lies in it."""
        return self.bounds(self.day_of(at))[1] - at

    def after(self, at: datetime, work: timedelta) -> datetime:
        """Give the moment at which ``work`` has been worked, counted from ``at``."""
        at = self.open_from(at)
        while work > self.left(at):
            work -= self.left(at)
            at = self.open_from(at + self.left(at))
        return at + work

    def before(self, at: datetime, work: timedelta) -> datetime:
        """Give the moment from which on ``work`` is worked until ``at``."""
        at = self.open_until(at)
        while work > (gone := at - self.bounds(self.day_of(at))[0]):
            work -= gone
            at = self.open_until(at - gone)
        return at - work

    def workday_from(self, day: date) -> date:
        while not self.is_workday(day):
            day += DAY
        return day


@cache
def _bounds(
    zone: ZoneInfo, starts: time, ends: time, day: date
) -> tuple[datetime, datetime]:
    opens = datetime.combine(day, starts, tzinfo=zone).astimezone(UTC)
    return opens, datetime.combine(day, ends, tzinfo=zone).astimezone(UTC)


def closed_days(known: Iterable[date], first: int, last: int) -> tuple[date, ...]:
    """Repeat the known closed days in every year from ``first`` to ``last``."""
    days = {
        day.replace(year=year)
        for day in known
        for year in range(first, last + 1)
        if (day.month, day.day) != (2, 29)
    }
    return tuple(sorted(days))
