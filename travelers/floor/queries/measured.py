"""What was measured of a characteristic, part after part?"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Count, F, Max, Q, QuerySet, Window
from django.db.models.functions import RowNumber

from travelers.floor.models import Reading
from travelers.floor.queries.cutters import ran
from travelers.floor.queries.standing import standing_readings


@dataclass(frozen=True, slots=True)
class Measured:
    """One part's values of a characteristic, by place, as they stand now."""

    event_id: UUID
    characteristic_id: int
    at: datetime
    values: tuple[float, ...]
    serial: str
    part_code: str
    station: str
    gauge: str
    species: str
    # Those that ran where it was measured, when it was.
    cutter: str = ""


@dataclass(frozen=True, slots=True)
class Tally:
    """How often a characteristic was measured, and how often outside its limits."""

    characteristic_id: int
    count: int
    outside: int
    last_at: datetime


def tallies(*, since: datetime) -> tuple[Tally, ...]:
    """Count the readings of each characteristic since a moment."""
    rows = (
        standing_readings()
        .filter(event__happened_at__gte=since)
        .order_by("characteristic_id")
        .values_list("characteristic_id")
        .annotate(
            n=Count("*"),
            outside=Count("pk", filter=~Q(verdict="INSIDE")),
            last=Max("event__happened_at"),
        )
    )
    return tuple(Tally(*row) for row in rows)


def measured(*, characteristic_ids: Collection[int], most: int) -> tuple[Measured, ...]:
    """Give the latest parts measured, each characteristic's in order of time.

    ``most`` counts the readings of each characteristic, so that what is asked for is
    bounded; a part measured again is shown once, as it was measured last.
    """
    newest = (
        standing_readings()
        .filter(characteristic_id__in=characteristic_ids)
        .annotate(
            back=Window(
                RowNumber(),
                partition_by=[F("characteristic_id")],
                order_by=[F("event__happened_at").desc(), F("pk").desc()],
            )
        )
        .filter(back__lte=most)
    )
    found = sorted(
        _parts(newest), key=lambda one: (one[0].characteristic_id, one[0].at)
    )
    cutters = ran(moments={(station, one.at) for one, station in found if station})
    return tuple(
        replace(one, cutter=cutters[station, one.at]) if station else one
        for one, station in found
    )


def _parts(rows: QuerySet[Reading]) -> Iterable[tuple[Measured, int | None]]:
    """Put the readings of each part together, with the station of the last."""
    last: dict[tuple[int, int], dict[int, tuple[Any, ...]]] = {}
    for row in rows.order_by("event__happened_at", "pk").values_list(
        "characteristic_id",
        "event__step_id",
        "place",
        "value",
        "event__event_id",
        "event__happened_at",
        "event__instrument__serial",
        "event__part__code",
        "event__station__name",
        "gauge__name",
        "event__part__plank_set__plank__delivery__species__name",
        "event__station_id",
    ):
        last.setdefault((row[0], row[1]), {})[row[2]] = row
    for (characteristic, _), places in last.items():
        values = tuple(float(places[place][3]) for place in sorted(places))
        *_, event, at, serial, code, station, gauge, species, station_id = max(
            places.values(), key=lambda row: row[5]
        )
        one = Measured(
            event,
            characteristic,
            at,
            values,
            serial,
            code,
            station or "",
            gauge or "",
            species or "",
        )
        yield one, station_id
