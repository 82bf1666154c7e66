"""Which stations, gauges and loads did parts meet, and when first?

By the ledger as it stands: what was refused or taken back was not met. Moments are told
as whole seconds since 1970, which the database reckons: of tens of thousands of rows
these are read many times faster than dates.
"""

from collections.abc import Collection, Iterable
from typing import Any
from uuid import UUID

from django.db.models import Func, IntegerField, Min

from travelers.floor.models import Stay
from travelers.floor.queries.standing import (
    standing_readings,
    standing_uses,
    standing_work,
)


class Seconds(Func):
    """A moment as whole seconds since 1970."""

    function = "FLOOR"
    template = "%(function)s(EXTRACT(EPOCH FROM %(expressions)s))::bigint"
    output_field = IntegerField()

    def as_sqlite(self, compiler: Any, connection: Any, **context: Any) -> Any:
        template = "CAST(%(function)s('%%%%s', %(expressions)s) AS INTEGER)"
        return self.as_sql(
            compiler, connection, function="strftime", template=template, **context
        )


def stations_met(*, part_ids: Collection[int]) -> Iterable[tuple[int, int, int]]:
    """Give each part with each station that did something to it."""
    rows = standing_work().filter(part_id__in=part_ids, station__isnull=False)
    pairs = rows.order_by().values_list("part_id", "station_id")
    return pairs.annotate(first=Seconds(Min("happened_at")))


def gauges_met(*, part_ids: Collection[int]) -> Iterable[tuple[int, int, int]]:
    """Give each part with each gauge that measured it."""
    rows = standing_readings().filter(event__part_id__in=part_ids, gauge__isnull=False)
    pairs = rows.order_by().values_list("event__part_id", "gauge_id")
    return pairs.annotate(first=Seconds(Min("event__happened_at")))


def loads_met(*, part_ids: Collection[int]) -> Iterable[tuple[int, UUID, int]]:
    """Give each part with each load that it lay in."""
    rows = Stay.objects.filter(step__part_id__in=part_ids)
    pairs = rows.order_by().values_list("step__part_id", "load_id")
    return pairs.annotate(first=Seconds(Min("event__happened_at")))


def batches_met(*, part_ids: Collection[int]) -> Iterable[tuple[int, int, int]]:
    """Give each part with each batch that was used on it."""
    rows = standing_uses().filter(event__part_id__in=part_ids, batch__isnull=False)
    pairs = rows.order_by().values_list("event__part_id", "batch_id")
    return pairs.annotate(first=Seconds(Min("event__happened_at")))
