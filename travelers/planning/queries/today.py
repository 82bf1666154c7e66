"""What is this person's work today?"""

from collections import Counter
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Min, Q

from travelers.kit.drawing.marks import ON_FLOOR
from travelers.kit.drawing.marks import Look as Mark
from travelers.orders.models import Part, WorkOrder
from travelers.orders.queries import Wanting, open_orders, parts_wanting_wood
from travelers.orders.rules import Look
from travelers.planning.queries.stations import StationList, stations
from travelers.routes import queries as routes
from travelers.routes.queries import InForce
from travelers.shop.models import Person
from travelers.shop.rules import Role

MOST_NAMED = 8


@dataclass(frozen=True, slots=True)
class Floor:
    """All parts on the floor by their look, and the longest wait."""

    looks: tuple[tuple[Mark, int], ...]
    total: int
    longest_wait: timedelta | None

    @property
    def held(self) -> int:
        return dict(self.looks)[Mark.HELD]


@dataclass(frozen=True, slots=True)
class DueRow:
    number: str
    model: str
    finish: str
    quantity: int
    due_on: date
    is_late: bool
    is_released: bool


@dataclass(frozen=True, slots=True)
class HeldRow:
    serial: str
    model: str
    since: datetime


@dataclass(frozen=True, slots=True)
class Today:
    """The front page: what a role has no use for is not asked for and is empty."""

    roles: tuple[Role, ...]
    stations: StationList | None
    floor: Floor | None
    due: tuple[DueRow, ...]
    held: tuple[HeldRow, ...]
    revisions: tuple[InForce, ...]
    wood: tuple[Wanting, ...] = ()

    def has(self, *roles: Role) -> bool:
        return any(role in self.roles for role in roles)

    @property
    def works_at_stations(self) -> bool:
        return self.has(Role.OPERATOR, Role.LEAD)

    @property
    def plans(self) -> bool:
        return self.has(Role.PLANNER, Role.LEAD)

    @property
    def judges(self) -> bool:
        return self.has(Role.QA, Role.LEAD)

    @property
    def writes_routes(self) -> bool:
        return self.has(Role.ROUTE_ENGINEER)

    @property
    def keeps_the_shop(self) -> bool:
        return self.has(Role.ADMIN)


def today(*, by: Person, at: datetime, day: date) -> Today:
    roles = tuple(Role) if by.is_admin else by.roles
    page = Today(roles, None, None, (), (), ())
    return Today(
        roles,
        stations(by=by) if page.works_at_stations else None,
        _floor(at) if page.has(Role.LEAD, Role.PLANNER, Role.QA) else None,
        _due(day) if page.plans else (),
        _held() if page.judges else (),
        routes.in_force() if page.writes_routes else (),
        parts_wanting_wood() if page.plans or page.judges else (),
    )


def _floor(at: datetime) -> Floor:
    counts: Counter[Look] = Counter()
    oldest: list[datetime] = []
    rows = (
        Part.objects.filter(stage__isnull=False)
        .values("look")
        .annotate(n=Count("*"), oldest=Min("since"))
        .order_by("look")
    )
    for row in rows:
        counts[Look(row["look"])] = row["n"]
        if row["look"] == Look.WAITING:
            oldest.append(row["oldest"])
    return Floor(
        tuple((look, counts[Look(look)]) for look in ON_FLOOR),
        counts.total(),
        at - min(oldest) if oldest else None,
    )


def _due(day: date) -> tuple[DueRow, ...]:
    """Name the orders that are due next: to be released, or with something open."""
    rows = WorkOrder.objects.filter(Q(released_at=None) | Q(pk__in=open_orders()))
    return tuple(
        DueRow(
            row.number,
            row.revision.model.name,
            row.finish,
            row.quantity,
            row.due_on,
            row.due_on < day,
            row.released_at is not None,
        )
        for row in rows.select_related("revision__model").order_by(
            "due_on", "priority", "id"
        )[:MOST_NAMED]
    )


def _held() -> tuple[HeldRow, ...]:
    """Name the instruments of which something is held, the longest held first."""
    rows = (
        Part.objects.filter(stage__isnull=False, look=Look.HELD)
        .values("instrument__serial", "instrument__revision__model__name")
        .annotate(held_since=Min("since"))
        .order_by("held_since", "instrument__serial")[:MOST_NAMED]
    )
    return tuple(
        HeldRow(
            row["instrument__serial"],
            row["instrument__revision__model__name"],
            row["held_since"],
        )
        for row in rows
    )
