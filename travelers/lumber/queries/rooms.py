"""What is the air of the rooms like, and may their wood become dry in it?"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Avg, Count, Max, Min, OuterRef, QuerySet, Subquery
from django.db.models.functions import TruncDate

from travelers.kit.refusals import NOT_FOUND, Refused
from travelers.lumber.models import Room, RoomReading
from travelers.lumber.rules import WINDOW, Air, Remedy, remedy
from travelers.shop.rules import Role

# Who writes down what a room's air is.
AIR_KEEPERS = (Role.OPERATOR, Role.LEAD, Role.PLANNER, Role.QA)


@dataclass(frozen=True, slots=True)
class Climate:
    """A room with its air of the last day; without ``air`` nothing new is known."""

    id: int
    code: str
    name: str
    limit_pct: Decimal
    places: int
    air: Air | None
    readings: int
    last_at: datetime | None

    @property
    def equilibrium_pct(self) -> float | None:
        return self.air.equilibrium_pct if self.air else None

    @property
    def remedy(self) -> Remedy | None:
        """Say what to change; None where wood dries well, or nothing is known."""
        return remedy(self.air, float(self.limit_pct)) if self.air else None


@dataclass(frozen=True, slots=True)
class Day:
    """The air of a room on one day, as it was in the mean."""

    day: date
    air: Air
    coldest_c: Decimal
    hottest_c: Decimal
    driest_pct: Decimal
    wettest_pct: Decimal
    readings: int


@dataclass(frozen=True, slots=True)
class Course:
    """The readings of a room in their order, as three columns."""

    at: tuple[datetime, ...]
    temperature_c: tuple[float, ...]
    humidity_pct: tuple[float, ...]


def climates(*, at: datetime) -> tuple[Climate, ...]:
    """Give all rooms in the order of their names."""
    return _with_air(Room.objects.order_by("station__name", "pk"), at)


def climate(*, code: str, at: datetime) -> Climate:
    found = _with_air(Room.objects.filter(station__code=code), at)
    if not found:
        raise Refused(NOT_FOUND)
    return found[0]


def driest_limit() -> Decimal | None:
    """Give the moisture below which all wood must come here; None without a room."""
    least: Decimal | None = Room.objects.aggregate(least=Min("limit_pct"))["least"]
    return least


def newest_air() -> int:
    """Give a number that changes with every reading that comes in."""
    return RoomReading.objects.aggregate(newest=Max("pk"))["newest"] or 0


def days(*, room_id: int, since: datetime, zone: ZoneInfo) -> tuple[Day, ...]:
    """Give the days of a room since a moment, the latest first."""
    rows = (
        RoomReading.objects.filter(room_id=room_id, read_at__gte=since)
        .annotate(day=TruncDate("read_at", tzinfo=zone))
        .values("day")
        .annotate(
            temperature=Avg("temperature_c"),
            humidity=Avg("humidity_pct"),
            coldest=Min("temperature_c"),
            hottest=Max("temperature_c"),
            driest=Min("humidity_pct"),
            wettest=Max("humidity_pct"),
            n=Count("*"),
        )
        .order_by("-day")
    )
    return tuple(
        Day(
            row["day"],
            Air(float(row["temperature"]), float(row["humidity"])),
            row["coldest"],
            row["hottest"],
            row["driest"],
            row["wettest"],
            row["n"],
        )
        for row in rows
    )


def moments_known(
    *, room_id: int, since: datetime, until: datetime
) -> frozenset[datetime]:
    """Give the moments of which a room has a reading, both ends included."""
    return frozenset(
        RoomReading.objects.filter(
            room_id=room_id, read_at__gte=since, read_at__lte=until
        ).values_list("read_at", flat=True)
    )


def course(*, room_id: int, since: datetime) -> Course:
    """Give what was read in a room since a moment."""
    rows = list(
        RoomReading.objects.filter(room_id=room_id, read_at__gte=since)
        .order_by("read_at")
        .values_list("read_at", "temperature_c", "humidity_pct")
    )
    if not rows:
        return Course((), (), ())
    at, temperature, humidity = zip(*rows, strict=True)
    return Course(at, tuple(map(float, temperature)), tuple(map(float, humidity)))


def air_since(*, room_id: int, since: datetime) -> Air | None:
    """Give the mean air of a room since a moment; None where nobody read it."""
    mean = RoomReading.objects.filter(room_id=room_id, read_at__gte=since).aggregate(
        temperature=Avg("temperature_c"), humidity=Avg("humidity_pct")
    )
    if mean["temperature"] is None:
        return None
    return Air(float(mean["temperature"]), float(mean["humidity"]))


def _with_air(rooms: QuerySet[Room], at: datetime) -> tuple[Climate, ...]:
    """Give rooms with the mean of their air in the last hours: two queries."""
    last = (
        RoomReading.objects.filter(room=OuterRef("pk"))
        .order_by("-read_at")
        .values("read_at")
    )
    rows = list(rooms.select_related("station").annotate(last_at=Subquery(last[:1])))
    airs = {
        row["room"]: row
        for row in RoomReading.objects.filter(
            room__in=rows, read_at__gt=at - WINDOW, read_at__lte=at
        )
        .values("room")
        .annotate(
            temperature=Avg("temperature_c"), humidity=Avg("humidity_pct"), n=Count("*")
        )
    }
    return tuple(_climate(room, room.last_at, airs.get(room.pk)) for room in rows)


def _climate(
    room: Room, last_at: datetime | None, air: Mapping[str, Any] | None
) -> Climate:
    station = room.station
    return Climate(
        room.pk,
        station.code,
        station.name,
        room.limit_pct,
        station.places,
        Air(float(air["temperature"]), float(air["humidity"])) if air else None,
        air["n"] if air else 0,
        last_at,
    )
