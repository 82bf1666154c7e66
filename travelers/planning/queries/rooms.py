"""What lies in the rooms for wood, and can it become dry in their air?"""

from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Count, F, QuerySet

from travelers.kit.fields import written
from travelers.kit.leaves import Leaf, cut_leaf
from travelers.kit.people import has_one_of
from travelers.lumber import queries as lumber
from travelers.lumber.queries import AIR_KEEPERS, Climate, Day
from travelers.orders.models import Step
from travelers.orders.rules import StepState
from travelers.shop.models import Person

ON_A_LEAF = 60
DAYS_TOLD = timedelta(days=14)
# The lengths of time that the chart can show, in days.
SPANS = (28, 91, 365)


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


@dataclass(frozen=True, slots=True)
class RoomPage:
    """A room: its air now and by day, and what lies in it, the first in first."""

    row: RoomRow
    at: datetime
    days: tuple[Day, ...]
    span: int
    lying: tuple[LyingRow, ...]
    leaf: Leaf
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
        tuple(_row(step, at) for step in rows),
        shown,
        has_one_of(by, AIR_KEEPERS),
    )


def _row(step: Step, at: datetime) -> LyingRow:
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
    )


def _steps() -> QuerySet[Step]:
    return Step.objects.filter(state__in=(written(StepState.DWELLING),))


def _lying() -> Counter[str]:
    rows = _steps().values(code=F("at_station__code")).annotate(n=Count("*"))
    return Counter({row["code"]: row["n"] for row in rows})
