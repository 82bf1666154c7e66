"""Which stations, gauges and loads did instruments meet, and when first?

By the ledger as it stands: what was refused or taken back was not met.
"""

from collections.abc import Collection, Iterable
from datetime import datetime
from uuid import UUID

from django.db.models import Min

from travelers.floor.models import Stay
from travelers.floor.queries.standing import standing_readings, standing_work


def stations_met(
    *, instrument_ids: Collection[int]
) -> Iterable[tuple[int, int, datetime]]:
    """Give each instrument with each station that did something to it."""
    rows = standing_work().filter(
        instrument_id__in=instrument_ids, station__isnull=False
    )
    pairs = rows.order_by().values_list("instrument_id", "station_id")
    return pairs.annotate(first=Min("happened_at"))


def gauges_met(
    *, instrument_ids: Collection[int]
) -> Iterable[tuple[int, int, datetime]]:
    """Give each instrument with each gauge that measured it."""
    rows = standing_readings().filter(
        event__instrument_id__in=instrument_ids, gauge__isnull=False
    )
    pairs = rows.order_by().values_list("event__instrument_id", "gauge_id")
    return pairs.annotate(first=Min("event__happened_at"))


def loads_met(
    *, instrument_ids: Collection[int]
) -> Iterable[tuple[int, UUID, datetime]]:
    """Give each instrument with each load that one of its parts lay in."""
    rows = Stay.objects.filter(step__instrument_id__in=instrument_ids)
    pairs = rows.order_by().values_list("step__instrument_id", "load_id")
    return pairs.annotate(first=Min("event__happened_at"))
