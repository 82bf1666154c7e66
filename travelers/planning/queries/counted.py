"""Which days are counted, and which must be counted (anew)?"""

from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Max, Min, Q, QuerySet

from travelers.floor import queries as on_floor
from travelers.floor.queries import Newest
from travelers.kit.days import start_of
from travelers.kit.fields import written
from travelers.orders.models import Instrument
from travelers.orders.rules import InstrumentState
from travelers.planning.models import Counted, DayCount
from travelers.planning.queries.visits import visits
from travelers.planning.rules import DAY, Count, Place, count
from travelers.routes.rules import Branch

# An order of 500 instruments is released in one commit, and a few may be at once.
STILL_RELEASED = 1000


@dataclass(frozen=True, slots=True)
class Uncounted:
    """The days to count, and what of the ledger is known as that is begun."""

    first: date
    last: date
    heard: Newest
    released: Newest


def counted() -> Counted:
    """Say how far the days are counted; a row that nobody wrote where none is."""
    return Counted.objects.filter(pk=1).first() or Counted(pk=1)


def uncounted(
    *, known: Counted, at: datetime, zone: ZoneInfo, anew: bool = False
) -> Uncounted | None:
    """Say which days must be counted: what closed since, and what was touched since.

    ``anew`` asks for all of them.  What happens while one counts has a number above
    ``heard`` and is looked at the next time.
    """
    last = at.astimezone(zone).date() - DAY
    heard, released = on_floor.newest_heard(), _newest_released()
    if anew or known.until is None or known.zone != zone.key:
        first = Instrument.objects.aggregate(first=Min("released_at"))["first"]
        begins = first.astimezone(zone).date() if first else last + DAY
        return Uncounted(min(begins, last + DAY), last, heard, released)
    first = min(known.until, last) + DAY
    if touched := _touched(known):
        first = min(first, touched.astimezone(zone).date())
    if first > last and known.until == last:
        return None
    return Uncounted(first, last, heard, released)


def _touched(known: Counted) -> datetime | None:
    """Say how far back reaches what came in since."""
    seq, number = known.event_seq, known.instrument_number
    if on_floor.near_heard(seq=seq) != known.events_near:
        seq -= on_floor.STILL_COMING
    if _near(number) != known.instruments_near:
        number -= STILL_RELEASED
    reach = on_floor.earliest_moved(after=seq)
    new = Instrument.objects.filter(pk__gt=number)
    made = new.aggregate(first=Min("released_at"))["first"]
    return min((one for one in (reach, made) if one), default=None)


def _newest_released() -> Newest:
    number = Instrument.objects.aggregate(newest=Max("pk"))["newest"] or 0
    return Newest(number, _near(number))


def _near(number: int) -> int:
    near = Q(pk__gt=number - STILL_RELEASED, pk__lte=number)
    return Instrument.objects.filter(near).count()


def open_seq(*, known: Counted, last: date, heard: Newest, zone: ZoneInfo) -> int:
    """Say from which number on the ledger tells of what happened after a day."""
    follows = known.until and known.until <= last and known.zone == zone.key
    after = known.open_seq if follows else 0
    found = on_floor.first_seq(after=after - 1, since=start_of(last + DAY, zone))
    return min(found or heard.seq + 1, heard.seq + 1)


def day_counts(*, first: date, last: date, zone: ZoneInfo) -> list[DayCount]:
    """Count days from the steps of whatever was on the floor then."""
    if first > last:
        return []
    numbers = alive(since=start_of(first, zone))
    counts = count(visits(instrument_ids=numbers), first, last, zone)
    return [_row(day, place, one) for (day, place), one in counts.items()]


def alive(*, since: datetime) -> set[int]:
    """Name the instruments that were on the floor at a moment or after, by number."""
    closed = Instrument.objects.filter(closed_at__gte=since)
    return {
        number
        for rows in (open_instruments(), closed)
        for number in rows.order_by().values_list("pk", flat=True)
    }


def open_instruments() -> QuerySet[Instrument]:
    """Give the instruments that are on the floor, by their own index."""
    return Instrument.objects.filter(state=written(InstrumentState.OPEN))


def _row(day: date, place: Place, one: Count) -> DayCount:
    return DayCount(
        day=day,
        stage_id=place.stage_id,
        branch=place.branch or "",
        came=one.came,
        entered=one.entered,
        went=one.went,
        left=one.left,
        lay=one.lay,
    )


def counts_of_today(
    *, known: Counted, today: date, zone: ZoneInfo
) -> dict[Place, Count]:
    """Count the day that is not over: what lay there as it began, and what moved since.

    Only the instruments that something happened to today are looked at.
    """
    start = start_of(today, zone)
    found = {
        _place(row): Count(lay=row.lay)
        for row in DayCount.objects.filter(day=today - DAY)
    }
    moved = on_floor.instruments_moved(
        after=known.open_seq - on_floor.STILL_COMING, since=start
    )
    new = open_instruments().filter(released_at__gte=start)
    numbers = moved | set(new.values_list("pk", flat=True))
    moved_today = count(visits(instrument_ids=numbers), today, today, zone)
    for (_, place), one in moved_today.items():
        lay = found.get(place, Count()).lay + one.came - one.went
        found[place] = replace(one, lay=lay)
    return {place: one for place, one in found.items() if not one.is_nothing}


def _place(row: DayCount) -> Place:
    return Place(row.stage_id, Branch(row.branch) if row.branch else None)
