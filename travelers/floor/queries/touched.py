"""What touched which parts: loads, gauges, stations, by the ledger as it stands?

What was refused or taken back touched nothing.
"""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from travelers.floor.models import Load, Stay
from travelers.floor.queries.standing import standing_readings, standing_work


@dataclass(frozen=True, slots=True)
class LoadNamed:
    """A load by where and when it was begun."""

    id: UUID
    station: str
    begun_at: datetime


def parts_in_loads(*, load_ids: Collection[UUID]) -> Iterable[tuple[UUID, int]]:
    """Give each load with each part that lay in it."""
    rows = Stay.objects.filter(load_id__in=load_ids)
    return rows.values_list("load_id", "step__part_id").distinct()


def loads_of_parts(*, part_ids: Collection[int]) -> Iterable[tuple[int, UUID]]:
    """Give each part with each load that it lay in."""
    rows = Stay.objects.filter(step__part_id__in=part_ids)
    return rows.values_list("step__part_id", "load_id").distinct()


def loads_named(*, load_ids: Collection[UUID]) -> tuple[LoadNamed, ...]:
    """Say where and when loads were begun."""
    rows = Load.objects.filter(pk__in=load_ids)
    return tuple(
        LoadNamed(*row) for row in rows.values_list("pk", "station__name", "begun_at")
    )


def parts_measured(
    *, gauge_ids: Collection[int], since: datetime | None = None
) -> Iterable[tuple[int, int]]:
    """Give each gauge with each part that it measured, since a moment or ever."""
    rows = standing_readings().filter(gauge_id__in=gauge_ids)
    if since:
        rows = rows.filter(event__happened_at__gte=since)
    return rows.values_list("gauge_id", "event__part_id").distinct()


def gauges_of_parts(*, part_ids: Collection[int]) -> Iterable[tuple[int, int]]:
    """Give each part with each gauge that measured it."""
    rows = standing_readings().filter(event__part_id__in=part_ids, gauge__isnull=False)
    return rows.values_list("event__part_id", "gauge_id").distinct()


def parts_worked(*, station_id: int, since: datetime, until: datetime) -> Iterable[int]:
    """Give the parts that a station did something to from a moment to before one."""
    rows = standing_work().filter(
        part__isnull=False,
        station_id=station_id,
        happened_at__gte=since,
        happened_at__lt=until,
    )
    return rows.values_list("part_id", flat=True).distinct()


def work_of_parts(*, part_ids: Collection[int]) -> Iterable[tuple[int, int, datetime]]:
    """Give for each part which station did something to it, and when."""
    rows = standing_work().filter(part_id__in=part_ids, station__isnull=False)
    return rows.values_list("part_id", "station_id", "happened_at")
