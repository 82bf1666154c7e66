"""How are the days counted that are over?"""

from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from travelers.kit.faults import tried_again
from travelers.planning import queries
from travelers.planning.models import Counted, DayCount
from travelers.planning.queries import Uncounted

# Whoever is overtaken so often leaves it to the others, who count the same.
TRIES = 3
TOGETHER = 500


def count_days(*, at: datetime, zone: ZoneInfo, anew: bool = False) -> int:
    """Count the days that closed, or were touched, since the last time; say how many.

    Nothing is locked while it counts; only to write what was counted, and only if
    nobody else has written meanwhile.  So scans go on, and two at once do no harm.
    """
    for _ in range(TRIES):
        known = queries.counted()
        asked = queries.uncounted(known=known, at=at, zone=zone, anew=anew)
        if asked is None:
            return 0
        rows = queries.day_counts(first=asked.first, last=asked.last, zone=zone)
        seq = queries.open_seq(
            known=known, last=asked.last, heard=asked.heard, zone=zone
        )
        if _keep(known=known, asked=asked, rows=rows, open_seq=seq, zone=zone):
            return (asked.last - asked.first).days + 1
    return 0


@tried_again
@transaction.atomic
def _keep(
    *,
    known: Counted,
    asked: Uncounted,
    rows: list[DayCount],
    open_seq: int,
    zone: ZoneInfo,
) -> bool:
    """Put days in the place of what was counted from the first of them on.

    False where somebody else has counted since ``known`` was read.
    """
    Counted.objects.get_or_create(pk=1)
    row = Counted.objects.select_for_update().get(pk=1)
    if row.times != known.times:
        return False
    DayCount.objects.filter(day__gte=asked.first).delete()
    if known.zone != zone.key:
        DayCount.objects.all().delete()
    DayCount.objects.bulk_create(rows, batch_size=TOGETHER)
    row.until, row.zone = asked.last, zone.key
    row.event_seq, row.events_near = asked.heard.seq, asked.heard.near
    row.instrument_number = asked.released.seq
    row.instruments_near = asked.released.near
    row.open_seq = open_seq
    row.times += 1
    row.save()
    return True
