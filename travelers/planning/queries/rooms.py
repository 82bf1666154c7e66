"""What lies in the rooms for wood, and can it become dry in their air?"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, F, QuerySet

from travelers.kit.fields import written
from travelers.kit.leaves import Leaf, cut_leaf
from travelers.kit.people import has_one_of
from travelers.lumber import queries as lumber
from travelers.lumber.queries import AIR_KEEPERS, Climate, Day
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.planning.queries.drying import Forecast, Outlook, forecasts
from travelers.shop.models import Person

ON_A_LEAF = 60
DAYS_TOLD = timedelta(days=14)
# The lengths of time that the chart can show, in days.
SPANS = (28, 91, 365)
# The coming months for which places are told.
WEEK, WEEKS = timedelta(days=7), 13
# What may go out today is still here at this moment.
LEAVES_IN = timedelta(seconds=1)

# What has no day stays.
NEVER = datetime.max.replace(tzinfo=UTC)

# When a part goes out: likely, at the earliest, at the latest.
Ends = tuple[datetime, datetime, datetime]


@dataclass(frozen=True, slots=True)
class RoomRow:
    """A room with its air, and how many parts lie in it."""

    climate: Climate
    lying: int

    @property
    def free(self) -> int:
        return max(0, self.climate.places - self.lying)


@dataclass(frozen=True, slots=True)
class LyingRow:
    """A part that lies in a room, the wood it is of, and when it may come out."""

    serial: str
    code: str
    branch: str
    set_number: str
    operation: str
    since: datetime | None
    until: datetime
    is_over: bool
    forecast: Forecast | None


@dataclass(frozen=True, slots=True)
class Week:
    """How many places of a room will be taken on a day, and between which numbers."""

    day: date
    likely: int
    least: int
    most: int
    places: int

    @property
    def free(self) -> int:
        return max(0, self.places - self.likely)


@dataclass(frozen=True, slots=True)
class RoomPage:
    """A room: its air now and by day, and what lies in it, the first in first."""

    row: RoomRow
    at: datetime
    days: tuple[Day, ...]
    span: int
    lying: tuple[LyingRow, ...]
    leaf: Leaf
    weeks: tuple[Week, ...]
    may_write: bool

    @property
    def spans(self) -> tuple[int, ...]:
        return SPANS


def rooms(*, at: datetime) -> tuple[RoomRow, ...]:
    """List the rooms for wood in the order of their names."""
    lying = _lying()
    return tuple(RoomRow(one, lying[one.code]) for one in lumber.climates(at=at))


def damp_rooms(*, at: datetime) -> tuple[Climate, ...]:
    """Give the rooms in which wood cannot become dry as their air is now."""
    return tuple(one for one in lumber.climates(at=at) if one.remedy)


def room(
    *, code: str, span: int, leaf: int, by: Person, at: datetime, zone: ZoneInfo
) -> RoomPage:
    climate = lumber.climate(code=code, at=at)
    dry = forecasts(climate=climate, at=at)
    steps = _steps().filter(at_station__code=code)
    rows, shown = cut_leaf(
        steps.select_related("instrument", "part__plank_set", "operation").order_by(
            "started_at", "pk"
        ),
        number=leaf,
        size=ON_A_LEAF,
    )
    return RoomPage(
        RoomRow(climate, steps.count()),
        at,
        lumber.days(room_id=climate.id, since=at - DAYS_TOLD, zone=zone),
        span if span in SPANS else SPANS[0],
        tuple(_row(step, dry.get(step.pk), at) for step in rows),
        shown,
        _weeks(steps, dry, climate.places, at, zone),
        has_one_of(by, AIR_KEEPERS),
    )


def _row(step: Step, forecast: Forecast | None, at: datetime) -> LyingRow:
    part, until = step.part, step.dwell_until
    if until is None:
        raise ValueError(f"step {step.pk} lies without a time to come out")
    return LyingRow(
        step.instrument.serial,
        part.code,
        part.branch,
        part.plank_set.number if part.plank_set else "",
        step.operation.name,
        step.started_at,
        until,
        until <= at,
        forecast,
    )


def weeks(*, code: str, at: datetime, zone: ZoneInfo) -> tuple[Week, ...]:
    """Say how a room empties over the coming months."""
    climate = lumber.climate(code=code, at=at)
    dry = forecasts(climate=climate, at=at)
    steps = _steps().filter(at_station__code=code)
    return _weeks(steps, dry, climate.places, at, zone)


def _weeks(
    steps: QuerySet[Step],
    dry: Mapping[int, Forecast],
    places: int,
    at: datetime,
    zone: ZoneInfo,
) -> tuple[Week, ...]:
    """Let go out whatever is dry and has lain long enough; what has no day stays."""
    ends = [
        _ends(until or at, dry.get(step_id), at)
        for step_id, until in steps.values_list("pk", "dwell_until")
    ]
    found = []
    for n in range(WEEKS + 1):
        then = at + n * WEEK
        likely, least, most = (sum(end[way] > then for end in ends) for way in range(3))
        found.append(Week(then.astimezone(zone).date(), likely, least, most, places))
    return tuple(found)


def _ends(until: datetime, forecast: Forecast | None, at: datetime) -> Ends:
    """Say when a part will go out: likely, at the earliest, at the latest."""
    until = max(until, at + LEAVES_IN)
    if forecast is None or forecast.outlook in (Outlook.DRY, Outlook.MAY_BE):
        return until, until, until
    if forecast.expected_at and forecast.earliest_at and forecast.latest_at:
        days = (forecast.expected_at, forecast.earliest_at, forecast.latest_at)
        likely, first, last = (max(until, day) for day in days)
        return likely, first, last
    return NEVER, NEVER, NEVER


def _steps() -> QuerySet[Step]:
    return Step.objects.filter(state__in=(written(StepState.DWELLING),))


def _lying() -> Counter[str]:
    rows = _steps().values(code=F("at_station__code")).annotate(n=Count("*"))
    return Counter({row["code"]: row["n"] for row in rows})
