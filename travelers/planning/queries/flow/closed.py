"""Which instruments left the floor in a time, and how long had they been on it?"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Exists, OuterRef, QuerySet

from travelers.formulas.percentiles import percentile
from travelers.orders.models import Instrument, Step
from travelers.orders.rules import InstrumentState, StepState
from travelers.planning.queries.flow.course import Course
from travelers.planning.rules import DAY

# What the page says of lead times; who is older than the last but one is named.
PERCENTILES = (50, 80, 95)
OLD_PCT = 85
# Percentiles of fewer say little (common practice, no source).
ENOUGH = 10
WEEK = 7 * DAY


@dataclass(frozen=True, slots=True)
class Closed:
    """An instrument that left the floor, and how long it had been on it."""

    serial: str
    model: str
    order: str
    released_at: datetime
    closed_at: datetime
    state: InstrumentState
    was_reworked: bool

    @property
    def lead(self) -> timedelta:
        return self.closed_at - self.released_at

    @property
    def lead_days(self) -> float:
        return self.lead / DAY

    @property
    def is_finished(self) -> bool:
        return self.state is InstrumentState.FINISHED


@dataclass(frozen=True, slots=True)
class Leads:
    """Lead times of finished instruments: how many days at each percentile."""

    count: int
    days: tuple[tuple[int, float], ...]
    old_days: float | None

    @property
    def is_enough(self) -> bool:
        return self.count >= ENOUGH


@dataclass(frozen=True, slots=True)
class Week:
    """What came on the floor and left it from a Monday on."""

    first: date
    last: date
    released: int
    finished: int
    scrapped: int
    lay: int
    is_over: bool


@dataclass(frozen=True, slots=True)
class Ratio:
    """A share of a count, with both of its numbers."""

    count: int
    of: int

    @property
    def pct(self) -> float:
        return 100 * self.count / self.of


def closed_between(*, since: datetime, until: datetime) -> list[Closed]:
    """List what was finished or scrapped in a time, the longest on the floor first."""
    rows = _closed(since=since, until=until)
    found = [
        Closed(serial, model, order, begun, ended, InstrumentState(state), again)
        for serial, model, order, begun, ended, state, again in rows.values_list(
            "serial",
            "revision__model__name",
            "order__number",
            "released_at",
            "closed_at",
            "state",
            "was_reworked",
        )
    ]
    return sorted(found, key=lambda one: (-one.lead, one.serial))


def _closed(*, since: datetime, until: datetime) -> QuerySet[Any]:
    again = Step.objects.filter(instrument=OuterRef("pk"), turn__gt=0)
    return (
        Instrument.objects.filter(closed_at__gte=since, closed_at__lt=until)
        .annotate(was_reworked=Exists(again.exclude(state=StepState.VOID)))
        .order_by()
    )


def leads(*, closed: list[Closed]) -> Leads:
    """Say how long those took that were finished."""
    took = [one.lead_days for one in closed if one.is_finished]
    if not took:
        return Leads(0, (), None)
    return Leads(
        len(took),
        tuple((pct, percentile(took, pct)) for pct in PERCENTILES),
        percentile(took, OLD_PCT),
    )


def weeks(*, course: Course, closed: list[Closed], zone: ZoneInfo) -> tuple[Week, ...]:
    """Count what came and left by weeks from Monday to Sunday, those begun before left
    out."""
    by_day = {row.day: row for row in course.days}
    today = course.days[-1].day
    monday = course.days[0].day
    monday += (-monday.weekday() % 7) * DAY
    left = [(one.closed_at.astimezone(zone).date(), one) for one in closed]
    found = []
    while monday <= today:
        last = min(monday + 6 * DAY, today)
        own = [one for day, one in left if monday <= day <= last]
        done = sum(one.is_finished for one in own)
        rows = [by_day[monday + n * DAY] for n in range((last - monday).days + 1)]
        found.append(
            Week(
                monday,
                last,
                sum(row.entered for row in rows),
                done,
                len(own) - done,
                rows[-1].lay,
                last < today,
            )
        )
        monday += WEEK
    return tuple(found)
